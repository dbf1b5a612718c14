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
from .amounts import LineFigure
from .blends import Blend
from .composition import Composition
from .ethanol import volume_share
from .flow import evaporated_g
from .known import ONE, ZERO, less, over
from .measure import least_weighable
from .metering import THINNED, Evaluation, Metered
from .same import Same
from .scale import Measure, Row, ScaleTable
from .ways import Piece

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
                off=measuring_error(metered, row.strong),
                percent=intervals.get(row.index),
            )
            for row, metered in zip(self.table.rows, self.evaluation.lines, strict=True)
        )

    @property
    def smallest(self) -> Fraction | None:
        """The smallest batch, in the table's unit, at which every line is within it; None when there is none."""
        return smallest_batch(self.table)


def certainty(table: ScaleTable, evaluation: Evaluation, lines: Sequence[LineFigure]) -> Certainty:
    """Return how sure the lines of one batch are."""
    return Certainty(
        table=table, evaluation=evaluation, figures=tuple(lines), doubtful=doubtful_lines(table, evaluation)
    )


def doubtful_lines(table: ScaleTable, evaluation: Evaluation) -> tuple[int, ...]:
    """Return the numbers of the lines that are not known to be within their accepted error, or not measured at all."""
    found = []
    for row, metered in zip(table.rows, evaluation.lines, strict=True):
        if row.is_about:
            continue  # added little by little until it is right
        if metered.measure is Measure.WEIGH and metered.portions == 1 and row.strong is None:
            continue  # a line is weighed at once only where it is within
        if _is_judged(metered):
            off = measuring_error(metered, row.strong)
            if off is None or off > row.error:
                found.append(row.index)
    return tuple(found)


def _is_judged(metered: Metered) -> bool:
    """Tell whether a line's measuring can be judged: not by volume, not without a balance, not of unknown weight."""
    if metered.measure is Measure.VOLUME or isinstance(metered.grams, Missing) or metered.grams <= 0:
        return False
    return metered.measure in (Measure.DROPS, Measure.NONE) or metered.step is not None


def measuring_error(line: Metered, strong: Fraction | None = None) -> Fraction | None:
    """Return what measuring a line may be off at the worst, as a share of the quantity.

    Weighed: one step of the balance for each portion, as a weighing by difference is two readings, each half a step
    off at most.  Counted in drops: the lightest or the heaviest drop against the mean.  Taken from a stock: every
    weighing one step wrong to the worse side, the aliquot rounded.  Diluted ethanol is as sure as its strong part, the
    share `strong` of it.  The rounding of a weight or of a count of drops is told elsewhere and not counted here.

    Source: T04-01 and T04-03 (University of North Carolina: sensitivity ÷ quantity is the error of a weighing).
    """
    exact, low, high = line.grams, line.low, line.high
    if isinstance(exact, Missing) or isinstance(low, Missing) or isinstance(high, Missing) or exact <= 0:
        return None
    if line.measure is Measure.DROPS:
        if line.drops is None or not line.drops_exact:
            return None
        mean = line.drops * exact / line.drops_exact
        return max(high - mean, mean - low) / mean
    if line.measure in THINNED:
        return max(high - exact, exact - low) / exact
    if line.step is None or line.measure not in (Measure.WEIGH, Measure.FILL):
        return None
    return line.portions * line.step / (exact * (strong or ONE))


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
) -> Mapping[str, Interval]:
    """Return the least and the most that the finished product can hold of each material wanted.

    A line's share is least where it has its least weight and all others their most; a material has the least when
    every line that brings it brings the least, an intermediate by the least that it can itself hold.  What a line loses
    by evaporation is taken in proportion.  A line with `left:` stands at that share.  It is said where a line is not
    measured within its accepted error.

    `inside` has the intervals of the intermediates, by their keys; `wanted` the keys of the materials asked for.

    Source: own arithmetic (intervals of a quotient, of a product and of a sum).
    """
    shares = composition.shares
    if isinstance(shares, Missing):
        return {}
    weighed = _line_shares(composition, lines, metered)
    found: dict[str, Interval] = {}
    for index, (least, most) in weighed.items():
        for key, (low, high) in _within(lines[index], metered[index], inside).items():
            if key in wanted:
                so_far = found.get(key, (ZERO, ZERO))
                found[key] = so_far[0] + least * low, min(so_far[1] + most * high, ONE)
    return {key: found[key] for key in shares if key in found}


def _line_shares(
    composition: Composition, lines: Sequence[LineFigure], metered: Sequence[Metered]
) -> Mapping[int, Interval]:
    """Return the least and the most of each line's share of the finished product."""
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
            return {}
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


def smallest_batch(table: ScaleTable) -> Fraction | None:
    """Return the smallest batch at which every line is measured within its accepted error, in the table's unit.

    Lines by volume are not judged.  Where a way of measuring begins just above a batch, the next hundredth counts.
    There is none where a line's drops differ too much and it is never weighed, or where no balance is stated.

    Source: own arithmetic on the least weighable quantity (T04-01).
    """
    return _smallest_batch(Same(table))


@lru_cache(maxsize=4096)
def _smallest_batch(same: Same[ScaleTable]) -> Fraction | None:
    table = same.record
    judged = [row for row in table.rows if _batch_matters(row)]
    if not judged or any(row.least_g is None for row in judged):
        return None
    # Of lines measured alike the one that takes least is the last to be within; the others are looked at from there on.
    slowest: dict[tuple[object, ...], Row] = {}
    for row in judged:
        alike = id(row.by_weight), row.error, row.strong
        if alike not in slowest or _takes_less(row, slowest[alike]):
            slowest[alike] = row
    starts = [_next_within(row, ZERO) for row in slowest.values()]
    if None in starts:
        return None
    batch = max(one for one in starts if one is not None)
    while True:  # every turn goes on to where some line begins to be within; there are finitely many such places
        wanted = [_next_within(row, batch) for row in judged]
        found = max((one for one in wanted if one is not None), default=ZERO)
        if None in wanted:
            return None
        if found == batch:
            return batch
        batch = found


def _batch_matters(row: Row) -> bool:
    per = row.sized
    if row.is_about or row.by_weight[0].measure is Measure.VOLUME:
        return False
    return not isinstance(per, Missing) and per > 0


def _takes_less(row: Row, other: Row) -> bool:
    per, its = row.sized, other.sized
    return not isinstance(per, Missing) and not isinstance(its, Missing) and per < its


def _next_within(row: Row, batch: Fraction) -> Fraction | None:
    """Return the first batch from the given one on at which a line is within its accepted error; None without one."""
    per = row.sized
    if isinstance(per, Missing):
        return None
    exact = per * batch
    if exact and _holds_at(row, exact):
        return batch
    for start in _starts(row, exact):
        if start >= exact and start:
            if _holds_at(row, start):
                return start / per
            beyond = floor(start / per * 100 + 1) / Fraction(100)
            if _holds_at(row, beyond * per):
                return beyond
    return None


def _starts(row: Row, exact: Fraction) -> list[Fraction]:
    """Return the weights (or counts) from which a line may begin to be within its accepted error, in order.

    `exact` is the weight (or count) at which it is not: in portions it may be within it, and again not.
    """
    weights = {piece.from_ for piece in row.by_weight if _holds(piece, row)}
    for piece in row.by_weight:
        if piece.step and _is_bounded(piece, row):
            weights.add(_least(piece, row, max(exact, piece.from_)))
    return sorted(weights)


def _holds_at(row: Row, exact: Fraction) -> bool:
    piece = next(one for one in row.by_weight if one.from_ <= exact and (one.to is None or exact <= one.to))
    if piece.step and _is_bounded(piece, row):
        return exact >= _least(piece, row, exact)
    return _holds(piece, row)


def _is_bounded(piece: Piece, row: Row) -> bool:
    """Tell whether a weighing in its range may still be too little: of the fill, in portions, of a part of it."""
    if piece.measure is Measure.WEIGH:
        return piece.portion is not None or row.strong is not None
    return piece.measure is Measure.FILL


def _least(piece: Piece, row: Row, exact: Fraction) -> Fraction:
    """Return the least weight within the accepted error, in as many portions as the exact weight takes."""
    assert piece.step is not None
    portions = 1 if piece.portion is None else max(1, ceil(exact / piece.portion))
    return portions * least_weighable(piece.step, row.error) / (row.strong or ONE)


def _holds(piece: Piece, row: Row) -> bool:
    """Tell whether a way of measuring is within the accepted error: by weight always, in drops by their spread."""
    match piece.measure:
        case Measure.WEIGH | Measure.FILL:
            return piece.step is not None
        case Measure.DROPS:
            if piece.drop is None or piece.low is None or piece.high is None:
                return False
            return max(piece.high - piece.drop, piece.drop - piece.low) <= row.error * piece.drop
        case Measure.DILUTE | Measure.TRITURATE:
            return True
        case _:
            return False
