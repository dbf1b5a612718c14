"""Millilitres and grams on a page: what 1 mL weighs, and where a density comes from."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bookgen.findings import Missing
from bookgen.reckon.figures import reckon
from bookgen.source import book_from

from .test_usual import files_of, formula, pages_of

SPIRIT = "name: spirit\nkind: liquid\ndensity: 0.807 g/mL at 20 °C\n"
GLYCOL = "name: glycol\nkind: liquid\ndensity: 1.036 at 25/25 °C\n"
PLACES = ("formulas/F-1.html", "F-1")


def page_of(lines: str, place: str, **materials: str) -> str:
    pages = pages_of(**{"F-1": formula("F-1", lines), **materials})
    return " ".join(pages[place].replace("\u00a0", " ").replace("\u202f", " ").split())


@pytest.mark.parametrize("place", PLACES)
def test_a_line_in_ml_says_what_1_ml_weighs_where_it_is_not_1_g(place: str) -> None:
    page = page_of("spirit: 50 mL\nwater: to 100 g", place, spirit=SPIRIT)
    assert page.count("1 mL weighs 0.807 g at 20 °C.") == 1
    assert "1 mL weighs" not in page_of("spirit: 40 g\nwater: to 100 g", place, spirit=SPIRIT)
    assert "1 mL weighs" not in page_of("glycol: 50 mL\nwater: to 100 g", place, glycol=GLYCOL)


def test_a_line_that_accepts_less_error_says_it_sooner() -> None:
    lines = "glycol: {amount: 50 mL, error: 1 %}\nwater: to 100 g"
    assert "1 mL weighs 1.03 g at 25 °C." in page_of(lines, PLACES[0], glycol=GLYCOL)


def test_a_density_that_is_not_the_written_one_is_accounted_for() -> None:
    page = page_of("glycol: 5 mL\nwater: 20 mL\noil: to 100 g", PLACES[0], glycol=GLYCOL)
    assert "Density of glycol1.033 g/mL the specific gravity 1.036 at 25/25 °C, times the density of water" in page
    assert "Density of water0.9982 g/mL at 20 °C by formula, because it is nothing but water" in page
    assert "Density of" not in page_of("glycol: 5 g\nwater: 20 g\noil: to 100 g", PLACES[0], glycol=GLYCOL)


def test_water_that_states_no_density_is_weighed_and_is_never_1_g() -> None:
    figures = reckon(book_from(files_of(**{"F-1": formula("F-1", "water: 20 mL\noil: to 100 g")}))).figures["f-1"]
    assert figures.amounts.lines[0].grams == 20 * Fraction("0.9982067")


def test_water_that_is_not_all_water_still_needs_its_density() -> None:
    files = files_of(**{"F-1": formula("F-1", "gel: 20 mL\noil: to 100 g"), "gel": "name: gel\nwater: 99 %\n"})
    grams = reckon(book_from(files)).figures["f-1"].amounts.lines[0].grams
    assert isinstance(grams, Missing)
    assert grams.reason == "no density is written for gel"
