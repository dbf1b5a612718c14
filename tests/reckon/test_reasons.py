"""What is said of what keeps a preparation, by the names of the sentences: each where it is right, and no other."""

from __future__ import annotations

from pathlib import Path

import pytest

from bookgen.model import Preserver
from bookgen.reckon.figures import reckon
from bookgen.reckon.reasons import acid_curves, kept_by, reasons
from bookgen.source import read_book
from bookgen.wording.saying import Saying

from ..books_of_text import MATERIALS, ONE_BALANCE, formula, write_book

NEW = {
    "phenoxyethanol": "water: 0 %",
    "methylparaben": "water: 0 %",
    "propylparaben": "water: 0 %",
    "polysorbate 80": "water: 0 %",
    "sodium benzoate": "water: 0 %",
    "benzoic acid": "water: 0 %",
    "caprylyl glycol": "water: 0 %",
    "sucrose": "water: 0 %",
    "fern acid": "water: 0 %\npKa: 4.2",
    "fern ferment": "water: 0 %",
    "vitamin e": "water: 0 %",
    "spirit": "contains:\n  ethanol: 96 %vol",
    "silent": "density: 1",
}


def told(folder: Path, lines: str, *keys: str) -> tuple[list[str], Saying | None, list[str]]:
    """The reasons by name, what keeps it in a few words, and the curves by the name of their sentence."""
    book = read_book(write_book(folder / "book", {"F": formula("F", lines, *keys)}, MATERIALS | NEW, ONE_BALANCE))
    figures = reckon(book).figures["f"]
    found = [saying.key for saying in reasons(figures.storage, figures.formula, book.materials)]
    curves = [curve.told.key for curve in acid_curves(figures.storage.keeping, book.materials)]
    return found, kept_by(figures.storage, book.materials), curves


@pytest.mark.parametrize(
    ("lines", "keys", "found", "short"),
    [
        ("a: 99.5 g; water: 0.5 g", [], ["keeping-dry"], None),
        ("a: 100 g", ["water enters in use: yes"], ["keeping-dry", "keeping-wetted"], None),
        (
            "a: 100 g",
            ["water enters in use: yes", "preserved by: {what: sugar, because: taken with a dry spoon}"],
            ["keeping-dry", "keeping-by-formula"],
            None,
        ),
        ("silent: 50 g; a: 50 g", [], ["keeping-unknown"], None),
        ("a: 5 g; water: 95 g", [], ["keeping-nothing"], None),
        ("spirit: 5 mL; water: 95 g", [], ["keeping-unreckoned"], None),
        ("sucrose: 65 g; water: 35 g", [], ["kept-by-sugar", "water-activity"], "keeps"),
        ("sucrose: 70 g; water: 30 g", [], ["kept-by-sugar", "water-activity-most"], "keeps"),
        (
            "a: 5 g; water: 95 g",
            ["preserved by: {what: salt, because: it is of the sea}"],
            ["keeping-by-formula"],
            "keeps-by-formula",
        ),
        ("phenoxyethanol: 0.8 %, preservative; water: to 100 g", [], ["preservative-works"], "keeps-as-usual"),
        ("phenoxyethanol: 0.2 %, preservative; water: to 100 g", [], ["keeping-nothing", "preservative-little"], None),
        (
            "methylparaben: 0.06 %, preservative; propylparaben: 0.01 %, preservative; water: to 100 g",
            ["pH: 6"],
            ["preservatives-together", "preservative-little", "preservative-little"],
            "keeps-together",
        ),
        (
            "methylparaben: 0.15 %, preservative; polysorbate 80: 2 %; water: to 100 g",
            ["pH: 6"],
            ["preservative-taken-up"],
            "keeps-in-doubt",
        ),
        ("caprylyl glycol: 0.5 %, preservative; water: to 100 g", [], ["preservative-partner"], "keeps-in-doubt"),
        ("sodium benzoate: 0.3 %, preservative; water: to 100 g", [], ["preservative-ph-unwritten"], "keeps-in-doubt"),
        (
            "sodium benzoate: 0.3 %, preservative; water: to 100 g",
            ["pH: 4.5"],
            ["preservative-works"],
            "keeps-as-usual",
        ),
        (
            "sodium benzoate: 0.3 %, preservative; water: to 100 g",
            ["pH: 4.8 to 5.4"],
            ["preservative-ph-crosses"],
            "keeps-in-doubt",
        ),
        (
            "sodium benzoate: 0.3 %, preservative; water: to 100 g",
            ["pH: 6"],
            ["keeping-nothing", "preservative-ph-beyond"],
            None,
        ),
        (
            "sodium benzoate: {amount: 1 g, function: preservative}; spirit: 2 mL; water: 95 g",
            ["pH: 4.5"],
            ["preservative-unknown"],
            "keeps-in-doubt",
        ),
        (
            "sodium benzoate: {amount: 1 g, function: preservative}; spirit: 2 mL; water: 95 g",
            ["pH: 7"],
            ["keeping-unreckoned", "preservative-unknown"],
            None,
        ),
        ("fern ferment: 1 %, preservative; water: to 100 g", [], ["preservative-by-word"], "keeps-by-word"),
        ("vitamin e: 1 %, preservative; water: to 100 g", [], ["keeping-nothing", "preservative-mistaken"], None),
    ],
)
def test_what_is_said_of_what_keeps_it(lines, keys, found, short, tmp_path):
    said, few, _ = told(tmp_path, lines, *keys)
    assert said == found
    assert (None if few is None else few.key) == short


@pytest.mark.parametrize(
    ("lines", "keys", "curves"),
    [
        ("sodium benzoate: 0.3 %, preservative; water: to 100 g", ["pH: 4.5"], ["acid-drawn"]),
        ("sodium benzoate: 0.3 %, preservative; water: to 100 g", ["pH: 4.5 to 4.8"], ["acid-drawn-between"]),
        ("sodium benzoate: 0.3 %, preservative; water: to 100 g", [], []),
        ("phenoxyethanol: 0.8 %, preservative; water: to 100 g", ["pH: 4.5"], []),
        ("fern acid: 1 %, preservative; water: to 100 g", ["pH: 4.5"], ["acid-drawn"]),
        ("fern acid: 1 %, preservative; water: to 100 g", [], []),
        ("fern ferment: 1 %, preservative; water: to 100 g", ["pH: 4.5"], []),
    ],
)
def test_which_acids_have_a_curve(lines, keys, curves, tmp_path):
    assert told(tmp_path, lines, *keys)[2] == curves


@pytest.mark.parametrize(
    ("lines", "begins"),
    [
        (
            "phenoxyethanol: 0.2 %, preservative",
            "phenoxyethanol 0.2 %: too little, its usual share is 0.5 % to 1 % (help",
        ),
        (
            "benzoic acid: 0.05 %, preservative",
            "benzoic acid 0.05 %: too little, its usual share is 0.1 % to 0.26 % (help",
        ),
        ("sodium benzoate: 0.1 %, preservative", "sodium benzoate 0.08475 % as benzoic acid: too little"),
        ("methylparaben: 0.15 %, preservative", "methylparaben 0.15 %: reaches its usual share (0.1 % to 0.2 %)"),
    ],
)
def test_a_share_is_told_as_what_it_counts_as(lines, begins, tmp_path):
    text = formula("F", f"{lines}; water: to 100 g", "pH: 4.5")
    book = read_book(write_book(tmp_path / "book", {"F": text}, MATERIALS | NEW, ONE_BALANCE))
    figures = reckon(book).figures["f"]
    assert [
        said for said in reasons(figures.storage, figures.formula, book.materials) if said.words().startswith(begins)
    ]


def test_the_ph_that_is_taken_where_none_is_written_is_told(tmp_path):
    lines = "methylparaben: 0.15 %, preservative; water: to 100 g"
    book = read_book(write_book(tmp_path / "book", {"F": formula("F", lines)}, MATERIALS | NEW, ONE_BALANCE))
    figures = reckon(book).figures["f"]
    (said,) = reasons(figures.storage, figures.formula, book.materials)
    assert "(pH 4 to 8), taken as 5 to 7 as none is written (help desk" in said.words()


def test_what_keeps_it_is_told_with_names_in_small_letters(tmp_path):
    lines = "sodium benzoate: 0.2 %, preservative; benzoic acid: 0.1 %; water: to 100 g"
    _, few, _ = told(tmp_path, lines, "pH: 4.5")
    assert few is not None
    assert few.words() == "benzoic acid and sodium benzoate, at the usual share and pH"


def test_too_little_water_is_what_keeps_it(tmp_path):
    for number, (lines, by) in enumerate((("a: 100 g", Preserver.LITTLE_WATER), ("water: 100 g", None))):
        book = write_book(tmp_path / str(number), {"F": formula("F", lines)}, MATERIALS, ONE_BALANCE)
        assert reckon(read_book(book)).figures["f"].storage.keeping.by is by
