"""Where the labels of a sheet stand, and how small their type may be.  Lengths are exact millimetres.

Distances are from the left and the upper edge of an upright sheet; fields are counted along the rows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from urllib.parse import quote

from ..binder.paper import POINT, Size, millimetres
from ..fraction import Fraction
from ..model import PAPER_MM, LabelSheet

PADDING = Fraction(2)
"""Free at each edge of a label, mm: as far as a printer may take a sheet in askew (own choice, no source)."""
LEGIBLE, LEGIBLE_SMALL = Fraction(12, 10), Fraction(9, 10)
"""Least height of the letter x, mm."""
SMALL = Fraction(8000)
"""A label that is smaller, in mm², may have the smaller letters."""
LARGEST = Fraction(10)
"""Points of the type of a label that has room."""
QUARTER = Fraction(1, 4)
"""Points by which the type of a label that has less is made smaller."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelField:
    """One label's place on its sheet."""

    left: Fraction
    """From the left edge of the paper, mm."""
    top: Fraction
    """From the upper edge of the paper, mm."""


def sheet_of_one(width: Fraction, height: Fraction) -> LabelSheet:
    """Return a sheet that is one label."""
    none = Fraction(0)
    return LabelSheet(across=1, down=1, width_mm=width, height_mm=height, left_mm=none, top_mm=none)


def size_of(sheet: LabelSheet, *, alone: bool) -> Size:
    """Return the size of the paper; a label that stands `alone` is its own."""
    width, height = (sheet.width_mm, sheet.height_mm) if alone else PAPER_MM[sheet.paper]
    return Size(width=width, height=height)


def fields_of(sheet: LabelSheet) -> tuple[LabelField, ...]:
    """Return the places of all labels of a sheet, row by row.

    Source: own arithmetic.
    """
    return tuple(
        LabelField(
            left=sheet.left_mm + column * (sheet.width_mm + sheet.gap_mm),
            top=sheet.top_mm + row * (sheet.height_mm + sheet.gap_down_mm),
        )
        for row in range(sheet.down)
        for column in range(sheet.across)
    )


def sheets_for(sheet: LabelSheet, count: int, first: int) -> Iterator[tuple[LabelField, ...]]:
    """Yield, for each sheet that so many labels take, the fields that are printed; the first begins at a field, from 1.

    >>> pair = LabelSheet(across=2, down=1, width_mm=Fraction(9), height_mm=Fraction(9), left_mm=Fraction(0),
    ...                   top_mm=Fraction(0))
    >>> [[str(field.left) for field in fields] for fields in sheets_for(pair, 4, 2)]
    [['9'], ['0', '9'], ['0']]
    """
    fields = fields_of(sheet)
    at, left = first - 1, count
    while left > 0:
        taken = fields[at : at + left]
        yield taken
        at, left = 0, left - len(taken)


def least_points(x_height: Fraction, sheet: LabelSheet) -> Fraction:
    """Return the smallest type that is legible on a label, in points, rounded up to a hundredth.

    `x_height` is the height of the letter x as a part of the type's size.  1.2 mm, and 0.9 mm on a label below 80 cm²:
    what the law asks of the labels of food, where it goes by the largest side of the pack.  For cosmetics and medicines
    it names no figure, so this is our own choice.

    Source: Regulation (EU) No 1169/2011, Article 13(2) and (3), Annex IV.

    >>> sizes = [sheet_of_one(Fraction(70), Fraction(40)), sheet_of_one(Fraction(100), Fraction(80))]
    >>> [str(least_points(Fraction(486, 1000), size)) for size in sizes]
    ['21/4', '7']
    """
    least = LEGIBLE if sheet.width_mm * sheet.height_mm >= SMALL else LEGIBLE_SMALL
    return Fraction(ceil(least / (x_height * POINT) * 100), 100)


def sizes_down_to(least: Fraction) -> tuple[Fraction, ...]:
    """Return the sizes of type that are tried, from the largest to the smallest that is legible."""
    found, size = [], LARGEST
    while size > least:
        found.append(size)
        size -= QUARTER
    return (*found, least)


def rulers(sheet: LabelSheet, size: Size) -> str:
    """Return page rules that draw each field's outline, and a mark each 5 mm along the upper and the left edge.

    Printed on plain paper and held against a sheet of labels, they show how far the printer is off.  They are the
    background of the page, which the tagged PDF marks as an artifact.
    """
    parts = []
    for field in fields_of(sheet):
        wide, high = millimetres(sheet.width_mm), millimetres(sheet.height_mm)
        parts.append(f"M{millimetres(field.left)} {millimetres(field.top)}h{wide}v{high}h-{wide}z")
    for across in range(5, int(size.width), 5):
        parts.append(f"M{across} 0v{_mark(across)}")
    for down in range(5, int(size.height), 5):
        parts.append(f"M0 {down}h{_mark(down)}")
    width, height = millimetres(size.width), millimetres(size.height)
    picture = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">'
        f'<path d="{"".join(parts)}" fill="none" stroke="#000" stroke-width="0.1"/></svg>'
    )
    return f'background: url("data:image/svg+xml,{quote(picture)}") 0 0 / {width}mm {height}mm no-repeat;'


def _mark(at: int) -> int:
    """Return the length of a mark, mm: longer at each centimetre, longest at each tenth."""
    return 6 if at % 100 == 0 else 4 if at % 10 == 0 else 2
