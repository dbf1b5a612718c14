"""Published check values on strengths, dilution and mixing, through the commands that answer them.

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

from bookgen import show
from bookgen.cli import main
from bookgen.reckon import percents, substances
from bookgen.reckon.dilution import alternate, medial, to_add
from bookgen.terminal.mixture import WEAK

from .books_of_text import formula, weigh, write_book

Item = dict[str, Any]


def asked(folder: Path, *words: str) -> dict[str, Any]:
    """Return the JSON of `dilute` or `mix` in a folder that holds no book."""
    folder.mkdir(parents=True)
    with chdir(folder):
        result = CliRunner().invoke(main, [*words, "--json"], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


def percent(number: str) -> Fraction:
    return Fraction(number) / 100


def diluted(folder: Path, have: str, want: str, *words: str) -> dict[str, Any]:
    """Return the JSON of `dilute`, each time from a folder of its own."""
    return asked(folder / f"dilute {have} to {want}", "dilute", have, "to", want, *words)


def weighed(folder: Path, lines: str, **materials: str) -> list[dict[str, Any]]:
    """Return the lines of a batch of a little book's one formula; a material is as given, else nothing but a name."""
    names = {line.split(":", 1)[0].strip(): "water: 0 %" for line in lines.split(";")}
    answer = weigh(write_book(folder, {"F": formula("F", lines)}, {**names, **materials}), "F")
    return list(answer["lines"])


def one_in_n(item: Item, folder: Path) -> None:
    """1 in n as a percentage: of a line, and at the bench."""
    n, wanted = item["inputs"]["ratio"], item["expected"]
    of = " w/v" if "w/v" in item["unit"] else ""
    line = weighed(folder / "book", f"drug: 1 in {n}{of}; base: to 100 {'mL' if of else 'g'}")[0]
    assert (line["percent"], line["percent_of"]) == (wanted, of.strip() or "w/w")
    assert diluted(folder, f"100%{of}", f"1 in {n}{of}")["gives"]["percent"] == wanted


def ratio_of_a_percentage(item: Item, folder: Path) -> None:
    """As the function has it; strengths below 1 % are told so at the bench."""
    of, expected = percent(item["inputs"]["percent"]), item["expected"]
    assert percents.whole_of_one(of) == Fraction(expected)
    remarks = " ".join(diluted(folder, "100%", f"{item['inputs']['percent']}%")["remarks"])
    assert (f"is 1 in {expected}, or " in remarks) is (of < WEAK)


def per_million(item: Item, folder: Path) -> None:
    """ppm as a percentage; of w/v in micrograms per mL: 1 mL of what is pure holds 1 g."""
    ppm = item["inputs"]["ppm"]
    of = " w/v" if "/mL" in item["unit"] else ""
    found = diluted(folder, f"100%{of}", f"{ppm} ppm{of}", "--obtain", "1 mL" if of else "1 g")
    share_of_it = Fraction(found["gives"]["percent"]) / 100
    assert percents.parts_per_million(share_of_it) == Fraction(ppm)
    assert any(f"{ppm} ppm." in told for told in found["remarks"])
    in_unit = Fraction(found["lines"][0]["ml"]) * 1_000_000 if of else share_of_it * 100
    assert in_unit == Fraction(item["expected"])


def amount_of_substance(item: Item, folder: Path) -> None:
    """What a batch of a formula takes of it, and what is left for the solvent."""
    inputs, expected = item["inputs"], item["expected"]
    if "pints" in inputs:
        for way, pint in inputs["pint_mL"].items():
            ml = show.exact(Fraction(inputs["pints"]) * Fraction(pint))
            line = weighed(folder / way, f"oil: {inputs['percent']} % v/v; lotion: to {ml} mL")[0]
            assert Fraction(line["ml"]) == Fraction(expected[way])
        return
    unit, amount = next((key[-2:].strip("_"), inputs[key]) for key in ("total_g", "g", "mL") if key in inputs)
    strength = f"1 in {inputs['ratio']}" if "ratio" in inputs else f"{show.exact(Fraction(inputs['percent']))} %"
    of = "w/w" if unit == "g" else "v/v" if item["unit"] == "mL" else "w/v"
    found = weighed(folder / "book", f"drug: {strength} {of}; solvent: to {amount} {unit}")
    if isinstance(expected, dict):
        assert [Fraction(line["grams"]) for line in found] == [
            Fraction(expected[name]) for name in ("drug_g", "solvent_g")
        ]
        return
    drug = Fraction(found[0]["ml" if of == "v/v" else "grams"])
    assert drug * (1000 if item["unit"] == "mg" else 1) == Fraction(expected)


def amount_of_a_strength(item: Item, folder: Path) -> None:
    """How much of a solution so much makes: 1 mL of what is pure holds 1 g."""
    ml = show.exact(Fraction(item["inputs"]["mg"]) / 1000)
    found = diluted(folder, "100% w/v", f"{item['inputs']['percent']}% w/v", "--from", f"{ml} mL")
    assert Fraction(found["make_up_to_ml"]) == Fraction(item["expected"])


def strength_of(item: Item, folder: Path) -> None:
    """T02-06 of the whole; T02-28 and T02-30 of substance and solvent, where the solvent is not the whole."""
    inputs, wanted = item["inputs"], item["expected"]
    if "g" in inputs:
        line = weighed(folder / "book", f"salt: {inputs['g']} g; water: to {inputs['mL']} mL")[0]
        assert (line["percent"], line["percent_of"]) == (wanted, "w/v")
        return
    amount = f"{inputs['solvent_g']} g" if "solvent_g" in inputs else f"{inputs['solvent_mL']} mL"
    liquid = f"density: {inputs.get('density', '1')}\nwater: 0 %"
    line = weighed(folder / "book", f"solute: {inputs['solute_g']} g; liquid: {amount}", liquid=liquid)[0]
    assert (line["percent"], line["percent_of"]) == (wanted, "w/w")
    grams = inputs.get("solvent_g") or show.exact(Fraction(inputs["solvent_mL"]) * Fraction(inputs["density"]))
    mixed = asked(folder / "mix", "mix", f"{inputs['solute_g']} g of 100%", f"{grams} g of 0%")
    assert mixed["gives"]["percent"] == wanted
    if item["id"] == "T02-30":
        assert round(Fraction(wanted), 2) != Fraction(item["printed"])


def one_plus_n(item: Item, folder: Path) -> None:
    first, _, others = item["inputs"]["ratio"].partition(":")
    total = f"{item['inputs']['total_g']} g"
    found = diluted(folder, "100%", f"{first} + {others}", "--obtain", total)
    assert Fraction(found["lines"][0]["grams"]) == Fraction(item["expected"])
    line = weighed(folder / "book", f"wax: {first} + {others}; base: to {total}")[0]
    assert Fraction(line["grams"]) == Fraction(item["expected"])


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
    """T02-16, T02-17: what a little of the stock has to hold is its strength; 1 mL of what is pure holds 1 g."""
    inputs = item["inputs"]
    weak = diluted(folder, "100% w/v", f"1 in {inputs['ratio']} w/v", "--obtain", f"{inputs['to_mL']} mL")
    stock = f"{weak['lines'][0]['ml']} in {inputs['take_mL']} w/v"
    have = f"{inputs.get('conc_percent', '100')}% w/v"
    found = diluted(folder, have, stock, "--obtain", f"{inputs['stock_mL']} mL")
    assert Fraction(found["lines"][0]["ml"]) == Fraction(item["expected"])


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
    inputs, expected = item["inputs"], Fraction(item["expected"])
    assert re.search(r"divide also by \(1 - LOD/100\)", item["note"])
    of = f"contains:\n  lactic acid: {inputs['assay_percent']} %"
    ways = {"as it is": (of, expected), "dried": (f"{of} of dried\ndrying: 10 %", expected / (1 - percent("10")))}
    for way, (front, wanted) in ways.items():
        lines = f"acid: {inputs['wanted_g']} g as lactic acid; base: to 100 g"
        line = weighed(folder / way, lines, acid=f"{front}\nwater: 0 %")[0]
        assert Fraction(line["grams"]) == wanted


def by_weight_and_volume(item: Item, folder: Path) -> None:
    """What a product of a density carries, by weight and by volume; and the same turned round, of what is left."""
    of, density, wanted = item["inputs"]["percent_ww"], item["inputs"]["density"], item["expected"]
    front = "contains:\n  salt: 100 %\nwater: 0 %"
    ways = {"carried": f"{of} %", "left": f"{{amount: 20 g, left: {wanted} % w/v}}"}
    for way, amount in ways.items():
        text = formula("F", f"salt: {amount}; water: to 100 g", f"density: {density}")
        answer = weigh(write_book(folder / way, {"F": text}, {"salt": front, "water": "water: 100 %"}), "F")
        assert answer["carries"] == [
            {
                "substance": "salt",
                "percent": of,
                "percent_low": of,
                "percent_high": of,
                "percent_wv": wanted,
                "from": [],
            }
        ]


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
