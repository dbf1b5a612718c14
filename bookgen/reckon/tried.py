"""What was made of a formula so far: how often, how much at a time, and what was to be done next time.

Enters: the batch records of a book.  Leaves: `Tried`.  What was thrown away was not made.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import BatchOutcome, BatchRecord, Known
from ..wording.saying import says
from .counted import in_unit_of
from .figures import Figures, Reckoning
from .weighing import batch_wanted


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What was made of one formula so far."""

    count: int
    """How many batches."""
    unit: str
    """The formula's own unit."""
    least: Fraction | None
    """The smallest of those whose size is known, in that unit; None where none is."""
    most: Fraction | None
    """The largest."""
    span: tuple[Fraction, Fraction] | None
    """From the smallest to the largest of what came out or was to come out: a batch within it was tried."""
    next_time: BatchRecord | None
    """The last batch that says what is to be done next time; also one that was thrown away."""


def tried(reckoning: Reckoning, key: str) -> Tried:
    """Return what was made of a formula so far, whatever its issue.

    A batch is as large as what came out of it, else as what was to come out.

    Source: own choice, no source.
    """
    figures = reckoning.figures[key]
    dated = [
        (record.made.on, number, record)
        for number, record in reckoning.book.batches.items()
        if reckoning.book.key_made(record) == key and record.made is not None
    ]
    records = [record for _, _, record in sorted(dated, key=lambda entry: entry[:2])]
    made = [record for record in records if record.outcome is not BatchOutcome.DISCARDED]
    sizes = [size for record in made if isinstance(size := _size(figures, record), Fraction)]
    meant = [size for record in made if isinstance(size := _planned(figures, record), Fraction)]
    told = [record for record in records if record.next_time]
    return Tried(
        count=len(made),
        unit=figures.scale.unit,
        least=min(sizes, default=None),
        most=max(sizes, default=None),
        span=(min(sizes + meant), max(sizes + meant)) if sizes else None,
        next_time=told[-1] if told else None,
    )


def _size(figures: Figures, record: BatchRecord) -> Known:
    came_out, unit = record.came_out, figures.scale.unit
    if came_out is not None:
        return in_unit_of(figures, came_out, unit)
    return _planned(figures, record)


def _planned(figures: Figures, record: BatchRecord) -> Known:
    return Missing(says=says("not-planned")) if record.obtain is None else batch_wanted(figures, record.obtain)
