"""Names with the signs of HTML in every place where a keeper may type one: words on every page and sheet."""

from __future__ import annotations

from pathlib import Path

import pytest

from bookgen.binder import bindery_for, effective_sheets, leaves_of, row_of
from bookgen.look import load_theme
from bookgen.pages import site_files
from bookgen.pipeline import check_book
from tests.books_of_text import formula, write_book

from .conftest import parse, words

MARK = "<u>m & 'm'"
QUOTED = "\"<u>m & 'm'\""
CHAPTER = "<u>m & 'm'"


FORMULA = f"""\
---
code: U-01
title: {QUOTED}
kind: cosmetic
status: approved
issue: 2
use: leave-on, hands
purpose: {QUOTED}
ingredients:
  {QUOTED[:-1].replace('"', '"A, ')}":
    m: 5 %, {MARK}
    water: to 100 g
equipment: [{QUOTED}]
container: {QUOTED}
appearance: {QUOTED}
hazards: [{QUOTED}]
cautions: [{QUOTED}]
storage: {{place: refrigerator, period: 5 days, container: {QUOTED}, because: {QUOTED}}}
source: [{QUOTED}]
changes:
  2, 2026-01-01: {QUOTED}
---

Before: {MARK}.

## Method

1. Stir {MARK} and [{MARK}](amount:m).

## {MARK}

| {MARK} |
| --- |
| `{MARK}` |
"""
MATERIAL = f"""\
---
name: {QUOTED}
also: [{QUOTED.replace("m &", "n &")}]
function: {QUOTED}
hazards: [{QUOTED}]
source: [{QUOTED}]
---
"""
ROOM = f"""\
title: {QUOTED}
keeper: {QUOTED}
balances:
  - {{name: {QUOTED}, readability: 0.01 g, capacity: 2000 g}}
droppers: [{QUOTED}]
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    old = formula("U-02", "water: to 100 g", "status: withdrawn").replace("title: Formula U-02", f"title: {QUOTED}")
    place = write_book(tmp_path / "book", {}, {"water": "water: 100 %"}, ROOM)
    (place / "formulas" / CHAPTER).mkdir()
    (place / "formulas" / CHAPTER / "u.md").write_text(FORMULA, encoding="utf-8")
    (place / "formulas" / CHAPTER / "v.md").write_text(old, encoding="utf-8")
    (place / "formulas" / "materials" / "m.md").write_text(MATERIAL, encoding="utf-8")
    return place


def test_signs_of_html_are_words_on_every_page_and_sheet(book: Path) -> None:
    checked, theme = check_book(book), load_theme(book)
    assert not checked.has_errors, [one.message for one in checked.review.findings]
    site = site_files(checked.reckoning, checked.review, theme)
    bindery = bindery_for(checked.reckoning, checked.review, theme)
    sheets = leaves_of(bindery)
    rows = [row_of(one, 1, "look", duplex=True) for one in sheets]
    (listed,) = effective_sheets(bindery, rows)
    whole = {path: content.decode() for path, content in site.items() if path.endswith(".html")}
    whole |= {one.leaf.code: one.leaf.html for one in (*sheets, listed)}
    raw = [path for path, html in whole.items() if "<u>" in html]
    assert raw == []
    seen = [path for path, html in whole.items() if MARK in words(parse(html)).replace("’", "'")]
    assert len(seen) > 10
