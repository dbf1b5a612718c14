"""Enough: the smallest batch at which lines are measured within their accepted error, and how they are measured there.

Enters: a scale table, the batch asked, the lines in question.  Leaves: a batch that a person would write, at which none
of them is in doubt; None where there is none, or only one far larger.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor

from ..findings import Missing
from ..fraction import Fraction
from ..wording.saying import Saying, says
from .doubt import is_doubtful
from .measure import LARGEST_DROP_COUNT, whole_steps
from .metering import Evaluation, evaluate, number_at
from .same import Same
from .scale import Measure, ScaleRow, ScaleTable
from .ways import HALF, Piece

FARTHEST = 5
"""A batch is told up to so many times the one asked: a larger one is no help (common practice, no source)."""
FIGURES = 3
"""Figures that a batch is told in: 112.437 g as 113 g."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOut:
    """A larger batch at which one line is no longer measured coarsely."""

    batch: Fraction
    """To obtain, in the table's unit, as it is printed."""
    measure: Measure
    """How the line is measured there."""
    drops: int | None
    """Whole drops, where it is counted there."""
    doubtful: bool
    """True where it is counted there with little rounding, but the drops themselves differ more than is accepted."""

    @property
    def how(self) -> Saying:
        """How the line is measured there: `3 drops`, `weighed`, `diluted` or `triturated`."""
        if self.drops is not None:
            return says("in-count", drops=self.drops)
        return _HOW.get(self.measure, _WEIGHED)


_WEIGHED = says("weighed")
_HOW = {Measure.DILUTE: says("diluted"), Measure.TRITURATE: says("triturated")}


def smallest_batch(table: ScaleTable, asked: Fraction) -> Fraction | None:
    """Return the smallest batch, from the one asked on, at which every line is measured within its accepted error.

    In the table's unit, and rounded up to three figures as it is printed: what is printed, measured wrong to the worse
    side, is within the error at that very batch.  Weights and counts are within it from 1.5 times the least weighable
    quantity on, and below that wherever they need little rounding.  Where only lines that take up what others leave
    are beyond it, larger batches are tried one by one, each a hundredth larger.  Lines by volume are not judged.  A
    batch of more than five times the one asked is not told, and none where no balance is stated.

    Source: own arithmetic on the error of a weighing (T04-01).
    """
    return _enough(Same(table), asked, frozenset(row.figure.index for row in table.rows), False)


def enough_for(table: ScaleTable, asked: Fraction, lines: Collection[int]) -> Fraction | None:
    """Return the smallest batch from the one asked on at which these lines are within, whatever the others are."""
    return _enough(Same(table), asked, frozenset(lines), False)


def weighed_batch(table: ScaleTable, asked: Fraction, line: int) -> Fraction | None:
    """Return the smallest batch from the one asked on at which a line is weighed, without a stock, and within."""
    return _enough(Same(table), asked, frozenset((line,)), True)


def way_out(table: ScaleTable, evaluation: Evaluation, index: int) -> WayOut | None:
    """Return the next larger batch at which a line is measured within its accepted error, and how it is measured there.

    It is rounded up to three figures, and at that very batch what is printed is within, measured wrong to the worse
    side.  Where fewer grams make the next whole count of drops, that batch is told; what a drop weighs may still be
    less sure than is accepted.  Of diluted ethanol it is the strong part that is judged.  One of more than five times
    the batch asked is no way out, and there is none for what is measured well enough.

    Source: own arithmetic.
    """
    line, asked = evaluation.lines[index], evaluation.obtain
    if not line.is_coarse or isinstance(line.grams, Missing) or line.figure.is_about:
        return None
    counted, enough = _whole_count(table, evaluation, index), enough_for(table, asked, (index,))
    found = min((size for size in (counted, enough) if size is not None), default=None)
    if found is None:
        return None
    there = evaluate(table, found).lines[index]
    return WayOut(batch=found, measure=there.measure, drops=there.drops, doubtful=is_doubtful(there))


def _whole_count(table: ScaleTable, evaluation: Evaluation, index: int) -> Fraction | None:
    """Return the batch that gives the next whole count of drops; None where the line is not counted there."""
    exact, row = evaluation.lines[index].drops_exact, table.rows[index]
    if exact is None or not isinstance(row.sized, Fraction):
        return None
    count = max(1, ceil(exact))
    batch = rounded_batch(evaluation.obtain / exact * count)
    if batch > FARTHEST * evaluation.obtain or count > LARGEST_DROP_COUNT:
        return None
    piece = row.by_weight[number_at(row, row.sized * batch)]
    return batch if piece.measure is Measure.DROPS and not piece.coarse else None


def rounded_batch(batch: Fraction) -> Fraction:
    """Return a batch as a person would write it: three figures, and never less.

    >>> str(rounded_batch(Fraction("112.437"))), str(rounded_batch(Fraction(12345)))
    ('113', '12400')
    """
    place = Fraction(10) ** (1 - FIGURES)
    while batch >= 10**FIGURES * place:
        place *= 10
    while batch < 10 ** (FIGURES - 1) * place:
        place /= 10
    return ceil(batch / place) * place


@lru_cache(maxsize=4096)
def _enough(same: Same[ScaleTable], asked: Fraction, lines: frozenset[int], weighed: bool) -> Fraction | None:
    table, batch = same.record, asked
    judged = [row for row in table.rows if row.figure.index in lines and _batch_matters(row)]
    if not judged or any(row.least_g is None for row in judged):
        return None
    thinners = {row.diluent for row in table.rows}
    while batch <= FARTHEST * asked:  # every turn goes on to where some line begins to be within
        found = batch
        for row in judged:
            start = _next_within(row, batch, alone=row.figure.index not in thinners, weighed=weighed)
            if start is None:
                return None
            if start is not batch and start > found:
                found = start
        if found > batch:
            batch = rounded_batch(found)
            continue
        there = [line for line in evaluate(table, batch).lines if line.index in lines]
        served = not weighed or all(line.measure is Measure.WEIGH for line in there)
        if served and not any(is_doubtful(line) for line in there):
            return batch
        batch = rounded_batch(batch * Fraction(101, 100))
    return None


def _batch_matters(row: ScaleRow) -> bool:
    per = row.sized
    if row.figure.is_about or not row.figure.counts or row.by_weight[0].measure is Measure.VOLUME:
        return False
    return not isinstance(per, Missing) and per > 0


def _next_within(row: ScaleRow, batch: Fraction, *, alone: bool, weighed: bool) -> Fraction | None:
    """Return the first batch from the given one on at which a line can be within its accepted error; None without one.
    Where that is so at the given one, it is returned itself.

    A fill, what thins others and a mixture depend on more than their own weight: for them, `alone` being False or not,
    it is where they are no longer too little in any case.  `weighed` asks for a weighing.
    """
    per, least = row.sized, row.least_g
    if isinstance(per, Missing) or least is None:
        return None
    exact = per * batch
    if row.strong is not None:
        return max(batch, least / row.strong / per)
    if row.figure.is_fill or not alone:
        return batch if exact >= least else least / per
    if _is_large(row.by_weight[number_at(row, exact)], row.error, exact):
        return batch
    for piece in _in_order(Same(row.by_weight)):
        if piece.to is not None and piece.to < exact:
            continue  # it ends before the weight from which one is looked for
        if weighed and piece.measure is not Measure.WEIGH:
            continue
        start = _within_from(piece, row.error, max(exact, piece.from_))
        if start is not None and row.by_weight[number_at(row, start)] is not piece:
            start = Fraction(floor(start / per * 100) + 1, 100) * per  # a way of measuring that begins just above
        if start is not None and (piece.to is None or start <= piece.to):
            return batch if start is exact else start / per
    return None


def _is_large(piece: Piece, error: Fraction, exact: Fraction) -> bool:
    """Tell whether a line is weighed at once, from 1.5 times what its balance weighs least: as most lines are."""
    step = piece.step
    if piece.measure is not Measure.WEIGH or piece.portion is not None or step is None:
        return False
    off = 3 * step.numerator * error.denominator * exact.denominator
    return off <= 2 * error.numerator * exact.numerator * step.denominator


@lru_cache(maxsize=1024)
def _in_order(same: Same[tuple[Piece, ...]]) -> tuple[Piece, ...]:
    """Return a line's pieces by the weight from which they begin."""
    return tuple(sorted(same.record, key=lambda piece: piece.from_))


def _within_from(piece: Piece, error: Fraction, exact: Fraction) -> Fraction | None:
    """Return the least weight from the given one on that a way of measuring gives within the accepted error."""
    match piece.measure:
        case Measure.DILUTE | Measure.TRITURATE:
            return exact
        case Measure.WEIGH if piece.step is not None:
            return _weighed_within(piece.step, piece.portion, error, exact)
        case Measure.DROPS if piece.drop is not None and piece.low is not None and piece.high is not None:
            for count in range(whole_steps(exact, piece.drop), LARGEST_DROP_COUNT + 1):
                if piece.to is not None and (count - HALF) * piece.drop > piece.to:
                    return None
                found = _covered(count * piece.low, count * piece.high, count, piece.drop, error, exact)
                if found is not None:
                    return found
    return None


def _weighed_within(step: Fraction, portion: Fraction | None, error: Fraction, exact: Fraction) -> Fraction | None:
    reading = whole_steps(exact, step)
    while True:
        portions = 1 if portion is None else max(1, ceil(reading * step / portion))
        found = _covered((reading - portions) * step, (reading + portions) * step, reading, step, error, exact)
        if found is not None:
            return found
        if portion is not None and reading * step > exact + 2 * portion:
            return None
        reading = max(reading + 1, ceil(portions / error))


def _covered(
    low: Fraction, high: Fraction, count: int, each: Fraction, error: Fraction, exact: Fraction
) -> Fraction | None:
    """Return the least weight from the given one on for which a count is taken and gives it within the error.

    `low` and `high` are what is really taken, `each` what one of the count stands for.
    """
    start = max(exact, high / (1 + error), (count - HALF) * each)
    return start if start * (1 - error) <= low and start < (count + HALF) * each else None
