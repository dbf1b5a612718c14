"""Drops of a liquid of which no drop was weighed: about how many a weight is.

Enters: a line, the book, a weight.  Leaves: whether it could be counted, and the usual range of drops until then.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from ..findings import Missing
from ..fraction import Fraction
from ..model import Balance, Book, Material, MaterialKind
from .amounts import LineFigure
from .known import ONE
from .measure import LARGEST_DROP_COUNT, finest_first, half_up, least_weighable

USUAL_WEIGHED = 20
"""Drops that are weighed at once for their mass (common practice, no source)."""
MOST_COUNTED = 100
"""Nobody is asked to count more drops than that into one weighing (own choice, no source)."""
USUAL_DROP = (Fraction(2, 100), Fraction(3, 100))
"""Grams of a usual drop of a thin liquid, the lighter and the heavier (common practice, no source)."""


USUAL_WEIGHT = USUAL_WEIGHED * sum(USUAL_DROP, Fraction(0)) / 2
"""Grams of as many drops as are weighed at once, about."""


def drips(line: LineFigure, book: Book) -> bool:
    """Tell whether a line is a liquid without a drop mass, in a workroom that has a dropper.

    A material that states a density and no kind is taken for a liquid (common practice, no source).
    """
    item = book.materials.get(line.key)
    if not isinstance(item, Material) or not isinstance(line.drop, Missing) or not book.workroom.droppers:
        return False
    return item.kind is MaterialKind.LIQUID or (item.kind is None and item.density is not None)


def may_drip(line: LineFigure, book: Book) -> bool:
    """Tell whether a line could be counted in drops, were its material a liquid: nothing says what it is like."""
    item = book.materials.get(line.key)
    if item is None or not isinstance(line.drop, Missing) or not book.workroom.droppers:
        return False
    return item.is_bare


def drops_to_weigh(balances: Sequence[Balance], accepted_error: Fraction) -> int | None:
    """Return how many drops are to be weighed at once for their mass: 20, or more where the balance needs them.

    So many of the lightest usual drops are the least that the finest balance weighs within the accepted error, rounded
    up to tens; None where that is more than 100, which nobody counts: a finer balance is needed then.

    Source: T04-01 (least weighable quantity = readability ÷ accepted error); the rest own choice.

    >>> drops_to_weigh([Balance(name="bench", readability_g=Fraction("0.1"))], Fraction(1, 20))
    100
    """
    finest = finest_first(balances)
    least = least_weighable(finest[0].readability_g, accepted_error) if finest else Fraction(0)
    count = max(USUAL_WEIGHED, ceil(least / USUAL_DROP[0] / 10) * 10)
    return count if count <= MOST_COUNTED else None


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
