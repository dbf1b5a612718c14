"""What is printed: leaves and the style they share.  The one thing that pages and press have in common.

A leaf is one HTML document; pages make it, the press prints it and reads nothing in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

SCHEME = "sheet:"
"""`<a href="sheet:S-02">` in a leaf is a link to the first page of the leaf with that code, or to what one holds."""

END = "end-of-leaf"
"""`<div id="end-of-leaf"></div>`, the last element of a leaf, on a page of its own: that page is not printed.

With `break-before: right` it makes the engine fill the leaf up to a whole sheet with a blank page.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """One cut of type: a family name in the style sheet, and where its letters come from."""

    family: str
    """The name `font-family` uses."""
    file: Path
    """The font file, static or variable (TrueType outlines)."""
    weight: int = 400
    """`font-weight` of this cut, 1 to 1000; also the position on a variable font's weight axis."""
    slope: Literal["normal", "italic"] = "normal"
    """`font-style` of this cut."""
    optical: int = 10
    """Position on the optical-size axis in points, for a variable font that has one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """What all leaves of one book share."""

    css: str = ""
    """Style sheet text for every leaf, page rules included."""
    faces: tuple[Face, ...] = ()
    """The cuts of type; the press writes the `@font-face` rules itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One thing of several on a leaf that links call by a code of its own, as in `sheet:beeswax`."""

    code: str
    """What links call it, and the id of its element; unique in a binder, codes of leaves included."""
    title: str
    """Its name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """One HTML document that is rendered alone: the sheets of one formula, a title page, the contents."""

    code: str
    """What links call it, as in `sheet:S-02`; unique in a binder."""
    title: str
    """The words of its bookmark."""
    chapter: str
    """The bookmark it stands under; empty for a leaf that stands by itself."""
    divides: bool = False
    """True where its bookmark is the chapter's own: a divider, which opens the chapter."""
    holds: tuple[Held, ...] = ()
    """What links lead to within it; a link to one that is no element of it leads to its first page."""
    html: str
    """The whole document, with its language on the `html` element; its pictures are in it as data."""
