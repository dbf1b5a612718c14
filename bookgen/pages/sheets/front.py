"""Front matter and dividers: what they print, and their codes."""

from __future__ import annotations

from ..shelf import LAW, Shelf
from .shown import DividerShown, HowToUseShown, TitleShown

EFFECTIVE = "effective-sheets"
"""Code of the list of effective sheets."""
BEFORE_LIST = ("title", "how-to-use")
"""What stands before it."""
FRONT = (*BEFORE_LIST, EFFECTIVE, "contents", "by-code", "by-material", "by-purpose", "by-storage")
"""Codes of the front matter, in the order of the binder."""
FILING = "filing"
"""Code of the filing instructions, which head the changes and are thrown away."""
DIVIDER = "divider-"
"""What the code of a divider begins with."""


def title_shown(shelf: Shelf) -> TitleShown:
    """Return the title."""
    room = shelf.book.workroom
    return TitleShown(frame=shelf.frame(), title=room.title, keeper=room.keeper, law=LAW)


def how_to_use_shown(shelf: Shelf) -> HowToUseShown:
    """Return how the binder is used."""
    room = shelf.book.workroom
    return HowToUseShown(frame=shelf.frame(), paper=str(room.paper), duplex=room.duplex)


def divider_shown(shelf: Shelf, title: str, place: int) -> DividerShown:
    """Return what opens a chapter; a place below 0 counts from the bottom."""
    return DividerShown(frame=shelf.frame(), title=title, place=place)
