"""What one dose holds: worked by hand, and by an independent reckoning from the written figures alone."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.findings import Missing
from bookgen.reckon.doses import DoseFigure
from bookgen.reckon.figures import reckon
from bookgen.source import book_from

MATERIALS = {
    "drug": "water: 0 %\ncontains: {base: 80 %}",
    "salt": "water: 0 %",
    "herb": "density: 0.9\nwater: 0 %",
    "fat": "water: 0 %",
    "water": "density: 1\nwater: 100 %",
}


def dose(front: str, *lines: str) -> DoseFigure:
    files = {f"formulas/materials/{name}.md": f"---\nname: {name}\n{text}\n---\n" for name, text in MATERIALS.items()}
    body = "\n".join(f"  {line}" for line in lines)
    files["formulas/x.md"] = f"---\ncode: X\ntitle: X\nuse: swallowed\n{front}\ningredients:\n{body}\n---\n"
    book = book_from({path: text.encode() for path, text in files.items()})
    assert [str(finding) for finding in book.findings] == []
    found = reckon(book).figures["x"].dose
    assert found is not None
    return found


def held(found: DoseFigure) -> dict[str, str]:
    return {part.name: "" if isinstance(part.grams, Missing) else str(part.grams) for part in found.holds}


HOLDS = {
    # by hand; of what weighs and what is active
    "a syrup by volume needs no density": (
        ("makes: 100 mL\ndose: 5 mL", "drug: 2.4 g, active", "salt: 1 g", "water: to 100 mL"), {"drug": "3/25"},
    ),
    "mL by weight through the density": (
        ("makes: 100 g\ndensity: 1.2\ndose: 5 mL", "drug: 2 %, active", "water: to 100 g"), {"drug": "3/25"},
    ),
    "g of a formula by volume through the density": (
        ("makes: 100 mL\ndensity: 1.25\ndose: 5 g", "drug: 5 g, active", "water: to 100 mL"), {"drug": "1/5"},
    ),
    "g": (("makes: 100 g\ndose: 500 mg", "drug: 2 %, active", "water: to 100 g"), {"drug": "1/100"}),
    "drops by their weight": (
        ("makes: 100 g\ndose: 20 drops (0.5 g)", "drug: 2 %, active", "water: to 100 g"), {"drug": "1/100"},
    ),
    "pieces": (("makes: 30 capsules\ndose: 2 capsules", "drug: 250 mg each, active", "salt: to 300 mg each"),
               {"drug": "1/2"}),
    "pieces of a casting that loses some": (
        ("makes: 10 suppositories\nyield: 90 %\ndose: 1 piece", "drug: 100 mg each, active", "fat: to 2 g each"),
        {"drug": "1/10"},
    ),
    "a substance is told as such": (
        ("makes: 100 g\ndose: 2 g", "drug: 4 % as base, active", "water: to 100 g"), {"base": "2/25"},
    ),
    "so is one by volume": (
        ("makes: 100 mL\ndose: 5 mL", "drug: 2 g as base, active", "water: to 100 mL"), {"base": "1/10"},
    ),
    "no line called active: all but the fill": (
        ("makes: 100 g\ndose: 2 g", "drug: 4 %", "salt: 1 %", "water: to 100 g"), {"drug": "2/25", "salt": "1/50"},
    ),
    "two lines of one material": (
        ("makes: 100 g\ndose: 2 g", "A:", "  drug: 4 %, active", "B:", "  drug: 1 %, drug", "  water: to 100 g"),
        {"drug": "1/50"},
    ),
    "what boils away leaves more in a dose": (
        ("makes: 100 g\ndose: 2 g", "drug: 4 g, active", "water: {amount: 96 g, evaporates: 20 g}"), {"drug": "1/10"},
    ),
    "what is made up again leaves the volume as it was": (
        ("makes: 100 mL\ndose: 5 mL", "drug: 4 g, active", "herb: {amount: 10 g, evaporates: 2 g, made up: yes}",
         "water: to 100 mL"),
        {"drug": "1/5"},
    ),
    "what boils away from a volume is not known": (
        ("makes: 100 mL\ndose: 5 mL", "drug: 4 g, active", "herb: {amount: 10 g, evaporates: 2 g}", "water: to 100 mL"),
        {"drug": ""},
    ),
    "an aid is not in it": (
        ("makes: 100 g\ndose: 2 g", "drug: 4 %, active", "salt: {amount: 9 g, removed: filtered, function: active}",
         "water: to 100 g"), {"drug": "2/25"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", HOLDS)
def test_by_hand(case: str) -> None:
    (front, *lines), expected = HOLDS[case]
    assert held(dose(front, *lines)) == expected


def test_drops_from_another_dropper_weigh_a_third_more_or_less() -> None:
    found = dose("makes: 100 g\ndensity: 1.25\ndose: 20 drops (0.6 g)", "drug: 2 %, active", "water: to 100 g")
    assert (found.grams, found.low, found.high, found.ml) == tuple(map(Fraction, ("0.6", "0.4", "0.8", "0.48")))
    weighed = dose("makes: 100 g\ndose: 0.6 g", "drug: 2 %, active", "water: to 100 g")
    assert weighed.low == weighed.high == Fraction("0.6")


def test_what_stays_at_most_is_told_so() -> None:
    found = dose("makes: 100 g\ndose: 2 g", "herb: {amount: 2 g, left: at most 0.05 %, function: drug}", "water: 98 g")
    assert [(part.grams, part.at_most) for part in found.holds] == [(Fraction("0.001"), True)]


@given(
    grams=st.lists(st.integers(1, 400), min_size=2, max_size=2),
    percent=st.integers(1, 150).map(lambda tenths: Fraction(tenths, 10)),
    density=st.integers(70, 140).map(lambda hundredths: Fraction(hundredths, 100)),
    ml=st.integers(1, 40).map(lambda halves: Fraction(halves, 2)),
    by_volume=st.booleans(),
)
@settings(max_examples=12, deadline=None)
def test_against_an_independent_reckoning(
    grams: list[int], percent: Fraction, density: Fraction, ml: Fraction, by_volume: bool
) -> None:
    """Two drugs in mg, one in %; the product's grams are its millilitres × density, whichever of them it makes."""
    unit, kind = ("mL", " w/v") if by_volume else ("g", "")
    lines = [f"{name}: {much} mg, active" for name, much in zip(("drug", "salt"), grams, strict=True)]
    found = dose(
        f"makes: 50 {unit}\ndensity: {float(density)}\ndose: {float(ml)} mL",
        *lines, f"herb: {float(percent)} %{kind}, active", f"water: to 50 {unit}",
    )  # fmt: skip
    part = ml / 50 if by_volume else ml * density / 50  # of what the written amounts make
    wanted = [Fraction(much, 1000) * part for much in grams] + [percent / 2 * part]
    assert [each.grams for each in found.holds] == wanted
