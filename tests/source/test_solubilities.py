"""How much dissolves in 100 g of a solvent: what is read, what is refused, and how a material's page shows it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookgen.model import Solubility, Solvent
from bookgen.pipeline import check_book
from bookgen.shown.material import material_shown
from bookgen.shown.shelf import shelf_of
from bookgen.source.solubilities import read_solubility

from ..books_of_text import write_book

READ = {
    "36 g": ("36", "36", None, "36 g"),
    "36g": ("36", "36", None, "36 g"),
    "0 g": ("0", "0", None, "0 g"),
    "5 mg": ("0.005", "0.005", None, "5 mg"),
    "30 to 36 g": ("30", "36", None, "30 to 36 g"),
    "30-36 g at 25 °C": ("30", "36", "25", "30 to 36 g at 25 °C"),
    "500 mg to 1 g": ("0.5", "1", None, "500 mg to 1 g"),
    "36 to 36 g": ("36", "36", None, "36 g"),
    "36 g, at 22.5 C": ("36", "36", "22.5", "36 g at 22.5 °C"),
}


@pytest.mark.parametrize("text", READ)
def test_what_is_read(text):
    low, high, celsius, tidied = READ[text]
    assert read_solubility(text, comma=False) == Solubility(
        low=Fraction(low), high=Fraction(high), at_c=None if celsius is None else Fraction(celsius), text=tidied
    )


REFUSED = {
    "30 to": (0, "`30 to` lacks an end: write both, as in 30 to 36 g."),
    "to 30 g": (0, "`to 30 g` lacks an end: write both, as in 30 to 36 g."),
    "30 mL to 36 g": (0, "30 mL is a volume: write a weight, such as 36 g."),
    "30 g to 36 mL": (8, "36 mL is a volume: write a weight, such as 36 g."),
    "1 in 0": (0, "1 in 0 is nothing: write figures above zero."),
    "1 in 1.2.3": (5, ""),
    "1:16": (0, "`1:16` counts parts: write how many grams 100 g of the solvent dissolve, 6.25 g."),
    "36 g at x °C": (8, "`x` is not a number: write it in digits."),
    "36": (2, "36 lacks a unit: write it as in 36 g."),
    "-3 g": (0, ""),
}


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_refused(text):
    at, words = REFUSED[text]
    complaint = read_solubility(text, comma=False)
    assert not isinstance(complaint, Solubility)
    assert complaint.at == at
    assert str(complaint.says).startswith(words)


def test_a_decimal_comma_in_its_book():
    read = read_solubility("0,5 to 1,25 g at 20 °C", comma=True)
    assert isinstance(read, Solubility)
    assert (read.low, read.high, read.text) == (Fraction(1, 2), Fraction(5, 4), "0.5 to 1.25 g at 20 °C")


@given(st.integers(0, 10**6), st.integers(0, 10**6))
def test_a_range_is_read_as_it_is_written(low, more):
    read = read_solubility(f"{low} to {low + more} mg", comma=False)
    assert isinstance(read, Solubility)
    assert (read.low, read.high) == (Fraction(low, 1000), Fraction(low + more, 1000))


def facts_of(front: str, folder) -> dict[str, str]:
    """Return the facts of a material's page by their term, spaces made ordinary."""
    checked = check_book(write_book(folder / "book", {}, {"salt": front}))
    page = material_shown("salt", shelf_of(checked.reckoning, checked.review), str)
    return {fact.term: " ".join(str(fact.text).split()) for fact in page.facts}


def test_the_page_tells_how_much_dissolves(tmp_path):
    front = "kind: crystals\nsoluble: water, oil\ndissolves: {ethanol: 0.1 g, water: 30 to 36 g at 25 °C}"
    assert (
        facts_of(front, tmp_path)["Dissolves in"]
        == "water (30 to 36 g at 25 °C in 100 g), oil, ethanol (0.1 g in 100 g)"
    )


def test_each_solvent_has_its_figure(tmp_path):
    checked = check_book(write_book(tmp_path / "b", {}, {"salt": "dissolves: {water: 1 g, oil: 2 g, ethanol: 3 g}"}))
    own = checked.reckoning.book.materials["salt"].dissolves
    assert own is not None
    found = [own.in_100_g(solvent) for solvent in Solvent]
    assert [figure and figure.high for figure in found] == [1, 2, 3]
    assert not checked.reckoning.book.materials["salt"].is_bare
