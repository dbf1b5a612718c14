"""Materials gathered on sheets: which stand together, what a change costs, and that they fit as was estimated."""

from __future__ import annotations

import string
from collections.abc import Callable, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookgen.binder import sheet_style
from bookgen.binder.gathered import DEEPEST, Gathered, gathered, on_one_sheet, points_for
from bookgen.look import load_theme
from bookgen.look.closeness import NARROW
from bookgen.press.render import render_all
from bookgen.shown.shelf import in_natural_order

from .conftest import BOOKS, publish

SIDE = 100.0
WORDS = st.text(alphabet="abcs o2-,é", min_size=1, max_size=7)
HEIGHTS = st.integers(5, 40)


def fits_on(heights: dict[str, float], sides: int = 2) -> Callable[[Sequence[str]], bool]:
    """Return what tells whether names fit, on sides of 100 mm that are filled to the edge."""

    def fits(keys: Sequence[str]) -> bool:
        used, left = 1, SIDE
        for key in keys:
            if heights[key] > left:
                used, left = used + 1, SIDE
            left -= heights[key]
        return used <= sides

    return fits


def sheets_of(heights: dict[str, float]) -> list[Gathered]:
    names = sorted(heights, key=in_natural_order)
    return list(gathered([(name, name) for name in names], fits_on(heights)))


BOOKS_OF_NAMES = st.dictionaries(WORDS, HEIGHTS, min_size=1, max_size=60)


@given(BOOKS_OF_NAMES)
def test_all_names_stand_on_sheets_in_the_order_of_the_book(heights: dict[str, float]) -> None:
    found = sheets_of(heights)
    assert [key for sheet in found for key in sheet.keys] == sorted(heights, key=in_natural_order)
    assert len({sheet.code for sheet in found}) == len(found)
    assert len({sheet.words for sheet in found}) == len(found)
    assert all(fits_on(heights)(sheet.keys) for sheet in found)
    assert all(sheet.code.isprintable() and " " not in sheet.code for sheet in found)


@given(BOOKS_OF_NAMES, WORDS, HEIGHTS)
def test_a_change_of_one_costs_one_sheet_and_parts_or_joins_one(
    heights: dict[str, float], name: str, height: float
) -> None:
    """A sheet that runs over becomes several, several that fit together become one; no other changes in anything.

    But where names agree in so many letters that they are parted by number: there those behind it may change.
    """
    before = {(sheet.code, sheet.words, sheet.keys) for sheet in sheets_of(heights)}
    after = {(sheet.code, sheet.words, sheet.keys) for sheet in sheets_of({**heights, name: height})}
    gone, new = before - after, after - before
    if any("," in words for _, words, _ in gone | new):
        gone, new = ({one[:2] for one in those if "," not in one[1]} for those in (gone, new))
    assert min(len(gone), len(new)) <= 1, (gone, new)


def test_a_name_that_grows_past_the_sheet_parts_that_sheet_alone() -> None:
    heights = {f"{letter}{vowel}ne": 30.0 for letter in string.ascii_lowercase for vowel in "aeiou"}
    before = sheets_of(heights)
    after = sheets_of({**heights, "cane": 90.0})
    assert {(sheet.code, sheet.keys) for sheet in before} - {(sheet.code, sheet.keys) for sheet in after} == {
        next((sheet.code, sheet.keys) for sheet in before if "cane" in sheet.keys)
    }


def test_names_that_agree_are_parted_by_number() -> None:
    found = sheets_of({f"oil {number}": 30.0 for number in range(20)})
    assert [sheet.words for sheet in found] == ["Oil", "Oil, 2", "Oil, 3", "Oil, 4"]
    assert [sheet.code for sheet in found] == ["oil", "oil-2", "oil-3", "oil-4"]
    assert found[0].keys == tuple(f"oil {number}" for number in range(6))
    assert len("oil") == DEEPEST


def test_the_type_is_as_large_as_the_sheet_has_room_for() -> None:
    fits = on_one_sheet({"a": 40.0, "b": 60.0, "c": 110.0}, NARROW, 2)
    assert [points_for(keys, fits) for keys in (("a", "b"), ("a", "b", "c"), ("c", "c"), ("c", "c", "a"))] == [
        12,
        11,
        10,
        9,
    ]


@pytest.mark.parametrize("name", sorted(BOOKS))
def test_each_sheet_of_materials_is_one_sheet(name: str) -> None:
    """By the layout engine: the estimate never lets more stand on a sheet than it holds."""
    published = publish(name)
    sheets = [sheet.leaf for sheet in published.sheets if sheet.kind == "materials"]
    assert sheets
    printed = render_all(sheets, sheet_style(load_theme(), published.book.workroom), workers=1)
    assert [piece.pages for piece in printed] == [2] * len(sheets)
    assert [problem for piece in printed for problem in piece.problems] == []
