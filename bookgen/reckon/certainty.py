"""How sure the figures of a batch are: what measuring may be off, and what that does to every percentage.

Enters: the figures of a formula, its scale table evaluated at one batch, the certainty of its intermediates.  Leaves:
`Certainty`: an interval for every percentage, the lines that are not within their accepted error, and the smallest
batch at which all are.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import lcm

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known
from .amounts import LineFigure
from .batchline import BatchLine, Interval
from .blends import Blend
from .composition import Composition
from .doubt import doubtful_lines
from .enough import WayOut, enough_for, smallest_batch, way_out
from .ethanol import volume_share
from .flow import evaporated_g
from .known import ONE, ZERO, less, over
from .metering import Evaluation
from .scale import ScaleTable


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

    @property
    def enough(self) -> tuple[Fraction, tuple[BatchLine, ...]] | None:
        """The smallest batch that serves every line in doubt, else as many of them as a batch serves, and these lines;
        None where no line is in doubt, or none is served."""
        smallest = self.smallest if self.doubtful else None
        if smallest is not None:
            return smallest, self.doubtful
        asked = self.evaluation.obtain
        served = tuple(line for line in self.doubtful if enough_for(self.table, asked, (line.index,)) is not None)
        batch = enough_for(self.table, asked, [line.index for line in served]) if served else None
        return None if batch is None else (batch, served)

    @property
    def ways_out(self) -> Mapping[int, WayOut]:
        """By the number of a line that is measured coarsely: the next batch at which it is not."""
        found = {line.index: way_out(self.table, self.evaluation, line.index) for line in self.doubtful}
        return {index: way for index, way in found.items() if way is not None}

    @property
    def ways_apart(self) -> Mapping[int, WayOut]:
        """Those that are told line by line: not of several lines that one batch serves, which is `enough`."""
        enough = self.enough
        together = {line.index for line in enough[1]} if enough is not None and len(enough[1]) > 1 else set()
        return {index: way for index, way in self.ways_out.items() if index not in together}


def certainty(table: ScaleTable, evaluation: Evaluation) -> Certainty:
    """Return how sure the lines of one batch are."""
    return Certainty(table=table, evaluation=evaluation, doubtful=doubtful_lines(evaluation))


def percent_intervals(lines: Sequence[BatchLine]) -> Mapping[int, Interval]:
    """Return the least and the most that every percentage of a batch can be, by the line's number.

    The least share of a line is its least weight beside the most of all others, and the other way round, so that the
    interval holds whatever the errors are.

    Source: own arithmetic (interval of a quotient).
    """
    counted: list[LineFigure] = []
    ranges: list[Interval] = []
    for line in lines:
        figure, between = line.figure, line.between
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


def kept_share(line: LineFigure) -> Known:
    """Return which part of what is weighed of a line its percentage is of: less where what evaporates is weighed in."""
    return over(line.grams, line.weighed) if line.line.added and line.weighed != line.grams else ONE


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
    if weighed is None or any(figure.is_formula and figure.key not in inside for figure in figures.values()):
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
        line = lines[index]
        if line.written.left is not None:
            shares[index] = share, share
            continue
        between = line.between
        if isinstance(between, Missing):
            return None
        rest += share
        open_.append(index)
        if line.written.evaporates is not None and line.grams:
            kept = _kept(line.figure)
            between = between[0] * kept, between[1] * kept
        ranges.append(between)
    for index, (least, most) in zip(open_, shares_between(ranges), strict=True):
        shares[index] = (least, most) if rest == ONE else (rest * least, rest * most)
    return shares


def _kept(line: LineFigure) -> Fraction:
    """Return which part of what is weighed of a line stays in the product, where some of it evaporates."""
    stays = line.grams if line.line.made_up or line.line.added else less(line.grams, evaporated_g(line))
    kept = over(stays, line.weighed)
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
