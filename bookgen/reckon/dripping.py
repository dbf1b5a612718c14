"""Drops of a liquid of which no drop was weighed: about how many a weight is.

Enters: a line, the book, a weight.  Leaves: whether it could be counted, and the usual range of drops until then.
"""

from __future__ import annotations

from fractions import Fraction

from ..findings import Missing
from ..model import Book, Material, MaterialKind
from .amounts import LineFigure
from .known import ONE
from .measure import LARGEST_DROP_COUNT, half_up

USUAL_DROP = (Fraction(2, 100), Fraction(3, 100))
"""Grams of a usual drop of a thin liquid, the lighter and the heavier (common practice, no source)."""


def drips(one: LineFigure, book: Book) -> bool:
    """Tell whether a line is a liquid without a drop mass, in a workroom that has a dropper.

    A material that states a density and no kind is taken for a liquid (common practice, no source).
    """
    item = book.materials.get(one.key)
    if not isinstance(item, Material) or not isinstance(one.drop, Missing) or not book.workroom.droppers:
        return False
    return item.kind is MaterialKind.LIQUID or (item.kind is None and item.density is not None)


def usual_count(grams: Fraction) -> tuple[int, int] | None:
    """Return about how many usual drops a weight is: of the heavier and of the lighter; None for less than one.

    More than 30 are not counted reliably, and not told.

    Source: common practice, no source.

    >>> usual_count(Fraction("0.2"))
    (7, 10)
    """
    light, heavy = USUAL_DROP
    few, many = int(half_up(grams / heavy, ONE)), int(half_up(grams / light, ONE))
    return (few, many) if 1 <= few <= LARGEST_DROP_COUNT else None
