"""Front matter and dividers: what they print, and their codes."""

from __future__ import annotations

from math import ceil

from ..fraction import Fraction
from ..language import noted, word
from ..look.closeness import COLUMNS, TEXT
from ..model import Holes, Paper
from ..shown.matter.records import ContentsEntry
from ..shown.shelf import LAW, Shelf
from .paper import SIZES, holes_of, millimetres
from .records import DividerShown, GuideShown, TitleShown

EFFECTIVE = "effective-sheets"
"""Code of the list of effective sheets."""
BEFORE_LIST = ("title",)
"""What stands before it."""
FRONT = (*BEFORE_LIST, EFFECTIVE, "contents", "by-material", "by-purpose")
"""Codes of the front matter, in the order of the binder."""
FILING = "filing"
"""Code of the filing instructions, which head the changes and are thrown away."""
DIVIDER = "divider-"
"""What the code of a divider begins with."""
GATHERED = "materials-"
"""What the code of a sheet of materials begins with."""


PLACES = 8
"""Places of tabs down the fore-edge; the last one is kept for the materials."""
MARGIN = Fraction(12)
"""What stays free above the first place and below the last one, mm."""
BETWEEN = Fraction(1)
"""What stays free between two tabs, mm."""

_HOLES = {
    Holes.TWO: noted("Two holes, 80 mm apart, centred on the height of the sheet"),
    Holes.THREE: noted("Three holes, 4¼ inches apart, the middle one at half the height of the sheet"),
    Holes.FOUR: noted("Four holes, 80 mm apart, centred on the height of the sheet"),
}
"""How the sheets are punched, in words."""


def title_shown(shelf: Shelf) -> TitleShown:
    """Return the title, with how the binder is used."""
    room = shelf.book.workroom
    guide = GuideShown(
        paper=str(room.paper),
        duplex=room.duplex,
        holes=word(_HOLES[holes_of(room)]),
        marks=room.punch_marks,
        strip=room.paper is not Paper.A5,
    )
    return TitleShown(frame=shelf.frame(), title=room.title, keeper=room.keeper, law=word(LAW), guide=guide)


def divider_shown(shelf: Shelf, title: str, entries: tuple[ContentsEntry, ...], place: int) -> DividerShown:
    """Return what opens the chapter at a place in the binder, from 0; a place below 0 counts from the end.

    Its back lists the entries that stand behind it, where all of them have room there.
    """
    room, place = shelf.book.workroom, place_of(place)
    column = COLUMNS[room.paper]
    lines = sum(column.lines(f"{entry.link.words} {entry.stamp}", TEXT, less=25) for entry in entries)
    if not any(entry.link.code for entry in entries):
        lines = ceil(lines / 2)  # names stand in two columns
    fits = room.duplex and lines * column.text + 20 <= column.height
    pitch = (SIZES[shelf.book.workroom.paper].height - 2 * MARGIN) / PLACES
    length = pitch - BETWEEN
    return DividerShown(
        frame=shelf.frame(),
        title=title,
        entries=entries if fits else (),
        place=place,
        foot_mm=millimetres(MARGIN + pitch * place + length),
        length_mm=millimetres(length),
    )


def place_of(number: int) -> int:
    """Return the place of a chapter's tab; chapters begin again at the top when theirs are used up.

    >>> [place_of(one) for one in (0, 6, 7, 8, -1)]
    [0, 6, 0, 1, 7]
    """
    return number % (PLACES - 1) if number >= 0 else PLACES + number
