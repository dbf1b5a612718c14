"""Published check values on strengths, dilution and mixing: through the commands where one answers, else the function.

`test_check_values.py` holds the items of `check_values/02-…` to these.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from contextlib import chdir
from fractions import Fraction
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from bookgen.cli import main
from bookgen.model import Strength
from bookgen.reckon import percents, substances
from bookgen.reckon.dilution import alternate, medial, to_add
from bookgen.source.strengths import read_strength

Item = dict[str, Any]


def asked(folder: Path, *words: str) -> dict[str, Any]:
    """Return the JSON of `dilute` or `mix` in a folder that holds no book."""
    folder.mkdir()
    with chdir(folder):
        result = CliRunner().invoke(main, [*words, "--json"], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


def share(text: str) -> Fraction:
    """Return the share of a strength as it is written at the bench."""
    read = read_strength(text)
    assert isinstance(read, Strength), read
    return read.share


def percent(number: str) -> Fraction:
    return Fraction(number) / 100


def one_in_n(item: Item, folder: Path) -> None:
    """1 in n as a percentage, as the function has it and as it is read."""
    n = item["inputs"]["ratio"]
    wanted = percent(item["expected"])
    assert percents.one_in(Fraction(n)) == share(f"1 in {n}") == wanted


def ratio_of_a_percentage(item: Item, folder: Path) -> None:
    assert percents.whole_of_one(percent(item["inputs"]["percent"])) == Fraction(item["expected"])


def per_million(item: Item, folder: Path) -> None:
    """ppm as a percentage; of w/v in micrograms per mL."""
    ppm = item["inputs"]["ppm"]
    of = " w/v" if "/mL" in item["unit"] else ""
    read = share(f"{ppm} ppm{of}")
    assert percents.parts_per_million(read) == Fraction(ppm)
    in_unit = percents.carried(Fraction(1_000_000), read) if of else read * 100  # µg in 1 mL: 1 g is 1,000,000 µg
    assert in_unit == Fraction(item["expected"])


def amount_of_substance(item: Item, folder: Path) -> None:
    """What an amount of a strength carries, and what is left for the solvent."""
    inputs, expected = item["inputs"], item["expected"]
    strength = percents.one_in(Fraction(inputs["ratio"])) if "ratio" in inputs else percent(inputs["percent"])
    if "pints" in inputs:
        for way, pint in inputs["pint_mL"].items():
            assert percents.carried(Fraction(inputs["pints"]) * Fraction(pint), strength) == Fraction(expected[way])
        return
    amount = Fraction(next(inputs[key] for key in ("total_g", "g", "mL") if key in inputs))
    found = percents.carried(amount, strength)
    if isinstance(expected, dict):
        assert (found, amount - found) == (Fraction(expected["drug_g"]), Fraction(expected["solvent_g"]))
        return
    assert found * (1000 if item["unit"] == "mg" else 1) == Fraction(expected)


def amount_of_a_strength(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    assert percents.carrying(Fraction(inputs["mg"]) / 1000, percent(inputs["percent"])) == Fraction(item["expected"])


def strength_of(item: Item, folder: Path) -> None:
    """T02-06 of the whole; T02-28 and T02-30 of substance and solvent, where the solvent is not the whole."""
    inputs, wanted = item["inputs"], percent(item["expected"])
    if "g" in inputs:
        assert percents.strength_in_all(Fraction(inputs["g"]), Fraction(inputs["mL"])) == wanted
        return
    solvent = Fraction(inputs.get("solvent_g") or Fraction(inputs["solvent_mL"]) * Fraction(inputs["density"]))
    found = percents.strength_by_weight(Fraction(inputs["solute_g"]), solvent)
    assert found == wanted
    if item["id"] == "T02-30":
        assert round(found * 100, 2) != Fraction(item["printed"])


def one_plus_n(item: Item, folder: Path) -> None:
    first, _, others = item["inputs"]["ratio"].partition(":")
    assert first == "1"
    part = percents.one_plus(Fraction(others))
    assert part == share(f"1 + {others}")
    assert percents.carried(Fraction(item["inputs"]["total_g"]), part) == Fraction(item["expected"])


def dilution_of_a_stock(item: Item, folder: Path) -> None:
    """C1·m1 = C2·m2 through `dilute`: how much of the stock, how much results, how much water."""
    inputs, expected = item["inputs"], Fraction(item["expected"])
    match item["id"]:
        case "T02-14":
            words = [f"{inputs['stock_percent']}%", "to", f"{inputs['wanted_percent']}%"]
            found = asked(folder, "dilute", *words, "--obtain", f"{inputs['wanted_g']} g")
            assert Fraction(found["lines"][0]["grams"]) == expected
        case "T02-15":
            target = inputs["target"].replace(":", " in ")
            words = [f"{inputs['percent']}% w/v", "to", f"{target} w/v", "--from", f"{inputs['mL']} mL"]
            assert Fraction(asked(folder, "dilute", *words)["make_up_to_ml"]) == expected
        case "T02-23":
            words = [f"1 in {inputs['stock_ratio']} w/v", "to", f"{inputs['percent']}% w/v"]
            found = asked(folder, "dilute", *words, "--obtain", f"{inputs['mL']} mL")
            assert Fraction(found["lines"][0]["ml"]) == expected
        case _:
            start, target, ml = percent(inputs["start"]), percent(inputs["target"]), Fraction(inputs["mL"])
            assert to_add([(ml, start)], Fraction(0), target) == expected
            words = [f"{inputs['start']}% v/v", "to", f"{inputs['target']}% v/v", "--from", f"{inputs['mL']} mL"]
            found = asked(folder, "dilute", *words)
            assert Fraction(found["make_up_to_ml"]) == ml + expected
            assert found["lines"][1]["ml"] is None  # the water is not measured: volumes need not add up


def stock_solution(item: Item, folder: Path) -> None:
    """T02-16, T02-17: a stock of which a little, diluted, gives a weak strength."""
    inputs = item["inputs"]
    in_little = percents.carried(Fraction(inputs["to_mL"]), percents.one_in(Fraction(inputs["ratio"])))
    stock = percents.strength_in_all(in_little, Fraction(inputs["take_mL"]))
    in_stock = percents.carried(Fraction(inputs["stock_mL"]), stock)
    found = percents.carrying(in_stock, percent(inputs["conc_percent"])) if "conc_percent" in inputs else in_stock
    assert found == Fraction(item["expected"])


def alligation_medial(item: Item, folder: Path) -> None:
    lots = [f"{ml} mL of {strength} % v/v" for ml, strength in item["inputs"]["parts"]]
    assert asked(folder, "mix", *lots)["gives"]["percent"] == item["expected"]


def alligation_alternate(item: Item, folder: Path) -> None:
    """Two lots to an amount, one lot to another, three lots of which many mixtures do."""
    inputs, expected = item["inputs"], item["expected"]
    if "lots" in inputs:
        words = [f"{one}%" for one in inputs["lots"]]
        found = asked(folder, "mix", *words, "to", f"{inputs['target']}%")
        assert [str(part) for part in found["ratio"]] == expected
        assert found["one_of_many"]
        assert found["gives"]["percent"] == inputs["target"]
        lots, want = [percent(one) for one in inputs["lots"]], percent(inputs["target"])
        parts = alternate(lots, want)
        assert isinstance(parts, tuple)
        assert medial(list(zip(parts, lots, strict=True))) == want
        return
    low, high, target = (f"{inputs[key]}%" for key in ("low", "high", "target"))
    if "low_g" in inputs:
        found = asked(folder, "mix", high, f"{inputs['low_g']} g of {low}", "to", target)
        assert found["lines"][0]["grams"] == expected
        return
    found = asked(folder, "mix", low, high, "to", target, "--obtain", f"{inputs['total_g']} g")
    assert [line["grams"] for line in found["lines"]] == [expected["low_g"], expected["high_g"]]


def hydrate(item: Item, folder: Path) -> None:
    factor = substances.factor(item["inputs"]["have"], item["inputs"]["want"])
    assert factor is not None
    assert abs(factor - Fraction(item["expected"])) <= Fraction(item["tolerance"]["abs"])


def assay(item: Item, folder: Path) -> None:
    """The grams of an impure material; with loss on drying by the rule of the note."""
    inputs = item["inputs"]
    wanted, of = Fraction(inputs["wanted_g"]), percent(inputs["assay_percent"])
    assert percents.weigh_for(wanted, of) == Fraction(item["expected"])
    assert re.search(r"divide also by \(1 - LOD/100\)", item["note"])
    assert percents.weigh_for(wanted, of, percent("10")) == Fraction(item["expected"]) / (1 - percent("10"))


def by_weight_and_volume(item: Item, folder: Path) -> None:
    inputs, wanted = item["inputs"], percent(item["expected"])
    of, density = percent(inputs["percent_ww"]), Fraction(inputs["density"])
    assert percents.by_volume_of_solution(of, density) == wanted
    assert percents.by_weight_of_solution(wanted, density) == of


STRENGTHS: dict[str, Callable[[Item, Path], None]] = {
    "one in n": one_in_n,
    "ratio of a percentage": ratio_of_a_percentage,
    "parts per million": per_million,
    "amount of substance": amount_of_substance,
    "amount of a strength": amount_of_a_strength,
    "strength": strength_of,
    "one plus n": one_plus_n,
    "dilution of a stock": dilution_of_a_stock,
    "stock solution": stock_solution,
    "alligation medial": alligation_medial,
    "alligation alternate": alligation_alternate,
    "hydrate": hydrate,
    "assay": assay,
    "w/w and w/v": by_weight_and_volume,
}
"""What an item checks → how."""
