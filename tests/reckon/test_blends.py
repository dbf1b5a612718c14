"""Lines of diluted ethanol: what is weighed, and what every other figure sees of it.

Expected figures: 70 %vol is 62.386 % and 96 %vol 93.838 % by mass at 20 °C, 0.88556 g/mL (OIML R 22, T05); the rest is
own arithmetic.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.model import Balance, Book, Content, Formula, Line, Mass, Material, Percent, Phase
from bookgen.reckon.amounts import amounts
from bookgen.reckon.blends import Blend
from bookgen.reckon.ethanol import density, mass_share
from bookgen.reckon.figures import Figures, reckon
from bookgen.reckon.flow import flow
from bookgen.reckon.lye import TakingUp
from bookgen.reckon.metering import evaluate
from bookgen.reckon.scale import scale_table
from bookgen.reckon.storage import Preparation
from bookgen.source import read_book

from ..books_of_text import MATERIALS, ONE_BALANCE, check, formula, run, weigh, write_book

MORE = {
    "spirit": "density: 0.8074\nsoluble: water\nkind: liquid\ncontains:\n  ethanol: 96 %vol\nwater: 6.16 %",
    "old": "density: 0.8074\nkind: liquid\ncontains:\n  alcohol: 93.84 %\nwater: 6.16 %\ncautions: stings",
    "rain": "water: 100 %\nhazards: slippery",
}
NO_SOAP = TakingUp(fat=lambda line: Fraction(0), alkali=lambda line: Fraction(0), besides=lambda line: Fraction(0))
STRONG = mass_share(Fraction("0.7")) / mass_share(Fraction("0.96"))


def book_of(folder: Path, ingredients: str, *keys: str, more: dict[str, str] | None = None, **inner: str) -> Path:
    texts = {"F": formula("F", ingredients, *keys)} | {code: formula(code, text) for code, text in inner.items()}
    return write_book(folder, texts, {**MATERIALS, **MORE, **(more or {})}, ONE_BALANCE)


def figures(folder: Path, ingredients: str, *keys: str) -> Figures:
    return reckon(read_book(book_of(folder, ingredients, *keys))).figures["f"]


def first(answer: dict[str, Any]) -> dict[str, Any]:
    """Return the first line of a batch."""
    found: dict[str, Any] = answer["lines"][0]
    return found


@pytest.mark.parametrize(
    ("line", "strong", "water"),
    [
        pytest.param("60 g of 70 %vol", "39.89", "20.11", id="by weight"),
        pytest.param("60 % of 70 %vol", "39.89", "20.11", id="in percent"),
        pytest.param("100 mL of 70 %vol", "58.88", "29.68", id="by volume, at its own density"),
        pytest.param("60 g of 96 %vol", "60.00", "0.00", id="as strong as it is"),
        pytest.param("q.s. to a thin film (about 60 g of 70 %vol)", "39.89", "20.11", id="as a usual amount"),
    ],
)
def test_what_is_weighed(tmp_path: Path, line: str, strong: str, water: str) -> None:
    answer = weigh(book_of(tmp_path, f"spirit: {line}; water: 1 g; a: to 100 g", "makes: 100 g"), "F")
    blend = first(answer)["blend"]
    assert (blend["strong_g"], blend["water_g"]) == (strong, water)
    assert Fraction(blend["strong_g"]) + Fraction(blend["water_g"]) == Fraction(first(answer)["metered_g"])
    assert blend["water_material"] == ("water" if Fraction(water) else None)
    assert blend["have_percent_vol"] == "96"
    assert blend["at_c"] == 20
    assert all(one["blend"] is None for one in answer["lines"][1:])


def test_a_fill_and_its_strengths(tmp_path: Path) -> None:
    blend = first(weigh(book_of(tmp_path, "old: to 100 g of 70 %vol; water: 1 g"), "F"))["blend"]
    assert abs(Fraction(blend["want_percent_mass"]) - Fraction("62.3861")) < Fraction(1, 10_000)
    assert (blend["strong_g"], blend["water_g"]) == ("65.82", "33.18")
    assert abs(Fraction(blend["have_percent_vol"]) - 96) < Fraction(1, 100)  # turned from the share by weight


def test_composition_contents_storage_and_cautions_see_both(tmp_path: Path) -> None:
    found = figures(tmp_path, "old: 60 g of 70 %vol; rain: 1 g; a: 39 g")
    assert isinstance(blend := found.amounts.lines[0].blend, Blend)
    assert blend.water == "rain"
    shares = found.composition.shares
    assert isinstance(shares, dict)
    assert sum(shares.values()) == 1
    assert shares["old"] == Fraction("0.6") * blend.strong
    assert shares["rain"] == Fraction("0.6") * (1 - blend.strong) + Fraction("0.01")
    assert found.composition.handled == {"old", "rain", "a"}
    assert found.storage.preparation is Preparation.ALCOHOL
    assert found.storage.alcohol == Fraction("0.6") * blend.want
    assert isinstance(found.contents.carried, tuple)
    assert [(one.substance, one.share) for one in found.contents.carried] == [("alcohol", Fraction("0.6") * blend.want)]


def test_water_that_no_line_lists_is_handled_too(tmp_path: Path) -> None:
    book = book_of(tmp_path, "spirit: 60 g of 70 %vol; a: 40 g", more={"rain": "water: 99 %"})
    found = reckon(read_book(book)).figures["f"]
    assert found.composition.materials == found.composition.handled == {"spirit", "water", "a"}
    assert check(book) == []


def test_a_stock_counts_the_strong_part_alone(tmp_path: Path) -> None:
    book = book_of(tmp_path, "I: 50 g; spirit: 25 g of 70 %vol; water: 1 g; a: to 100 g", I="spirit: 30 %; a: to 100 g")
    status, answer = run(book, "weigh", "F", "--obtain", "40 g of spirit")
    assert status == 0
    assert Fraction(answer["obtain"]["g"]) == 40 / (Fraction("0.15") + Fraction("0.25") * STRONG)


def test_a_fill_by_volume_is_never_the_strong_one_alone(tmp_path: Path) -> None:
    book = book_of(tmp_path, "spirit: to 500 mL of 70 %vol; a: 1 g; water: 1 g")
    blend = first(weigh(book, "F"))["blend"]
    assert (blend["strong_g"], blend["want_percent_vol"]) == (None, "70")


def test_diluted_ethanol_is_neither_counted_in_drops_nor_a_diluent(tmp_path: Path) -> None:
    more = {
        "spirit": MORE["spirit"] + "\ndrops:\n  dropper: 0.02 g",
        "dye": "kind: powder\nsoluble: ethanol\nwater: 0 %",
    }
    book = book_of(tmp_path, "spirit: 50 g of 70 %vol; dye: 0.02 g; water: 1 g; a: to 100 g", more=more)
    dye = weigh(book, "F")["lines"][1]
    assert (dye["measure"], dye["plan"]) == ("weigh", None)
    small = book_of(tmp_path / "small", "spirit: 0.1 g of 70 %vol; water: 1 g; a: to 100 g", more=more)
    assert first(weigh(small, "F"))["measure"] == "weigh"


@given(
    grams=st.fractions(min_value=Fraction(1), max_value=Fraction(900), max_denominator=1000),
    want=st.integers(min_value=1, max_value=95),
    step=st.sampled_from(("1", "0.1", "0.01", "0.001")),
)
@settings(max_examples=60, deadline=None)
def test_the_two_weights_are_whole_steps_and_reach_the_strength(grams: Fraction, want: int, step: str) -> None:
    """Strength of what was really weighed, against the one wanted: off by no more than a step of the balance."""
    line = Line(material="spirit", amount=Mass(grams=grams, alcohol=Fraction(want, 100), text="so much"))
    spirit = Material(
        name="spirit",
        key="spirit",
        contains=(Content(substance="ethanol", share=Fraction("0.96"), by_volume=True, text="96 %vol"),),
    )
    water = Material(name="water", key="water", water=Percent(share=Fraction(1), text="100 %"))
    book = Book(materials={"spirit": spirit, "water": water})
    recipe = Formula(code="F", title="F", ingredients=(Phase(lines=(line,)),))
    have = mass_share(Fraction("0.96"))
    its = amounts(recipe, book, lambda key, substance, place: have, NO_SOAP)
    size = Fraction(step)
    table = scale_table(its, flow(recipe, its), (Balance(name="b", readability_g=size),), Fraction(1))
    one = evaluate(table, grams).lines[0]
    both = one.blended
    if both is None:  # less than the balance weighs
        return
    assert (both.strong_g / size).denominator == (both.water_g / size).denominator == 1
    assert both.strong_g + both.water_g == one.printed
    assert min(both.strong_g, both.water_g) >= 0
    if one.printed:
        reached = both.strong_g * have / one.printed
        assert abs(reached - mass_share(Fraction(want, 100))) <= size / one.printed


def test_density_of_the_diluted_one_gives_its_weight(tmp_path: Path) -> None:
    line = first(weigh(book_of(tmp_path, "spirit: 100 mL of 70 %vol; water: 1 g; a: to 200 g"), "F"))
    assert Fraction(line["grams"]) == 100 * density(mass_share(Fraction("0.7")))
