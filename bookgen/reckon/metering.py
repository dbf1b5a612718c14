"""Metering: a scale table at one batch, exact and as the instruments can really give it.

Pages, terminal and JSON print what `evaluate` returns.  In the browser `script/scale.js` does the same; a test compares
the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from ..findings import Missing
from ..model import Known
from .known import ONE, ZERO, add, less, times
from .measure import LARGEST_DROP_COUNT, half_up
from .plans import Plan, aliquot_range
from .scale import Row, ScaleTable
from .ways import Measure, Piece

TOO_LITTLE = "it is less than the balance shows"
"""Why a line of less than half a step has no metered weight; its exact one stands all the same."""
TOO_SMALL = "what is left for it is less than the balance shows"
"""Why a fill has none that would not even be one step of its balance."""
NOTHING_SHOWS = "all of it is less than the balance shows"
"""Why a batch of next to nothing has no printed total."""
FARTHEST = 5
"""A way out is told up to so many times the batch asked: a larger one is no help (common practice, no source)."""
THINNED = (Measure.DILUTE, Measure.TRITURATE)
"""Ways of measuring by a stock and an aliquot of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Metered:
    """One line at one batch: what the instruments can really give."""

    index: int
    """The line's number in the formula."""
    grams: Known
    """Exact grams of this batch."""
    metered: Known
    """Grams printed: whole steps of the balance, or whole drops times the drop mass; of a line that is thinned, the
    aliquot of its stock."""
    ml: Known | None
    """Exact millilitres, where written by volume."""
    loss: Known | None
    """Exact grams that evaporate of it; None where nothing does."""
    measure: Measure
    """The way of measuring."""
    with_: str
    """Balance or dropper; empty when there is none."""
    step: Fraction | None
    """Grams that `metered` is a multiple of."""
    portions: int
    """In how many portions it is weighed."""
    drops: int | None
    """Whole drops, where counted."""
    beside: int | None
    """Whole drops that stand beside a weight, where the balance is surer than the dropper."""
    coarse: bool
    """True where it is measured beyond its accepted error, for want of a better way, or shows on no balance."""
    drops_exact: Fraction | None
    """Drops before rounding, where a drop mass is known."""
    drop_error: Fraction | None
    """(whole drops × drop mass − exact) ÷ exact, where counted."""
    next_batch: Fraction | None
    """Where it is measured coarsely: the next batch at which it is within its accepted error, in the table's unit;
    None when there is none, or only one far larger than the batch asked."""
    next_way: str
    """How it is measured there: `3 drops`, `weighed`, `diluted` or `triturated`."""
    plan: Plan | None
    """The stock that it is taken from, where it is diluted or triturated."""
    diluent: int | None
    """Number of the line that thins that stock."""
    spared: Fraction
    """Grams of this line that are in aliquots of other lines already, so that it is weighed with so much less."""
    spared_off: tuple[Fraction, Fraction]
    """By how much these may be less, and more, as the aliquots and their stocks are weighed."""
    strong: Fraction | None
    """Share by weight of the strong one, where it is diluted ethanol."""
    strong_g: Fraction | None
    """Of diluted ethanol, the grams of the strong one in `metered`, in whole steps; None for any other line, and where
    the weight is not known."""
    water_g: Fraction | None
    """The grams of water that make up the rest of `metered`."""
    drop_low: Fraction | None
    """Grams of the lightest drop, where counted."""
    drop_high: Fraction | None
    """Grams of the heaviest drop, where counted."""

    @property
    def is_unshown(self) -> bool:
        """True where the weight is known, and less than the balance shows."""
        return isinstance(self.metered, Missing) and isinstance(self.grams, Fraction) and self.measure in _SHOWN

    @property
    def low(self) -> Known:
        """The least that is really taken: one step of the balance less for each portion, or the lightest drops.

        Never more than the exact weight, so that this lies between the least and the most.  Of what is less than the
        balance shows, nobody knows how much is taken.
        """
        taken = self._taken(-1, self.drop_low)
        return taken if isinstance(taken, Missing) or isinstance(self.grams, Missing) else min(taken, self.grams)

    @property
    def high(self) -> Known:
        """The most that is really taken; never less than the exact weight."""
        taken = self._taken(1, self.drop_high)
        return taken if isinstance(taken, Missing) or isinstance(self.grams, Missing) else max(taken, self.grams)

    def _taken(self, side: int, drop: Fraction | None) -> Known:
        """Return what is really taken when every weighing is a step wrong to one side; exact where nothing is known."""
        if self.drops is not None:
            return self.grams if drop is None else self.drops * drop
        if self.is_unshown:
            return self.metered
        if isinstance(self.metered, Missing) or self.step is None:
            return self.grams
        if self.plan is not None:
            return aliquot_range(self.metered, self.plan)[side > 0]
        if self.measure is Measure.WEIGH or self.measure is Measure.FILL:
            off = self.step if self.portions == 1 else self.portions * self.step
            taken = self.metered
            if self.spared:
                off += self.spared_off[side > 0]
                taken += self.spared
            taken = taken + off if side > 0 else taken - off
            return taken if taken.numerator > 0 else ZERO
        return self.grams


_SHOWN = (Measure.NONE, Measure.FILL)
"""Ways whose metered weight is only missing because it is too little to show."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """A scale table at one batch."""

    obtain: Fraction
    """The batch to obtain, in the table's unit."""
    start: Known
    """Weigh in all, exact, in the table's unit."""
    start_g: Known
    """Weigh in all in grams, exact."""
    lines: tuple[Metered, ...]
    """One for each line."""
    printed_total: Known
    """Sum of the printed weights that count, in grams; without what is less than the balance shows."""
    left_out: tuple[int, ...]
    """Numbers of the lines that count and that it leaves out, as they are less than the balance shows."""
    finest_step: Fraction | None
    """Finest step among the lines that count: it shows every digit of their sum; None without a balance."""
    read_step: Fraction | None
    """Finest step among those that are weighed: the batch as a whole is told with the digits of a balance, not with
    those that the weight of a few drops has; `finest_step` where nothing is weighed."""


def evaluate(table: ScaleTable, obtain: Fraction) -> Evaluation:
    """Return every line of one batch: exact, and as the instruments can give it; the printed total is their sum.

    A line that is thinned is metered as the aliquot of its stock, and the line that thins it is weighed with so much
    less.  The fill is metered last: weigh in all − the metered others, on its own balance's step, so that the printed
    weights add up.  Of diluted ethanol the strong one is weighed first, on the line's own balance, and water makes up
    the line's weight.  A line that is less than the balance shows stands there with its exact
    weight, which the printed total leaves out.

    Source: common practice, no source.
    """
    start_g = times(table.start_g, obtain)
    lines = [_metered(row, obtain) for row in table.rows]
    for one in lines:
        if one.plan is not None and one.diluent is not None and not isinstance(one.metered, Missing):
            lines[one.diluent] = _spared(lines[one.diluent], one.metered, one.plan)
    for number, row in enumerate(table.rows):
        if row.is_fill:
            others = add(
                one.grams if isinstance(one.metered, Missing) else one.metered
                for other, one in zip(table.rows, lines, strict=True)
                if other.in_total and not other.is_fill
            )
            lines[number] = _filled(lines[number], less(start_g, others), piece_at(row, obtain).portion)
    lines = [_blended(row, one) if row.strong else one for row, one in zip(table.rows, lines, strict=True)]
    counted = [one for row, one in zip(table.rows, lines, strict=True) if row.in_total]
    finest = min((one.step for one in counted if one.step is not None), default=None)
    return Evaluation(
        obtain=obtain,
        start=times(table.start, obtain),
        start_g=start_g,
        lines=tuple(lines),
        printed_total=_total(counted),
        left_out=tuple(one.index for one in counted if one.is_unshown),
        finest_step=finest,
        read_step=min((one.step for one in counted if one.step and one.measure is not Measure.DROPS), default=finest),
    )


def _total(lines: Sequence[Metered]) -> Known:
    """Return the sum of what is printed; not known where a weight is not, or where nothing shows on a balance."""
    shown = [one.metered for one in lines if not one.is_unshown]
    return add(shown) if shown or not lines else Missing(reason=NOTHING_SHOWS)


def piece_at(row: Row, obtain: Fraction) -> Piece:
    """Return the first piece, in the batch, that holds the batch."""
    return row.pieces[number_at(row, times(row.sized, obtain))]


def number_at(row: Row, exact: Known) -> int:
    """Return the number of the first piece that holds the exact weight or count; what is not known has one piece."""
    if isinstance(exact, Missing) or len(row.by_weight) == 1:
        return 0
    above, below = exact.numerator, exact.denominator  # compared in whole numbers: a dropper's line has many pieces
    for number, piece in enumerate(row.by_weight):
        to, from_ = piece.to, piece.from_
        if (to is None or above * to.denominator <= to.numerator * below) and (
            from_.numerator * below <= above * from_.denominator
        ):
            return number
    raise ValueError(f"no piece holds {exact}")


def _metered(row: Row, obtain: Fraction) -> Metered:
    exact = times(row.per, obtain)
    count_exact = None if row.drops_per is None else times(row.drops_per, obtain)
    piece = row.by_weight[number_at(row, exact if count_exact is None else count_exact)]
    metered, portions = exact, 1
    if not isinstance(exact, Missing):
        taken = exact * piece.plan.factor if piece.plan else exact
        stepped = piece.measure is Measure.WEIGH or piece.plan is not None
        weight = half_up(taken, piece.step) if stepped and piece.step is not None else taken
        metered = weight
        if piece.measure is Measure.WEIGH:  # the fill's weight is not known yet
            portions = _portions(weight, piece.portion)
    line = Metered(
        index=row.index,
        grams=exact,
        metered=metered,
        ml=None if row.ml_per is None else times(row.ml_per, obtain),
        loss=None if row.loss_per is None else times(row.loss_per, obtain),
        measure=piece.measure,
        with_=piece.with_,
        step=piece.step,
        portions=portions,
        drops=None,
        beside=None,
        coarse=piece.coarse,
        drops_exact=exact / piece.drop if piece.drop and not isinstance(exact, Missing) else None,
        drop_error=None,
        next_batch=None,
        next_way="",
        plan=piece.plan,
        diluent=row.diluent if piece.plan else None,
        spared=ZERO,
        spared_off=(ZERO, ZERO),
        strong=row.strong,
        strong_g=None,
        water_g=None,
        drop_low=None,
        drop_high=None,
    )
    if isinstance(count_exact, Fraction):
        return _only_counted(line, count_exact)
    if isinstance(exact, Missing):
        return line
    match piece.measure:
        case Measure.DROPS if piece.drop and piece.low is not None and piece.high is not None:
            count = half_up(exact / piece.drop, ONE)
            weight = count * piece.drop
            step = None if piece.step is None else drop_step(weight, piece.step)
            line = replace(
                line,
                drops=int(count),
                drop_error=(weight - exact) / exact,
                drop_low=piece.low,
                drop_high=piece.high,
                step=step,
                metered=weight if step is None else half_up(weight, step),
            )
        case Measure.NONE if exact > 0:
            line = replace(line, metered=Missing(reason=TOO_LITTLE), coarse=row.in_total)
        case Measure.WEIGH if piece.beside and piece.drop:
            line = replace(line, beside=int(half_up(exact / piece.drop, ONE)))
    return _with_next(row, piece, line)


def drop_step(grams: Fraction, step: Fraction) -> Fraction:
    """Return what the printed weight of counted drops is rounded to.

    To the finest balance's step or to two significant figures, whichever is finer: 9 drops of 0.03 g are 0.27 g on a
    balance of 1 g as well.

    Source: common practice, no source.

    >>> str(drop_step(Fraction("0.27"), Fraction(1))), str(drop_step(Fraction("0.294"), Fraction("0.001")))
    ('1/100', '1/1000')
    """
    place = Fraction(1)
    while grams >= 10 * place:
        place *= 10
    while grams < place:
        place /= 10
    return min(step, place / 10)


def _with_next(row: Row, piece: Piece, line: Metered) -> Metered:
    """Return a line that is measured coarsely with the way out: the next batch that serves."""
    if not line.coarse or isinstance(line.grams, Missing) or row.is_about:
        return line
    following, way = next_batch(row, piece, line.grams)
    return replace(line, next_batch=following, next_way=way)


def _only_counted(line: Metered, exact: Fraction) -> Metered:
    """Return a line of which only the drops are known, not what they weigh."""
    line = replace(line, drops_exact=exact)
    if line.measure is not Measure.DROPS:
        return line
    count = half_up(exact, ONE)
    return replace(line, drops=int(count), drop_error=(count - exact) / exact)


def _spared(line: Metered, aliquot: Fraction, plan: Plan) -> Metered:
    """Return the diluent's line, weighed with so much less as an aliquot brings of it."""
    brings = aliquot - aliquot / plan.factor
    less_, more = line.spared_off
    off = (
        less_ + brings - (aliquot - plan.step) * (1 - plan.high),
        more + (aliquot + plan.step) * (1 - plan.low) - brings,
    )
    spared, line = line.spared + brings, replace(line, spared=line.spared + brings, spared_off=off)
    if isinstance(line.grams, Missing) or line.measure is not Measure.WEIGH or line.step is None:
        return line
    return replace(line, metered=half_up(line.grams - spared, line.step))


def _filled(line: Metered, rest: Known, portion: Fraction | None) -> Metered:
    """Return the fill with its weight, in portions of so many grams at most; what is too little for its balance is not
    0."""
    if isinstance(rest, Missing):
        return replace(line, metered=rest)
    weight = max(rest, ZERO) if line.step is None else half_up(max(rest, ZERO), line.step)
    if weight == 0 and line.grams != 0:
        return replace(line, metered=Missing(reason=TOO_SMALL), coarse=True)
    return replace(line, metered=weight, portions=_portions(weight, portion))


def _portions(grams: Fraction, portion: Fraction | None) -> int:
    return 1 if portion is None else max(1, ceil(grams / portion))


def _blended(row: Row, line: Metered) -> Metered:
    """Return diluted ethanol with its two weights: the strong one half up on the line's balance, water for the rest."""
    if row.strong is None or isinstance(line.metered, Missing):
        return line
    strong = line.metered * row.strong
    strong = strong if line.step is None else half_up(strong, line.step)
    return replace(line, strong_g=strong, water_g=line.metered - strong)


_WAYS_OUT = {
    Measure.WEIGH: "weighed",
    Measure.FILL: "weighed",
    Measure.DILUTE: "diluted",
    Measure.TRITURATE: "triturated",
}


def next_batch(row: Row, piece: Piece, exact: Fraction) -> tuple[Fraction | None, str]:
    """Return the next larger batch at which a line is measured within its accepted error, and how it is measured there.

    The batch that gives the next whole count of drops, or the one from which the line reaches the least weighable
    quantity or can be thinned: the smaller of them.  Of diluted ethanol it is the strong part that reaches it.  One of
    more than five times the batch asked is no way out.

    Source: own arithmetic.
    """
    found: list[tuple[Fraction, str]] = []
    if piece.drop:
        count = max(1, ceil(exact / piece.drop))
        if count <= LARGEST_DROP_COUNT:
            found.append((count * piece.drop, f"{count} drop{'s' if count > 1 else ''}"))
    for measure, way in _WAYS_OUT.items():
        starts = [
            other.from_ / (row.strong or ONE)
            for other in row.by_weight
            if other.measure is measure and not other.coarse and other.from_ > exact
        ]
        if starts:
            found.append((min(starts), way))
    found = [one for one in found if one[0] <= FARTHEST * exact]
    if not found or isinstance(row.per, Missing):
        return None, ""
    grams, way = min(found, key=lambda one: one[0])
    return grams / row.per, way
