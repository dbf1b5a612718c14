"""What a dropper weighed today makes of the formulas that count a material in drops.

Enters: the reckoning of a book, a material, today's drop mass.  Leaves: a `Recount` for each line written in drops.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import Formula, Known, Material
from .batchline import BatchLine
from .droppers import DropMass
from .figures import Reckoning
from .metering import evaluate
from .standing import drops_of
from .weighing import tables_with


@dataclass(frozen=True, slots=True, kw_only=True)
class Recount:
    """One line that is written in drops, for the batch as written."""

    formula: Formula
    """Its formula."""
    count: int
    """How many drops are written."""
    grams: Known
    """What they weigh in the formula; this weight is kept."""
    dropper: str
    """The dropper that the formula counts by; empty where the book has no drop mass for it."""
    is_fixed: bool
    """True when the weight stands in the formula itself, so that no drop mass changes it."""
    today: BatchLine | None
    """The line with today's dropper; None when the batch is not known."""


def recounts(reckoning: Reckoning, material: Material, mass: DropMass) -> tuple[Recount, ...]:
    """Return what every formula that is written in drops of a material is counted as today, its weight kept.

    Today's count = weight in the formula ÷ today's drop mass, to the nearest whole drop.

    Source: own arithmetic.
    """
    key = material.key.casefold()
    tables = tables_with(reckoning, None, {key: mass})
    found = []
    for name in reckoning.graph.used_by.get(key, ()):
        figures = reckoning.figures[name]
        batch = figures.flow.as_written
        lines = evaluate(tables(figures), batch).lines if isinstance(batch, Fraction) else None
        for line in figures.amounts.lines:
            drops = drops_of(line.line)
            if line.key != key or drops is None:
                continue
            found.append(
                Recount(
                    formula=figures.formula,
                    count=int(drops.count),
                    grams=line.grams,
                    dropper="" if isinstance(line.drop, Missing) else line.drop.dropper,
                    is_fixed=drops.grams is not None,
                    today=None if lines is None else lines[line.index],
                )
            )
    return tuple(found)
