"""Hard capsules: what each takes by tapped densities, whether it fits, and how much would fill it up.

Enters: a formula that names the size of its capsules, its amounts, the book.  Leaves: `CapsuleFill`.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Fill, Formula, Known, PieceForm
from ..reference.capsules import CapsuleRow, capsule_sizes
from .amounts import Amounts
from .known import add, less, over, times
from .moulds import tapped_density


@dataclass(frozen=True, slots=True, kw_only=True)
class CapsuleFill:
    """What goes into one capsule."""

    size: CapsuleRow
    """Its size, with what it holds."""
    takes_ml: Known
    """Millilitres of all that goes in; of what is beside the fill, where nothing is left for that."""
    filled_up: str
    """Name of what fills it up to the size; empty where the formula says itself how much goes in."""
    filler: str
    """Name of the line made up to what one piece weighs, which more of could fill it up; empty without one."""
    more_g: Known | None
    """Grams of that which one capsule still takes; None without one, and where nothing more goes in."""
    larger: CapsuleRow | None
    """The smallest size that surely holds it; None where none does, or this one does."""


def capsule_fill(formula: Formula, amounts: Amounts, book: Book) -> CapsuleFill | None:
    """Return what goes into one capsule, where the formula names its size.

    Each powder takes its grams ÷ its tapped density, and these volumes are added up; a capsule holds what the table
    says of its size.  Where less goes in, the rest is filled with so many grams more of the fill: its tapped density ×
    the room that is left.  Powders settle differently in mixtures and in hands, so the first capsules are weighed.

    Source: mass = volume × tapped density, from memory; the sizes as tabled.
    """
    if formula.capsule is None or formula.makes is None or formula.makes.form is not PieceForm.CAPSULES:
        return None
    size, count = capsule_sizes()[formula.capsule], formula.makes.quantity.value
    lines = [line for line in amounts.lines if line.counts]
    fill = next((line for line in lines if line.is_fill), None)
    by_line = {
        line.index: over(over(line.grams, count), tapped_density(line.line, book)) for line in lines if line is not fill
    }
    beside, takes = add(by_line.values()), None
    is_bare = fill is not None and isinstance(fill.line.amount, Fill) and fill.line.amount.to is None
    if fill is not None:
        takes = add((beside, over(over(fill.grams, count), tapped_density(fill.line, book))))
    takes_ml = beside if takes is None or (isinstance(takes, Missing) and is_bare) else takes
    more = None
    if fill is not None and not is_bare:
        more = times(less(size.ml, takes_ml), tapped_density(fill.line, book))
    return CapsuleFill(
        size=size,
        takes_ml=takes_ml,
        filled_up=fill.name if fill is not None and is_bare else "",
        filler="" if fill is None else fill.name,
        more_g=None if isinstance(more, Fraction) and more <= 0 else more,
        larger=next_size(takes_ml, size),
    )


def next_size(takes_ml: Known, size: CapsuleRow) -> CapsuleRow | None:
    """Return the smallest size that holds so much by every figure printed for it, where this one does not."""
    if isinstance(takes_ml, Missing) or takes_ml < size.least_ml:
        return None
    return next((row for row in reversed(tuple(capsule_sizes().values())) if takes_ml < row.least_ml), None)
