"""Published check values through the real code: little books and `weigh`, or the public functions of a topic.

One test for each item of `check_values/` that the code computes; its source stands in the test's name.  What has
nothing to compute is listed in `FACTS`, so that no item is left out unseen.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from bookgen.model import DropperLine, DropperWeighing, Period, Workroom
from bookgen.reckon.droppers import STATED_SPREAD, DropMass, drop_mass, stated_range
from bookgen.reckon.made import YIELD_SEEN
from bookgen.reckon.measure import half_up, least_weighable
from bookgen.reckon.storage import PeriodRule, after, use_by
from bookgen.reference import storage_periods
from bookgen.show import fixed, metered, places_of, significant
from bookgen.source import read_book
from bookgen.wording.saying import told

from .bench_values import BENCH
from .books_of_text import check, column, formula, run, write_book
from .density_values import DENSITIES, DENSITY_FACTS, Measured, beside_the_table
from .dissolving_values import DISSOLVING
from .hlb_values import HLB
from .paper_values import PAPER, PAPER_FACTS
from .preserving_values import PRESERVING
from .soap_values import SOAP
from .strength_values import STRENGTHS
from .tables import table

HERE = Path(__file__).parent / "check_values"
Item = dict[str, Any]
ITEMS: dict[str, Item] = {item["id"]: item for path in sorted(HERE.glob("*.yaml")) for item in table(path)}
FACTS = {
    "T08-05": "the rule before November 2023",
    "T08-09": "temperature range of a place",
    "T08-10": "temperature range of a place",
    "T08-11": "temperature range of a place",
    "T08-12": "temperature range of a place",
    "T11-05": "how two sources dilute a stronger water",
    **DENSITY_FACTS,
    **PAPER_FACTS,
}
"""Items with nothing to compute here, and why."""

FINE = "balances:\n  - {name: fine, readability: 0.0001 g, capacity: 5000 g}\n"
COARSE = "balances:\n  - {name: coarse, readability: 1 g, capacity: 5000 g}\n"


def answer_for(
    folder: Path,
    lines: str,
    obtain: str | None,
    *keys: str,
    workroom: str = FINE,
    materials: dict[str, str] | None = None,
) -> dict[str, Any]:
    """Return the JSON of a batch of one formula; every name in it is a plain material unless given."""
    names = {line.split(":", 1)[0].strip(): "water: 0 %" for line in lines.split(";")}
    return of_book(folder, {"F": formula("F", lines, *keys)}, obtain, {**names, **(materials or {})}, workroom)


def of_book(
    folder: Path, formulas: dict[str, str], obtain: str | None, materials: dict[str, str], workroom: str = FINE
) -> dict[str, Any]:
    """Return the JSON of a batch of F."""
    book = write_book(folder, formulas, materials, workroom)
    status, answer = run(book, "weigh", "F", *(["--obtain", obtain] if obtain else []))
    assert status == 0, answer
    return answer


def name_and_unit(key: str) -> tuple[str, str]:
    """Return what a key such as `zinc_oxide_g` names, and its unit."""
    name, _, unit = key.rpartition("_")
    return name.replace("_", "-"), unit


def by_material(answer: dict[str, Any], field: str) -> dict[str, str]:
    """Return one field by the line's material."""
    return {line["material"]: line[field] for line in answer["lines"]}


# ── Scaling, mass fractions, parts ────────────────────────────────────────────────────────────────────────────────


def scaled(item: Item, folder: Path) -> None:
    """Every line of a formula, for another batch: g and mL side by side."""
    inputs = dict(item["inputs"])
    written: dict[str, str] = inputs.pop("formula", {})
    wanted_key = next(key for key in inputs if key.startswith("wanted"))
    unit = wanted_key.rpartition("_")[2]
    wanted = inputs.pop(wanted_key)
    whole = next((inputs.pop(key) for key in list(inputs) if key.startswith(("formula_", "to_"))), None)
    written = written or inputs
    expected = item["expected"]
    expected = expected if isinstance(expected, dict) else {list(written)[-1 if unit == "mL" else 1]: expected}
    lines, keys = [], () if whole is None or unit == "mL" else (f"makes: {whole} g",)
    for key, amount in written.items():
        name, its = name_and_unit(key) if "_" in key else ("drug", key)
        lines.append(f"{name}: {amount} {its}")
    if unit == "mL":
        lines.append(f"vehicle: to {whole} mL")
    found = answer_for(folder, "; ".join(lines), f"{wanted} {unit}", *keys)
    assert found["obtain"][unit.casefold()] == wanted
    for key, amount in expected.items():
        name, its = name_and_unit(key) if "_" in key else ("drug", key)
        line = next(line for line in found["lines"] if line["material"] == name)
        assert Fraction(line["grams" if its == "g" else "ml"]) == Fraction(amount), name


def shares(item: Item, folder: Path) -> None:
    """Percentages of the whole, intermediates expanded."""
    inputs = dict(item["inputs"])
    if "batch_g" in inputs:
        found = answer_for(folder, f"a: {inputs['grams']} g; b: to {inputs['batch_g']} g", None)
        assert found["lines"][0]["percent"] == item["expected"]
        return
    groups = {key: value for key, value in inputs.items() if isinstance(value, dict)}
    top = {key: value for key, value in inputs.items() if key not in groups} or groups.pop("aqueous_cream")
    code = {key: f"I-{key.replace('_', '-')}" for key in groups}
    code |= {"zinc_oxide_paste": code["paste"]} if "paste" in code else {}

    def text(own: str, parts: dict[str, str]) -> str:
        lines = "; ".join(f"{code.get(key, key.replace('_', '-'))}: {amount} g" for key, amount in parts.items())
        return formula(own, lines)

    formulas = {"F": text("F", top)} | {code[key]: text(code[key], parts) for key, parts in groups.items()}
    names = {key.replace("_", "-") for parts in (top, *groups.values()) for key in parts if key not in code}
    found = of_book(folder, formulas, None, dict.fromkeys(names, "water: 0 %"))
    composition = {row["material"]: row["percent"] for row in found["composition"]}
    assert composition == {key.replace("_", "-"): value for key, value in item["expected"].items()}
    assert sum(Fraction(share) for share in composition.values()) == 100


def total_of_masses_and_volumes(item: Item, folder: Path) -> None:
    """T01-11: a written total that is only about what the lines add up to."""
    inputs = item["inputs"]
    amounts = [f"{one} g" for one in inputs["g"]] + [f"{one} mL" for one in inputs["mL"]]
    lines = "; ".join(f"m{number}: {amount}" for number, amount in enumerate(amounts))
    dense = {f"m{number}": f"density: {inputs['assumed_density']}\nwater: 0 %" for number in range(len(amounts))}
    found = answer_for(folder, lines, None, "makes: about 1000 g", materials=dense)
    assert found["makes"]["g"] == item["expected"]
    assert check(folder) == []


def total_of_parts(item: Item, folder: Path) -> None:
    """T01-12: the parts add up to the total, so that each is its percentage."""
    parts = item["inputs"]["parts"]
    found = answer_for(folder, "; ".join(f"m{number}: {one} parts" for number, one in enumerate(parts)), None)
    assert column(found, "percent") == parts
    assert sum(Fraction(one) for one in column(found, "percent")) == Fraction(item["expected"])


def parts(item: Item, folder: Path) -> None:
    """Parts that do not add up to 100: as percentages, or as grams of a batch."""
    written = item["inputs"]["parts"]
    lines = "; ".join(f"{key.replace('_', '-')}: {amount} parts" for key, amount in written.items())
    total = item["inputs"].get("total_g")
    found = answer_for(folder, lines, f"{total} g" if total else None)
    field = "grams" if total else "percent"
    wanted = {key.replace("_", "-"): Fraction(value) for key, value in item["expected"].items()}
    assert {key: Fraction(value) for key, value in by_material(found, field).items()} == wanted


# ── Drops ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def calibrated(drops: str, grams: Fraction | str) -> DropMass:
    """Return the drop mass of one weighing of counted drops."""
    weighing = DropperWeighing(drops=int(drops), grams=Fraction(grams))
    found = drop_mass(DropperLine(dropper="pipette", weighings=(weighing,)))
    assert isinstance(found, DropMass)
    return found


def drop_of_water(item: Item, folder: Path) -> None:
    """T03-02: the standard dropper's mean is the drop mass, and its tolerance the range of two weighings."""
    expected, drops = item["expected"], item["inputs"]["drops"]
    assert calibrated(drops, expected["mean_g"]).grams * 1000 == Fraction(expected["mg_per_drop"])
    mean, tolerance = Fraction(expected["mean_g"]), Fraction(expected["tolerance_g"])
    both = tuple(DropperWeighing(drops=int(drops), grams=mean + side) for side in (-tolerance, tolerance))
    found = drop_mass(DropperLine(dropper="standard", weighings=both))
    assert isinstance(found, DropMass)
    assert found.grams * 1000 == Fraction(expected["mg_per_drop"])
    assert (found.high - found.low) * int(drops) == 2 * tolerance


def drop_mass_in_mg(item: Item, folder: Path) -> None:
    assert calibrated(item["inputs"]["drops"], item["inputs"]["g"]).grams * 1000 == Fraction(item["expected"])


def drops_per_gram(item: Item, folder: Path) -> None:
    """T03-09: the average of three studies; a single stated figure carries their spread."""
    inputs, expected = item["inputs"], item["expected"]
    drop = calibrated(inputs["drops"], inputs["g"])
    assert 1 / drop.grams == Fraction(expected["drops_per_g"])
    assert Fraction(inputs["density"]) / drop.grams == Fraction(expected["drops_per_mL"])
    assert abs(STATED_SPREAD - Fraction(item["tolerance"]["rel"])) < Fraction(1, 200)
    low, high = stated_range(drop.grams)
    assert (high - drop.grams) / drop.grams == (drop.grams - low) / drop.grams == STATED_SPREAD
    assert 20 <= Fraction(inputs["density"]) / high < Fraction(expected["drops_per_mL"])
    stated = drop_mass(DropperLine(dropper="pipette", stated_g=drop.grams))
    assert isinstance(stated, DropMass)
    assert (stated.low, stated.high) == (low, high)


def drops_to_fill(item: Item, folder: Path) -> None:
    """T03-04: 35 drops fill to 2 mL, so 1 mL is 17.5 drops, counted as 18."""
    drops, ml = item["inputs"]["drops"], item["inputs"]["mL"]
    liquid = {"liquid": f"density: 1\nwater: 0 %\ndrops:\n  dropper:\n    - {drops} drops {ml} g"}
    found = answer_for(folder, "liquid: 1 mL; base: to 100 g", None, workroom=COARSE, materials=liquid)
    line = found["lines"][0]
    assert line["drops_exact"] == item["expected"]
    assert (line["measure"], line["drops"]) == ("drops", 18)


def dose_in_drops(item: Item, folder: Path) -> None:
    """T03-05: the drops that carry a dose, from the strength and the calibrated dropper."""
    inputs = item["inputs"]
    strength = Fraction(inputs["mg"]) / Fraction(inputs["mL"]) / 10  # mg per mL as % of 1 g per mL
    drop = f"drops:\n  dropper:\n    - {inputs['drops_per_mL']} drops 1 g"
    syrup = {"syrup": f"density: 1\ncontains:\n  drug: {fixed(strength, 3)} %\n{drop}"}
    lines = f"syrup: {inputs['dose_mg']} mg as drug; base: to 100 g"
    line = answer_for(folder, lines, None, workroom=COARSE, materials=syrup)["lines"][0]
    assert line["drops"] == int(item["expected"])
    assert line["drop_error_percent"] == "0"


def drops_to_mass(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    oil = {"oil": f"density: {inputs['density']}\ndrops:\n  dropper:\n    - "
                  f"{inputs['drops_per_mL']} drops {inputs['density']} g"}  # fmt: skip
    found = answer_for(folder, f"oil: {inputs['drops']} drops; base: to 100 g", None, materials=oil)
    assert Fraction(found["lines"][0]["grams"]) == Fraction(item["expected"])


def drops_of_a_mass(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    oil = {"oil": f"drops:\n  dropper: {inputs['drop_g']} g"}
    found = answer_for(folder, f"oil: {inputs['grams']} g; base: to 100 g", None, workroom=COARSE, materials=oil)
    assert found["lines"][0]["drops"] == int(item["expected"])


# ── Weighing ──────────────────────────────────────────────────────────────────────────────────────────────────────


def least(item: Item, folder: Path) -> None:
    """The least weighable quantity, and that the bench takes so much without a word and asks about less."""
    inputs = item["inputs"]
    step = Fraction(inputs.get("sensitivity_mg") or inputs["accuracy_mg"])
    error = Fraction(inputs["error_percent"]) / 100
    expected = item["expected"]
    wanted = Fraction(expected["least_mg"] if isinstance(expected, dict) else expected)
    assert least_weighable(step, error) == wanted
    room = (
        f"accepted error: {inputs['error_percent']} %\n"
        f"balances:\n  - {{name: torsion, readability: {fixed(step, 0)} mg, capacity: 120 g}}\n"
    )
    for mg, queried in ((wanted, False), (wanted - 1, True)):
        answer = answer_for(folder / str(queried), f"a: {fixed(mg, 0)} mg; b: to 100 g", None, workroom=room)
        line = answer["lines"][0]
        assert line["measure"] == "weigh"
        assert Fraction(line["least_g"]) * 1000 == wanted
        assert (Fraction(line["error_percent"]) > Fraction(inputs["error_percent"])) == queried
        assert ("below-least-weighable" in [one["rule"] for one in answer["findings"]]) == queried
    if isinstance(expected, dict):
        for weighed in (200, 300):
            assert least_weighable(step, Fraction(expected[f"error_{weighed}_percent"]) / 100) == weighed


def error_of_a_weighing(item: Item, folder: Path) -> None:
    """A weight is the least weighable quantity at exactly the error it has."""
    if item["id"] == "T04-14":
        cases = [
            ("1000", item["expected"]["one_g_percent"], "8000"),
            ("10", item["expected"]["centigram_percent"], "8000"),
        ]
    else:
        weighed, errors = item["inputs"]["weighed_mg"], item["expected"]
        pairs = zip(weighed, errors, strict=True) if isinstance(weighed, list) else [(weighed, errors)]
        cases = [(item["inputs"]["sensitivity_mg"], error, mg) for mg, error in pairs]
    for step, error, mg in cases:
        assert least_weighable(Fraction(step), Fraction(error) / 100) == Fraction(mg)


def accepted_error(item: Item, folder: Path) -> None:
    """T13-10: what the workroom accepts when nothing is written, in the record and at the bench."""
    assert Workroom().accepted_error.share * 100 == Fraction(item["expected"])
    line = answer_for(folder, "a: 1 g; b: to 100 g", None)["lines"][0]
    assert Fraction("0.0001") / Fraction(line["least_g"]) * 100 == Fraction(item["expected"])


# ── Storage ───────────────────────────────────────────────────────────────────────────────────────────────────────

PREPARATIONS = {
    "water, unpreserved": ("water", "aqua: 90 %; b: to 100 g"),
    "water, preserved": ("preserved", "aqua: 90 %; guard: 1 %, preservative; b: to 100 g"),
    "no water": ("no_water", "a: 90 %; b: to 100 g"),
}


def longest_period(item: Item, folder: Path) -> None:
    """The published period is the reference's, and the use-by date of a little formula."""
    kind, lines = PREPARATIONS[item["inputs"]["preparation"]]
    assert storage_periods()[kind].days == int(item["expected"])
    found = answer_for(folder, lines, None, materials={"aqua": "water: 100 %"})
    assert date.fromisoformat(found["use_by"]) == date(2026, 3, 2) + timedelta(days=int(item["expected"]))
    assert "795" in found["why"]["use_by"]


def last_day(item: Item, folder: Path) -> None:
    """The date of a period: plain addition, months clipped, the earliest limit."""
    inputs, expected = item["inputs"], item["expected"]
    made = date.fromisoformat(inputs["made"])
    if "months" in inputs:
        months = int(inputs["months"])
        assert after(made, Period(months=months, text=f"{months} months")) == date.fromisoformat(expected)
        return
    days = int(inputs["days"])
    limits = [PeriodRule(period=Period(days=days, text=f"{days} days"), place=None, whose=told("the rule"))]
    if "ingredient_expiry" in inputs:
        left = (date.fromisoformat(inputs["ingredient_expiry"]) - made).days
        limits.append(PeriodRule(period=Period(days=left, text=f"{left} days"), place=None, whose=told("the lot")))
        assert use_by(made, limits) == (date.fromisoformat(expected), told("the lot"))
        return
    taken = date.fromisoformat(expected[item["ours"]])
    assert use_by(made, limits) == (taken, told("the rule"))
    assert taken - timedelta(days=1) == date.fromisoformat(expected["day_of_making_is_day_1"])


# ── Waters, rounding, yield ───────────────────────────────────────────────────────────────────────────────────────


def common_yield(item: Item, folder: Path) -> None:
    """T13-09: what came out of what was planned, below and above which a batch record has to say why."""
    assert [share * 100 for share in YIELD_SEEN] == [Fraction(item["expected"][end]) for end in ("low", "high")]


def water_by_phosphate(item: Item, folder: Path) -> None:
    """T11-02: 0.20 of oil and 0.40 of phosphate to 100, for 1000."""
    lines = "oil: 0.20 mL; phosphate: {amount: 0.40 g, removed: filtered}; aqua: to 100 mL"
    found = answer_for(folder, lines, "1000 mL")
    assert by_material(found, "ml")["oil"] == item["expected"]["oil_per_1000"]
    assert by_material(found, "grams")["phosphate"] == item["expected"]["phosphate_per_1000"]


def dilution(item: Item, folder: Path) -> None:
    """T11-04: what 1 + 39 of a concentrated water holds; volumes stand for weights at a density of 1."""
    inputs = item["inputs"]
    others = int(inputs["factor"]) - 1
    formulas = {
        "C": formula("C", f"oil: {inputs['percent']} % v/v; spirit: to 1000 mL", "density: 1"),
        "F": formula("F", f"C: 1 + {others} v/v; aqua: to 1000 mL", "density: 1"),
    }
    dense = "density: 1\nwater: 0 %"
    found = of_book(folder, formulas, None, {"oil": dense, "spirit": dense, "aqua": dense})
    assert {row["material"]: row["percent"] for row in found["composition"]}["oil"] == item["expected"]


def rounding(item: Item, folder: Path) -> None:
    """Half up in whole steps and in shown digits, once, from the exact value."""
    inputs, wanted = item["inputs"], item["half_up"]
    values, steps = inputs.get("values", [inputs.get("value")]), inputs.get("to")
    steps = steps if isinstance(steps, list) else [steps] * len(values)
    wanted = wanted if isinstance(wanted, list) else [wanted]
    for value, step, result in zip(values, steps, wanted, strict=True):
        assert half_up(Fraction(value), Fraction(step)) == Fraction(result), value
        assert Fraction(fixed(Fraction(value), places_of(Fraction(step)))) == Fraction(result), value
        assert Fraction(metered(Fraction(value), Fraction(step))) == Fraction(result), value


def significant_figures(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    assert significant(Fraction(inputs["value"]), int(inputs["figures"])) == item["half_up"]


def residue(item: Item, folder: Path) -> None:
    """T13-11: rounded thirds do not make the whole: a written total misses, a fill takes the residue."""
    count = int(item["inputs"]["parts"])
    third = fixed(Fraction(100, count), 1)
    assert count * Fraction(third) == Fraction(item["expected"]["sum"])
    lines = [f"m{number}: {third} %" for number in range(count)]
    names = {f"m{number}": "water: 0 %" for number in range(count)}
    (finding,) = check(write_book(folder / "short", {"F": formula("F", "; ".join(lines))}, names, FINE))
    assert f"{item['expected']['residue']} g short" in finding["message"]
    filled = answer_for(folder / "filled", "; ".join([*lines[1:], "m0: q.s."]), None)
    assert filled["lines"][-1]["percent"] == fixed(Fraction(third) + Fraction(item["expected"]["residue"]), 1)


def yields(item: Item, folder: Path) -> None:
    inputs, expected = item["inputs"], item["expected"]
    keys = (f"makes: {inputs['theoretical_g']} g", f"yield: {expected['yield_percent']} %")
    found = answer_for(folder, "a: 10 %; b: q.s.", None, *keys)
    assert (found["start_g"], found["obtain"]["g"]) == (inputs["theoretical_g"], inputs["obtained_g"])
    assert Fraction(found["start_g"]) - Fraction(found["obtain"]["g"]) == Fraction(expected["loss_g"])
    asked = answer_for(folder / "asked", "a: 10 %; b: q.s.", f"{inputs['obtained_g']} g", *keys)
    assert asked["start_g"] == inputs["theoretical_g"]


def cooled(item: Item, folder: Path) -> None:
    """TR-04: a phase that says "cooled to 40 °C" carries the temperature."""
    text = f"A, boiled and cooled to {item['expected']} {item['unit']}:\n    a: 10 g"
    book = read_book(write_book(folder, {"F": formula("F", text)}, {"a": "water: 0 %"}, FINE))
    (phase,) = book.formulas["f"].ingredients
    assert phase.temperature_c == Fraction(item["expected"])


# ── Which is held to which ────────────────────────────────────────────────────────────────────────────────────────

Holds = Callable[[Item, Path], None]
BY_TOPIC: dict[str, Holds] = {
    "scaling": scaled,
    "mass fraction": shares,
    "mass fraction, nested": shares,
    "parts": parts,
    "least weighable": least,
    "least weighable and error": least,
    "error of a weighing": error_of_a_weighing,
    "accepted error": accepted_error,
    "longest period": longest_period,
    "use-by": last_day,
    "dilution": dilution,
    "rounding": rounding,
    "rounding half up": rounding,
    "rounding half to even": rounding,
    "significant figures": significant_figures,
    "yield": yields,
    "yield that is common": common_yield,
    "drops to mass": drops_to_mass,
    "drops of a mass": drops_of_a_mass,
    "temperature": cooled,
    **STRENGTHS,
    **DENSITIES,
    **BENCH,
    **PAPER,
    **DISSOLVING,
    **HLB,
    **PRESERVING,
    **SOAP,
}
BY_ITEM: dict[str, Holds] = {
    "T01-11": total_of_masses_and_volumes,
    "T01-12": total_of_parts,
    "T03-02": drop_of_water,
    "T03-04": drops_to_fill,
    "T03-05": dose_in_drops,
    "T03-08": drop_mass_in_mg,
    "T03-09": drops_per_gram,
    "T11-02": water_by_phosphate,
    "T13-11": residue,
}


def named(item: Item) -> str:
    """Return a test's name: the item and its source."""
    return f"{item['id']}: {item['source']}"


@pytest.mark.parametrize("item", [pytest.param(one, id=named(one)) for key, one in ITEMS.items() if key not in FACTS])
def test_published_value(item: Item, tmp_path: Path) -> None:
    hold = BY_ITEM.get(item["id"]) or BY_TOPIC[item["checks"]]
    hold(item, tmp_path / "book")


def test_every_item_is_computed_or_a_fact() -> None:
    """Each item has its computation, and a fact left out is one of the files."""
    assert FACTS.keys() <= ITEMS.keys()
    for key, item in ITEMS.items():
        if key not in FACTS:
            assert key in BY_ITEM or item["checks"] in BY_TOPIC, key


# ── Where a value comes from ──────────────────────────────────────────────────────────────────────────────────────

CLASSES = {
    "read", "worked out", "directive", "secondary", "library", "from memory", "own arithmetic", "trade practice",
}  # fmt: skip
"""What is said of each item's answer; the head of each file says what the words mean."""
OWN_PAGES = {
    "abpharmacy.ca", "allbachelor.com", "answers.uillinois.edu", "chem.fsu.edu", "collegeofpharmacy.com",
    "faq.edqm.eu", "fipa2exam2.passetra.com", "gafacom.website", "legislation.gov.uk", "mainthebest.com",
    "naplexstudy.com", "pharmlabs.unc.edu", "pmc.ncbi.nlm.nih.gov", "polymedia.pl", "restorehealthconsulting.com",
    "tisserandinstitute.org", "uhphar-4330.herokuapp.com", "unitplanet.com", "www.concretebasics.org",
    "www.finarchemicals.com", "www.hartnell.cc.ca.us", "www.medicines.org.uk", "www.museum.dent.uoa.gr",
    "www.pharmaacademias.com", "www.pharmacalculation.com", "www.pharmacy-tech-test.com", "www.retrobibliothek.de",
}  # fmt: skip
"""Where a page is the source itself, its publisher's or a library's; copies and shared files are cited without."""


def figures_in(value: Any) -> list[str]:
    """Return every figure of an item's answer."""
    if isinstance(value, dict | list):
        return [one for part in (value.values() if isinstance(value, dict) else value) for one in figures_in(part)]
    return [value]


@pytest.mark.parametrize("key", ITEMS)
def test_an_item_says_how_its_answer_is_known(key: str) -> None:
    """What was read is printed in the source to the digits it prints; what is not so was worked out, and says so."""
    item = ITEMS[key]
    assert item["class"] in CLASSES
    assert ("beside" in item) == (item["class"] == "directive")
    if item["class"] == "read":
        printed = re.findall(r"\d+(?:\.\d+)?", item["printed"])
        for figure in figures_in(item["expected"]):
            assert any(
                abs(Fraction(figure) - Fraction(one)) <= Fraction(1, 2 * 10 ** len(one.partition(".")[2]))
                for one in printed
            ), figure
    hosts = set(re.findall(r"https?://([^/\s]+)", item.get("address", "")))
    assert hosts <= OWN_PAGES


def test_a_standard_whose_text_was_not_seen_is_secondary() -> None:
    for item in ITEMS.values():
        if "<795>" in item["source"] + item["problem"]:
            assert item["class"] in ("secondary", "worked out", "from memory"), item["id"]


@pytest.mark.parametrize("key", [key for key, item in ITEMS.items() if item["class"] == "directive"])
def test_the_directive_agrees_with_a_measured_table(key: str) -> None:
    item = ITEMS[key]
    beside_the_table(item, Measured(ITEMS[one] for one in item["beside"]))


def test_the_formula_of_the_directive_is_named_where_it_was_used() -> None:
    named = {key for key, item in ITEMS.items() if "Directive 76/766" in item["source"]}
    assert named == {key for key, item in ITEMS.items() if item["class"] == "directive"}
