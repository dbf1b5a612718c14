"""Paper and holes: sizes, where the holes stand, what they leave free, and the faint marks that show where to punch.

Lengths are exact millimetres, from the top and the inner edge of an upright sheet: the left edge of a front, the right
one of a back.  Items T14-01 to T14-09 of the check values hold the figures to their published sources.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING
from urllib.parse import quote

from ..fraction import Fraction
from ..model import PAPER_MM, PUNCHED, Holes

if TYPE_CHECKING:
    from ..model import Workroom

INCH = Fraction(254, 10)
"""Millimetres."""

POINT = INCH / 72
"""Millimetres of the point in which a PDF measures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """An upright sheet."""

    width: Fraction
    """From the inner edge to the fore-edge, mm."""
    height: Fraction
    """From top to foot, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Punching:
    """Holes in one row along the inner edge, centred on the height of the sheet."""

    pitch: Fraction
    """From centre to centre, mm."""
    edge: Fraction
    """From the inner edge to the centres, mm."""
    edge_within: Fraction
    """How far that may be off, mm."""
    across: Fraction
    """Diameter of a hole, mm."""
    across_within: Fraction
    """How far that may be off, mm."""


SIZES = {paper: Size(width=width, height=height) for paper, (width, height) in PAPER_MM.items()}
"""Size of each paper: A4 and A5 by ISO 216 (T14-07), Letter is 8½ × 11 inches (T14-08)."""

ISO_838 = Punching(
    pitch=Fraction(80),
    edge=Fraction(12),
    edge_within=Fraction(1),
    across=Fraction(6),
    across_within=Fraction(1, 2),
)
"""Two holes by ISO 838 (T14-01); four holes add one above and one below at the same pitch (T14-03)."""

THREE_HOLES = Punching(
    pitch=INCH * 17 / 4,
    edge=INCH / 2,
    edge_within=Fraction(1),
    across=INCH * 9 / 32,
    across_within=INCH / 32,
)
"""Three holes of Letter: 4¼ inches apart (T14-05, T14-06).

Edge and diameter are in no standard: half an inch and ¼ to 5⁄16 of an inch are common practice, no source.
"""

ARM = Fraction(2)
"""Length of each arm of a punch mark, mm: shorter than a hole's radius, so that the mark falls out with the hole."""


def rim(punching: Punching) -> Fraction:
    """Return how far from the inner edge a hole reaches that is as wide and as far in as it may be, mm.

    >>> rim(ISO_838)
    Fraction(65, 4)
    """
    return punching.edge + punching.edge_within + (punching.across + punching.across_within) / 2


ZONE = Fraction(ceil(max(rim(ISO_838), rim(THREE_HOLES))))
"""Width of the strip along the inner edge in which nothing is printed: 18 mm, whatever the holes.

Holes by ISO 838 leave 1.75 mm of it for a sheet that is cut too wide (T14-07) or taken in askew.
"""


def holes_of(room: Workroom) -> Holes:
    """Return how many holes the sheets of a workroom get: as written, else as usual for its paper."""
    return room.holes or PUNCHED[room.paper][0]


def punching_of(holes: Holes) -> Punching:
    """Return how the holes stand."""
    return THREE_HOLES if holes is Holes.THREE else ISO_838


def centres(height: Fraction, holes: Holes) -> tuple[Fraction, ...]:
    """Return the distances of the holes' centres from the top of a sheet of that height, mm.

    They stand symmetrically to the middle of the sheet (T14-01).

    >>> [str(one) for one in centres(Fraction(210), Holes.TWO)]
    ['65', '145']
    """
    pitch, count = punching_of(holes).pitch, int(holes)
    return tuple(height / 2 + pitch * Fraction(2 * number - count + 1, 2) for number in range(count))


def punch_marks(room: Workroom) -> str:
    """Return page rules that print a faint cross where each hole goes, on both sides; nothing where none are wanted.

    They are the background of the page, which the tagged PDF marks as an artifact.
    """
    if not room.punch_marks:
        return ""
    size, holes = SIZES[room.paper], holes_of(room)
    edge = punching_of(holes).edge
    rows = centres(size.height, holes)
    back = f"@page :left {{ {_background(size, size.width - edge, rows)} }}\n" if room.duplex else ""
    return f"@page {{ {_background(size, edge, rows)} }}\n{back}"


def _background(size: Size, across: Fraction, rows: tuple[Fraction, ...]) -> str:
    """Return the declarations that lay crosses under a page, at one distance from its left edge and several heights."""
    arm = millimetres(ARM)
    level, upright = f"h{arm}h{arm}", f"v{arm}v{arm}"
    crosses = "".join(
        f"M{millimetres(across - ARM)} {millimetres(row)}{level}"
        f"M{millimetres(across)} {millimetres(row - ARM)}{upright}"
        for row in rows
    )
    width, height = millimetres(size.width), millimetres(size.height)
    picture = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}"><path d="{crosses}" fill="none" stroke="#999" stroke-width="0.15"/></svg>'
    )
    address = f"data:image/svg+xml,{quote(picture)}"
    return f'background: url("{address}") 0 0 / {width}mm {height}mm no-repeat fixed;'


def millimetres(length: Fraction) -> str:
    """Return millimetres as a decimal number to a thousandth, which no printer can show.

    >>> millimetres(Fraction(1397, 10)), millimetres(Fraction(2159, 20))
    ('139.7', '107.95')
    """
    thousandths = round(length * 1000)
    return f"{thousandths // 1000}.{thousandths % 1000:03}".rstrip("0").rstrip(".")
