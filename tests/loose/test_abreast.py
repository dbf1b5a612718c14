"""A worksheet for several formulas: the figures of `weigh` in each column, and what differs set apart."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction

import pytest

from bookgen.bench import weigh_batch
from bookgen.language import speaking
from bookgen.look import load_theme
from bookgen.loose.worksheet import abreast_leaf
from bookgen.machine.batch import weighing_json
from bookgen.model import Paper
from bookgen.pipeline import check_book
from bookgen.shown.abreast import AbreastShown, abreast_shown
from bookgen.shown.phrases import Figure, pieces_of
from bookgen.shown.shelf import shelf_of
from tests.books_of_text import MATERIALS, write_book

DAY = date(2026, 3, 2)
BASE = """---
code: S-02
title: Splash
kind: household
use: surfaces, adults
status: approved
makes: 100 g
ingredients:
  A, warm:
    water: to 100 g
    gly: 3 %
  B:
    a: 1 %
equipment:
  - water bath
  - jug, warmed
---

## Method

1. Warm [water](amount:water) with [gly](amount:gly).
2. Add [a](amount:a).
"""
HEAD = "---\ncode: {code}\ntitle: Trial {code}\nbased on: S-02\ningredients:\n{lines}---\n"
CODES = ("S-02", "T-01", "T-02", "T-03")


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    formulas = {
        "s": BASE,
        "t": HEAD.format(code="T-01", lines="  gly: 4 %\n"),
        "u": HEAD.format(code="T-02", lines="  gly: 5 %\n  b: {amount: 0.001 %, note: slowly}\n"),
        "v": HEAD.format(code="T-03", lines="  a: out\n") + "\n## Method\n\n1. Stir.\n",
    }
    return check_book(write_book(tmp_path_factory.mktemp("abreast"), formulas))


def weighings(book, codes):
    return [weigh_batch(book, code, "200 g", DAY) for code in codes]


def sheet(book, *codes: str) -> AbreastShown:
    return abreast_shown(weighings(book, codes), shelf_of(book.reckoning, book.review), lambda path: "", DAY)


def test_each_column_says_what_weigh_says(book):
    shown = sheet(book, *CODES)
    for at, weighing in enumerate(weighings(book, CODES)):
        told = weighing_json(weighing, shelf_of(book.reckoning, book.review), ())
        found = {
            (phase.letter, row.link.words): next(p for p in pieces_of(cell.take) if isinstance(p, Figure)).value
            for phase in shown.phases
            for row in phase.rows
            if (cell := row.cells[at])
        }
        wanted = {
            (line["phase"], line["material"]): Fraction(line["metered_g"] or line["grams"]) for line in told["lines"]
        }
        assert {place: Fraction(value) for place, value in found.items()} == wanted
        total = shown.columns[at].total
        assert total is not None
        assert Fraction(total.value) == Fraction(told["printed_total_g"])


def test_what_differs_is_set_apart_and_what_is_the_same_is_not(book):
    rows = {row.link.words: row for phase in sheet(book, *CODES).phases for row in phase.rows}
    assert list(rows) == ["water", "gly", "a", "b"]
    assert {name for name, row in rows.items() if row.differs} == {"water", "gly", "a", "b"}
    assert [bool(cell) for cell in rows["b"].cells] == [False, False, True, False]
    assert rows["b"].notes
    assert {codes for codes, _ in rows["b"].notes} == {"T-02"}
    same = {row.link.words: row.differs for phase in sheet(book, "S-02", "T-01").phases for row in phase.rows}
    assert same == {"water": True, "gly": True, "a": False}


def test_a_method_that_all_have_stands_once(book):
    assert [step.codes for step in sheet(book, "S-02", "T-01").steps] == ["", ""]
    assert [(step.codes, step.text) for step in sheet(book, *CODES).steps] == [
        ("S-02, T-01 and T-02", "Warm water with gly."),
        ("S-02, T-01 and T-02", "Add a."),
        ("T-03", "Stir."),
    ]


def test_there_is_room_to_write_for_each(book):
    html = abreast_leaf(load_theme(), book.book.workroom, Paper.A4, sheet(book, "S-02", "T-01", "T-02")).html
    assert "water bath; jug, warmed." in html
    table = html[html.index('<table class="sheet-table side">') :]
    rows = table[: table.index("</table>")].split('<tr class="weighing')[1:]
    assert len(rows) == 4
    assert [row.partition("</tr>")[0].count('class="write') for row in rows] == [3] * 4
    assert ["differs" in row.partition(">")[0] for row in rows] == [True, True, False, True]
    came = table[table.index("</table>") :]
    assert "After a week" in came
    assert came[came.index("After a week") :].partition("</tr>")[0].count('class="write"') == 3


def test_it_is_a_worksheet_in_the_language_of_its_book(book):
    with speaking("de"):
        leaf = abreast_leaf(load_theme(), book.book.workroom, Paper.A4, sheet(book, "S-02", "T-01"))
    assert leaf.title == "S-02, T-01: Arbeitsblatt"
    assert "S-02, T-01 · Arbeitsblatt" in leaf.html
    assert "worksheet" not in re.sub(r"<[^>]*>", "", leaf.html[leaf.html.index("<body") :])


def test_a_stock_that_several_take_alike_stands_once(tmp_path):
    base = BASE.replace("    a: 1 %\n", "    a: 0.05 %\n")
    trial = HEAD.format(code="T-01", lines="  gly: 4 %\n")
    other = HEAD.format(code="T-02", lines="  a: 0.04 %\n")
    materials = {**MATERIALS, "a": "water: 0 %\nkind: powder\nsoluble: water"}
    book = check_book(write_book(tmp_path, {"s": base, "t": trial, "u": other}, materials))
    shown = sheet(book, "S-02", "T-01", "T-02")
    assert [codes for phase in shown.phases for row in phase.rows for codes, _ in row.plans] == [
        "S-02 and T-01, each",
        "T-02",
    ]
