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
from .batchline import Aliquot, BatchLine, Counted, Interval, OnlyCounted, Unshown, Weighed
from .blends import Blend
from .composition import Composition
from .ethanol import volume_share
from .flow import evaporated_g
from .known import ONE, ZERO, less, over
from .measure import LARGEST_DROP_COUNT, half_up
from .metering import FARTHEST, Evaluation, evaluate, number_at
from .same import Same
from .scale import Measure, Row, ScaleTable
from .ways import HALF, Piece


@dataclass(frozen=True, slots=True, kw_only=True)
class Certainty:
    """A formula at one batch: the lines in doubt, and on request how much, and from which batch on there is none."""

    table: ScaleTable
    """The table that the batch is taken from."""
    evaluation: Evaluation
    """The batch."""
    doubtful: tuple[BatchLine, ...]
    """The lines that are measured with more than their accepted error, or not at all."""

    @property
    def percents(self) -> Mapping[int, Interval]:
        """Least and most of every percentage, as shares, by the line's number; empty where they are not known."""
        return percent_intervals(self.evaluation.lines)

    @property
    def smallest(self) -> Fraction | None:
        """The smallest batch from this one on, in the table's unit, at which every line is within it; None when there
        is none, or only one far larger."""
        return smallest_batch(self.table, self.evaluation.obtain)


def certainty(table: ScaleTable, evaluation: Evaluation) -> Certainty:
    """Return how sure the lines of one batch are."""
    return Certainty(table=table, evaluation=evaluation, doubtful=doubtful_lines(evaluation))


def doubtful_lines(evaluation: Evaluation) -> tuple[BatchLine, ...]:
    """Return the lines that are not known to be within their accepted error, or not measured at all."""
    found = []
    for one in evaluation.lines:
        if one.figure.is_about or not one.figure.counts:
            continue  # added little by little until it is right, or taken out again
        if _is_judged(one):
            off = measuring_error(one)
            if off is None or off > one.row.error:
                found.append(one)
    return tuple(found)


def _is_judged(line: BatchLine) -> bool:
    """Tell whether a line's measuring can be judged: not by volume, not without a balance, not of unknown weight."""
    match line.metered:
        case OnlyCounted(coarse=coarse):
            return coarse
        case Weighed() | Counted() | Aliquot() | Unshown():
            return isinstance(line.grams, Missing) or line.grams > 0
        case _:
            return False


def measuring_error(line: BatchLine) -> Fraction | None:
    """Return what a line may be off at the worst, as a share of its exact weight: what is printed, and measured wrong.

    Weighed: the printed weight, and one step of the balance either way for each portion, as a weighing by difference is
    two readings, each half a step off at most; the fill's printed weight takes up the rounding of all others.  Counted
    in drops: so many of the lightest or of the heaviest drops.  Taken from a stock: every weighing one step wrong to
    the worse side.  Diluted ethanol is as sure as its strong part.  Not known for what is less than the balance shows.

    Source: T04-01 and T04-03 (University of North Carolina: sensitivity ÷ quantity is the error of a weighing).
    """
    exact, between = line.grams, line.between
    if isinstance(exact, Missing) or isinstance(between, Missing) or exact <= 0:
        return None
    low, high = between
    if line.row.strong is not None and line.blended is not None and line.step is not None:
        off = line.portions * line.step
        exact, strong = exact * line.row.strong, line.blended.strong_g
        low, high = max(strong - off, ZERO), strong + off
    elif not isinstance(line.metered, Weighed | Counted | Aliquot):
        return None
    return max(high - exact, exact - low) / exact


def percent_intervals(lines: Sequence[BatchLine]) -> Mapping[int, Interval]:
    """Return the least and the most that every percentage of a batch can be, by the line's number.

    The least share of a line is its least weight beside the most of all others, and the other way round, so that the
    interval holds whatever the errors are.

    Source: own arithmetic (interval of a quotient).
    """
    counted: list[LineFigure] = []
    ranges: list[Interval] = []
    for one in lines:
        figure, between = one.figure, one.between
        if not figure.counts:
            continue
        if isinstance(figure.percent, Missing) or isinstance(between, Missing):
            return {}
        kept = kept_share(figure)
        if isinstance(kept, Missing):
            return {}
        counted.append(figure)
        ranges.append(between if kept == 1 else (between[0] * kept, between[1] * kept))
    if len({figure.percent_of for figure in counted}) != 1:
        return {}
    return dict(zip((figure.index for figure in counted), shares_between(ranges), strict=True))


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
    lines: Sequence[BatchLine],
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
    weighed = _line_shares(composition, lines)
    figures = {index: lines[index].figure for index in weighed or ()}
    if weighed is None or any(one.is_formula and one.key not in inside for one in figures.values()):
        return None
    found: dict[str, Interval] = {}
    for index, (least, most) in weighed.items():
        for key, (low, high) in _within(lines[index], inside).items():
            if key in wanted:
                so_far = found.get(key, (ZERO, ZERO))
                found[key] = so_far[0] + least * low, min(so_far[1] + most * high, ONE)
    return {key: found[key] for key in shares if key in found}


def _line_shares(composition: Composition, lines: Sequence[BatchLine]) -> Mapping[int, Interval] | None:
    """Return the least and the most of each line's share of the finished product; None where one is not known."""
    shares: dict[int, Interval] = {}
    open_: list[int] = []
    ranges: list[Interval] = []
    rest = ZERO
    for index, share in composition.by_line.items():
        one = lines[index]
        if one.written.left is not None:
            shares[index] = share, share
            continue
        between = one.between
        if isinstance(between, Missing):
            return None
        rest += share
        open_.append(index)
        if one.written.evaporates is not None and one.grams:
            kept = _kept(one.figure)
            between = between[0] * kept, between[1] * kept
        ranges.append(between)
    for index, (least, most) in zip(open_, shares_between(ranges), strict=True):
        shares[index] = (least, most) if rest == ONE else (rest * least, rest * most)
    return shares


def _kept(one: LineFigure) -> Fraction:
    """Return which part of what is weighed of a line stays in the product, where some of it evaporates."""
    stays = one.grams if one.line.made_up or one.line.added else less(one.grams, evaporated_g(one))
    kept = over(stays, one.weighed)
    return ONE if isinstance(kept, Missing) else kept


def _within(line: BatchLine, inside: Mapping[str, Mapping[str, Interval]]) -> Mapping[str, Interval]:
    """Return what a line brings, by material, as shares of the line."""
    figure = line.figure
    if figure.is_formula:
        return inside.get(figure.key, {})
    share = _strong_between(line)
    if share is None or len(figure.takes) == 1:
        return {key: (share, share) for key, share in figure.takes}
    low, high = share
    (name, _), (other, _) = figure.takes
    return {name: (low, high), other: (1 - high, 1 - low)}


def strength_between(line: BatchLine) -> Interval | None:
    """Return the least and the most ethanol by volume at 20 °C that a line of diluted ethanol can hold.

    Its strong part may be one step of the balance off, each portion of it; water makes up the line's weight.  None for
    any other line, and where its weight is not known.

    Source: own arithmetic; by volume as `volume_share`.
    """
    blend, share = line.figure.blend, _strong_between(line)
    if not isinstance(blend, Blend) or not blend.water or share is None:
        return None
    low, high = share
    return volume_share(blend.have * low), volume_share(blend.have * high)


def _strong_between(line: BatchLine) -> Interval | None:
    """Return the least and the most share of the strong one in a line of diluted ethanol, by weight."""
    both, step = line.blended, line.step
    if both is None or step is None:
        return None
    off, total = line.portions * step, both.strong_g + both.water_g
    if not total:
        return None
    return max(both.strong_g - off, ZERO) / total, min(both.strong_g + off, total) / total


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
        starts = [_next_within(row, batch, alone=row.figure.index not in thinners) for row in judged]
        found = max((one for one in starts if one is not None), default=batch)
        if None in starts:
            return None
        if found == batch:
            if not doubtful_lines(evaluate(table, batch)):
                return batch
            batch = Fraction(significant(batch * Fraction(101, 100), side=UP))
        else:
            batch = Fraction(not_below(found))
    return None


def _batch_matters(row: Row) -> bool:
    per = row.sized
    if row.figure.is_about or not row.figure.counts or row.by_weight[0].measure is Measure.VOLUME:
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
    if row.figure.is_fill or row.strong is not None or not alone:
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
