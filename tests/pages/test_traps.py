"""Whatever is wrong with a file, its book still makes pages and sheets: valid, numbered once, without a traceback."""

from __future__ import annotations

from functools import lru_cache

import pytest

from bookgen.look import load_theme
from bookgen.pages import site_files
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.source import book_from

from ..traps.test_traps import CASES, SHELF, expected
from .conftest import leaves, parse, words

THEME = load_theme()


@lru_cache(maxsize=400)
def words_of_valid(html: str) -> str:
    """Return the words of a page, which is valid HTML; most pages are the same whatever is wrong in one file."""
    return words(parse(html))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_book_with_a_trap_in_it_makes_pages(case) -> None:
    at = expected(case)["at"]
    broken = next(case.glob("broken.*")).read_bytes()
    reckoning = reckon(book_from({**SHELF, at: broken}))
    reviewed = review(reckoning)
    files = site_files(reckoning, reviewed, THEME)
    stamped = 0
    for path, content in files.items():
        if path.endswith(".html"):
            page = words_of_valid(content.decode())
            stamped += path.startswith("formulas/") and "barred" in page
    assert stamped >= len(reviewed.barred)
    codes = []
    for leaf in leaves(reckoning, reviewed, THEME):
        words_of_valid(leaf.html)
        codes.append(leaf.code)
    assert len(codes) == len({code.casefold() for code in codes})
