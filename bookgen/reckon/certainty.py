"""How sure the figures of a batch are: what measuring may be off, and what that does to every percentage.

Enters: the figures of a formula, its scale table evaluated at one batch, the certainty of its intermediates.  Leaves:
`Certainty`: an interval for every percentage, the lines that are not within their accepted error, and the smallest
batch at which all are.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import ceil, floor, lcm

from ..findings import Missing
from ..model import Known
from ..show import UP, not_below, significant
from .amounts import LineFigure
from .blends import Blend
from .composition import Composition
from .ethanol import volume_share
from .flow import evaporated_g
from .known import ONE, ZERO, less, over
from .measure import LARGEST_DROP_COUNT, half_up
from .metering import FARTHEST, THINNED, Evaluation, Metered, evaluate, number_at
from .same import Same
from .scale import Measure, Row, ScaleTable
from .ways import HALF, Piece

Interval = tuple[Fraction, Fraction]
"""The least and the most that a figure can be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCertainty:
    """One line at one batch."""

    index: int
    """Its number in the formula."""
    off: Fraction | None
    """What measuring it may be off at the worst, as a share of what is taken; None where that is not known."""
    percent: Interval | None
    """Least and most of its percentage, as shares; None where that is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Certainty:
    """A formula at one batch: the lines in doubt, and on request how much, and from which batch on there is none."""

    table: ScaleTable
    """The table that the batch is taken from."""
    evaluation: Evaluation
    """The batch."""
    figures: tuple[LineFigure, ...]
    """The formula's lines."""
    doubtful: tuple[int, ...]
    """Numbers of the lines that are measured with more than their accepted error, or not at all."""

    @property
    def lines(self) -> tuple[LineCertainty, ...]:
        """How sure each line is."""
        intervals = percent_intervals(self.figures, self.evaluation.lines)
        return tuple(
            LineCertainty(
                index=row.index,
                off=measuring_error(metered),
                percent=intervals.get(row.index),
            )
            for row, metered in zip(self.table.rows, self.evaluation.lines, strict=True)
        )

    @property
    def smallest(self) -> Fraction | None:
        """The smallest batch from this one on, in the table's unit, at which every line is within it; None when there
        is none, or only one far larger."""
        return smallest_batch(self.table, self.evaluation.obtain)


def certainty(table: ScaleTable, evaluation: Evaluation, lines: Sequence[LineFigure]) -> Certainty:
    """Return how sure the lines of one batch are."""
    return Certainty(
        table=table, evaluation=evaluation, figures=tuple(lines), doubtful=doubtful_lines(table, evaluation)
    )


def doubtful_lines(table: ScaleTable, evaluation: Evaluation) -> tuple[int, ...]:
    """Return the numbers of the lines that are not known to be within their accepted error, or not measured at all."""
    found = []
    for row, metered in zip(table.rows, evaluation.lines, strict=True):
        if row.is_about or not row.in_total:
            continue  # added little by little until it is right, or taken out again
        if metered.coarse or _is_judged(metered):
            off = measuring_error(metered)
            if off is None or off > row.error:
                found.append(row.index)
    return tuple(found)


def _is_judged(metered: Metered) -> bool:
    """Tell whether a line's measuring can be judged: not by volume, not without a balance, not of unknown weight."""
    if metered.measure is Measure.VOLUME or isinstance(metered.grams, Missing) or metered.grams <= 0:
        return False
    return metered.measure in (Measure.DROPS, Measure.NONE) or metered.step is not None


def measuring_error(line: Metered) -> Fraction | None:
    """Return what a line may be off at the worst, as a share of its exact weight: what is printed, and measured wrong.

    Weighed: the printed weight, and one step of the balance either way for each portion, as a weighing by difference is
    two readings, each half a step off at most; the fill's printed weight takes up the rounding of all others.  Counted
    in drops: so many of the lightest or of the heaviest drops.  Taken from a stock: every weighing one step wrong to
    the worse side.  Diluted ethanol is as sure as its strong part.  Not known for what is less than the balance shows.

    Source: T04-01 and T04-03 (University of North Carolina: sensitivity ÷ quantity is the error of a weighing).
    """
    exact, low, high = line.grams, line.low, line.high
    if isinstance(exact, Missing) or isinstance(low, Missing) or isinstance(high, Missing) or exact <= 0:
        return None
    if line.strong is not None and line.strong_g is not None and line.step is not None:
        off = line.portions * line.step
        exact, low, high = exact * line.strong, max(line.strong_g - off, ZERO), line.strong_g + off
    elif line.measure is Measure.DROPS or line.measure in THINNED:
        if line.measure is Measure.DROPS and line.drops is None:
            return None
    elif line.step is None or line.measure not in (Measure.WEIGH, Measure.FILL):
        return None
    return max(high - exact, exact - low) / exact


def percent_intervals(lines: Sequence[LineFigure], metered: Sequence[Metered]) -> Mapping[int, Interval]:
    """Return the least and the most that every percentage of a batch can be, by the line's number.

    The least share of a line is its least weight beside the most of all others, and the other way round, so that the
    interval holds whatever the errors are.

    Source: own arithmetic (interval of a quotient).
    """
    counted: list[int] = []
    ranges: list[Interval] = []
    for one, taken in zip(lines, metered, strict=True):
        if not one.counts:
            continue
        low, high = taken.low, taken.high
        if isinstance(one.percent, Missing) or isinstance(low, Missing) or isinstance(high, Missing):
            return {}
        kept = kept_share(one)
        if isinstance(kept, Missing):
            return {}
        if kept != 1:
            low, high = low * kept, high * kept
        counted.append(one.index)
        ranges.append((low, high))
    if len({lines[index].percent_of for index in counted}) != 1:
        return {}
    return dict(zip(counted, shares_between(ranges), strict=True))


def kept_share(one: LineFigure) -> Known:
    """Return which part of what is weighed of a line its percentage is of: less where what evaporates is weighed in."""
    return over(one.grams, one.weighed) if one.line.added and one.weighed != one.grams else ONE


def shares_between(ranges: Sequence[Interval]) -> list[Interval]:
    """Return the least and the most share of each of several amounts in their sum, given the range of each.

    The least share is the least amount beside the most of all others.

    Source: own arithmetic (interval of a quotient).

    >>> shares_between([(Fraction(1), Fraction(2)), (Fraction(8), Fraction(9))])
    [(Fraction(1, 10), Fraction(1, 5)), (Fraction(4, 5), Fraction(9, 10))]
    """
    # Over one common denominator in whole numbers: exact, and a fraction is made only of each result.
    common = lcm(*(end.denominator for pair in ranges for end in pair))
    whole = [
        (low.numerator * (common // low.denominator), high.numerator * (common // high.denominator))
        for low, high in ranges
    ]
    lowest, highest = sum(low for low, _ in whole), sum(high for _, high in whole)
    return [
        (
            Fraction(low, low + highest - high) if low else ZERO,
            Fraction(high, high + lowest - low) if high else ZERO,
        )
        for low, high in whole
    ]


# ── Through intermediates ─────────────────────────────────────────────────────────────────────────────────────────


def composition_intervals(
    composition: Composition,
    lines: Sequence[LineFigure],
    metered: Sequence[Metered],
    inside: Mapping[str, Mapping[str, Interval]],
    wanted: Collection[str],
) -> Mapping[str, Interval] | None:
    """Return the least and the most that the finished product can hold of each material wanted.

    A line's share is least where it has its least weight and all others their most; a material has the least when
    every line that brings it brings the least, an intermediate by the least that it can itself hold.  What a line loses
    by evaporation is taken in proportion.  A line with `left:` stands at that share.  It is said where a line is not
    measured within its accepted error.

    `inside` has the intervals of the intermediates, by their keys; `wanted` the keys of the materials asked for.  None
    where they are not known, because of one line nobody knows how much really goes in.

    Source: own arithmetic (intervals of a quotient, of a product and of a sum).
    """
    shares = composition.shares
    if isinstance(shares, Missing):
        return None
    weighed = _line_shares(composition, lines, metered)
    if weighed is None or any(lines[index].is_formula and lines[index].key not in inside for index in weighed):
        return None
    found: dict[str, Interval] = {}
    for index, (least, most) in weighed.items():
        for key, (low, high) in _within(lines[index], metered[index], inside).items():
            if key in wanted:
                so_far = found.get(key, (ZERO, ZERO))
                found[key] = so_far[0] + least * low, min(so_far[1] + most * high, ONE)
    return {key: found[key] for key in shares if key in found}


def _line_shares(
    composition: Composition, lines: Sequence[LineFigure], metered: Sequence[Metered]
) -> Mapping[int, Interval] | None:
    """Return the least and the most of each line's share of the finished product; None where one is not known."""
    shares: dict[int, Interval] = {}
    open_: list[int] = []
    ranges: list[Interval] = []
    rest = ZERO
    for index, share in composition.by_line.items():
        one = metered[index]
        if lines[index].line.left is not None:
            shares[index] = share, share
            continue
        exact, low, high = one.grams, one.low, one.high
        if isinstance(exact, Missing) or isinstance(low, Missing) or isinstance(high, Missing):
            return None
        rest += share
        open_.append(index)
        if lines[index].line.evaporates is not None and exact:
            low, high = low * _kept(lines[index]), high * _kept(lines[index])
        ranges.append((low, high))
    for index, (least, most) in zip(open_, shares_between(ranges), strict=True):
        shares[index] = (least, most) if rest == ONE else (rest * least, rest * most)
    return shares


def _kept(one: LineFigure) -> Fraction:
    """Return which part of what is weighed of a line stays in the product, where some of it evaporates."""
    stays = one.grams if one.line.made_up or one.line.added else less(one.grams, evaporated_g(one))
    kept = over(stays, one.weighed)
    return ONE if isinstance(kept, Missing) else kept


def _within(one: LineFigure, metered: Metered, inside: Mapping[str, Mapping[str, Interval]]) -> Mapping[str, Interval]:
    """Return what a line brings, by material, as shares of the line."""
    if one.is_formula:
        return inside.get(one.key, {})
    strong, water, step = metered.strong_g, metered.water_g, metered.step
    if strong is None or water is None or step is None or len(one.takes) == 1:
        return {key: (share, share) for key, share in one.takes}
    total, off = strong + water, metered.portions * step
    low, high = max(strong - off, ZERO) / total, min(strong + off, total) / total
    (name, _), (other, _) = one.takes
    return {name: (low, high), other: (1 - high, 1 - low)}


def strength_between(one: LineFigure, metered: Metered) -> Interval | None:
    """Return the least and the most ethanol by volume at 20 °C that a line of diluted ethanol can hold.

    Its strong part may be one step of the balance off, each portion of it; water makes up the line's weight.  None for
    any other line, and where its weight is not known.

    Source: own arithmetic; by volume as `volume_share`.
    """
    strong, water, step = metered.strong_g, metered.water_g, metered.step
    if not isinstance(one.blend, Blend) or not one.blend.water or strong is None or water is None or step is None:
        return None
    off, total = metered.portions * step, strong + water
    if not total:
        return None
    low, high = max(strong - off, ZERO) / total, min(strong + off, total) / total
    return volume_share(one.blend.have * low), volume_share(one.blend.have * high)


# ── The smallest batch ────────────────────────────────────────────────────────────────────────────────────────────


def smallest_batch(table: ScaleTable, asked: Fraction) -> Fraction | None:
    """Return the smallest batch, from the one asked on, at which every line is measured within its accepted error.

    In the table's unit, and as it is printed: what is printed, measured wrong to the worse side, is within the error.
    Weights and counts are within it from 1.5 times the least weighable quantity on, and below that wherever they need
    little rounding.  Where only lines that take up what others leave are beyond it, larger batches are tried one by
    one, each a hundredth larger.  Lines by volume are not judged.  A batch of more than five times the one asked is not
    told, and none where no balance is stated.

    Source: own arithmetic on the error of a weighing (T04-01).
    """
    return _smallest_batch(Same(table), asked)


@lru_cache(maxsize=4096)
def _smallest_batch(same: Same[ScaleTable], asked: Fraction) -> Fraction | None:
    table, batch = same.record, asked
    judged = [row for row in table.rows if _batch_matters(row)]
    if not judged or any(row.least_g is None for row in judged):
        return None
    thinners = {row.diluent for row in table.rows}
    while batch <= FARTHEST * asked:  # every turn goes on to where some line begins to be within
        starts = [_next_within(row, batch, alone=row.index not in thinners) for row in judged]
        found = max((one for one in starts if one is not None), default=batch)
        if None in starts:
            return None
        if found == batch:
            if not doubtful_lines(table, evaluate(table, batch)):
                return batch
            batch = Fraction(significant(batch * Fraction(101, 100), side=UP))
        else:
            batch = Fraction(not_below(found))
    return None


def _batch_matters(row: Row) -> bool:
    per = row.sized
    if row.is_about or not row.in_total or row.by_weight[0].measure is Measure.VOLUME:
        return False
    return not isinstance(per, Missing) and per > 0


def _next_within(row: Row, batch: Fraction, *, alone: bool) -> Fraction | None:
    """Return the first batch from the given one on at which a line can be within its accepted error; None without one.

    A fill, what thins others and a mixture depend on more than their own weight: for them, `alone` being False or not,
    it is where they are no longer too little in any case.
    """
    per, least = row.sized, row.least_g
    if isinstance(per, Missing) or least is None:
        return None
    exact = per * batch
    if row.is_fill or row.strong is not None or not alone:
        return max(batch, least / (row.strong or ONE) / per)
    for piece in sorted(row.by_weight, key=lambda one: one.from_):
        if piece.to is not None and piece.to < exact:
            continue  # it ends before the weight from which one is looked for
        start = _within_from(piece, row.error, max(exact, piece.from_))
        if start is not None and row.by_weight[number_at(row, start)] is not piece:
            start = Fraction(floor(start / per * 100) + 1, 100) * per  # a way of measuring that begins just above
        if start is not None and (piece.to is None or start <= piece.to):
            return start / per
    return None


def _within_from(piece: Piece, error: Fraction, exact: Fraction) -> Fraction | None:
    """Return the least weight from the given one on that a way of measuring gives within the accepted error."""
    match piece.measure:
        case Measure.DILUTE | Measure.TRITURATE:
            return exact
        case Measure.WEIGH if piece.step is not None:
            return _weighed_within(piece.step, piece.portion, error, exact)
        case Measure.DROPS if piece.drop is not None and piece.low is not None and piece.high is not None:
            for count in range(int(half_up(exact / piece.drop, ONE)), LARGEST_DROP_COUNT + 1):
                if piece.to is not None and (count - HALF) * piece.drop > piece.to:
                    return None
                found = _covered(count * piece.low, count * piece.high, count, piece.drop, error, exact)
                if found is not None:
                    return found
    return None


def _weighed_within(step: Fraction, portion: Fraction | None, error: Fraction, exact: Fraction) -> Fraction | None:
    reading = int(half_up(exact, step) / step)
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
