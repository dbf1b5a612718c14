"""The scale table: every batch-dependent figure of a formula, and its one evaluator.

A row says how a line follows the batch: an exact coefficient and, for ranges of the batch, the way of measuring.
Pages, terminal, JSON (and later the browser) print what `evaluate` returns; there is no second implementation.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from ..findings import Missing
from ..model import Balance, Known
from .amounts import Amounts, LineFigure
from .blends import Blend
from .diluents import Diluent
from .droppers import DropMass
from .flow import Flow, lost_g
from .known import ONE, ZERO, add, less, over, times
from .measure import LARGEST_DROP_COUNT, finest_first, half_up, least_weighable
from .plans import Plan, aliquot_range, room_for
from .standing import drops_of
from .ways import Bench, Piece, Thinning, count_pieces, fill_pieces, on_balance, plans_of, weight_pieces
from .ways import Measure as Measure

THINNED = (Measure.DILUTE, Measure.TRITURATE)
"""Ways of measuring by a stock and an aliquot of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the formula."""

    index: int
    """The line's number in the formula."""
    per: Known
    """Grams per unit to obtain."""
    ml_per: Known | None
    """Millilitres per unit to obtain, where the line is written by volume."""
    drops_per: Known | None
    """Drops per unit to obtain, where a line is counted of which it is not known what a drop weighs."""
    loss_per: Known | None
    """Grams that evaporate of it, per unit to obtain; None where nothing does."""
    in_total: bool
    """True when its printed weight counts to the printed total."""
    is_fill: bool
    """True for the line metered last, as what is left of weigh in all."""
    error: Fraction
    """Accepted error of the line: its own, else the workroom's."""
    least_g: Fraction | None
    """Least grams that the finest balance weighs within that error; None without a balance."""
    diluent: int | None
    """Number of the line that a stock of it is thinned with; None where it is never thinned."""
    strong: Fraction | None
    """Share by weight of the line's material in the diluted ethanol that the line is; None where it is not diluted."""
    by_weight: tuple[Piece, ...]
    """The ways of measuring, in the order of matching, for ranges of the line's exact grams; lines share them.
    Where only a count is known, for ranges of the drops."""

    @property
    def sized(self) -> Known:
        """What `by_weight` ranges over, per unit to obtain: grams, or drops where only these are known."""
        return self.per if self.drops_per is None else self.drops_per

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The same for ranges of the batch: divided by grams (or drops) per unit to obtain."""
        per = self.sized
        if isinstance(per, Missing) or per <= 0:
            return self.by_weight
        return tuple(
            replace(piece, from_=piece.from_ / per, to=None if piece.to is None else piece.to / per)
            for piece in self.by_weight
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleTable:
    """Everything of a formula that follows the batch."""

    unit: str
    """Unit of the batch to obtain: g or mL."""
    start: Known
    """Weigh in all per unit to obtain, in the same unit."""
    start_g: Known
    """Weigh in all in grams per unit to obtain."""
    rows: tuple[Row, ...]
    """One for each line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Metered:
    """One line at one batch: what the instruments can really give."""

    index: int
    """The line's number in the formula."""
    grams: Known
    """Exact grams of this batch."""
    metered: Known
    """Grams printed: whole steps of the balance, or whole drops times the drop mass to the finest step; of a line
    that is thinned, the aliquot of its stock."""
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
    drops_exact: Fraction | None
    """Drops before rounding, where a drop mass is known."""
    drop_error: Fraction | None
    """(whole drops × drop mass − exact) ÷ exact, where counted."""
    next_batch: Fraction | None
    """Where it cannot be measured: the next batch that can, in the table's unit; None when there is none."""
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
    def low(self) -> Known:
        """The least that is really taken: one step of the balance less for each portion, or the lightest drops."""
        return self._taken(-1, self.drop_low)

    @property
    def high(self) -> Known:
        """The most that is really taken."""
        return self._taken(1, self.drop_high)

    def _taken(self, side: int, drop: Fraction | None) -> Known:
        """Return what is really taken when every weighing is a step wrong to one side; exact where nothing is known."""
        if self.drops is not None:
            return self.grams if drop is None else self.drops * drop
        if isinstance(self.metered, Missing) or self.step is None:
            return self.grams
        if self.plan is not None:
            return aliquot_range(self.metered, self.plan)[side > 0]
        if self.measure is Measure.WEIGH or self.measure is Measure.FILL:
            off = self.spared_off[side > 0] + self.portions * self.step
            return max(self.metered + self.spared + side * off, ZERO)
        return self.grams


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
    """Sum of the printed weights that count, in grams."""
    finest_step: Fraction | None
    """Finest step among the lines that count: it shows every digit of their sum; None without a balance."""


# ── Making the table ──────────────────────────────────────────────────────────────────────────────────────────────


def scale_table(
    amounts: Amounts,
    flow: Flow,
    balances: Sequence[Balance],
    accepted_error: Fraction,
    droppers: Callable[[LineFigure], DropMass | Missing] | None = None,
    thinners: Mapping[int, Diluent] | None = None,
) -> ScaleTable:
    """Return how every line follows the batch.

    `droppers` replaces the drop mass used for counting; `thinners` names the diluent of each line that has one.
    """
    finest = finest_first(balances)
    makes = amounts.makes
    usual = _bench(finest, accepted_error)  # made once, as nearly every line is measured at it
    rows = []
    for one in amounts.lines:
        bench, least = usual if one.line.error is None else _bench(finest, one.line.error.share)
        per = times(one.weighed, flow.scale)
        drop = one.drop if droppers is None else droppers(one)
        counted = _counted(one, flow)
        thinner = None if thinners is None else thinners.get(one.index)
        thinning = None if thinner is None else _thinning(thinner, bench)
        rows.append(
            Row(
                index=one.index,
                per=per,
                drops_per=counted,
                ml_per=None if one.ml_taken is None else times(one.ml_taken, flow.scale),
                loss_per=None if one.line.evaporates is None else times(lost_g(one), flow.scale),
                in_total=one.counts,
                is_fill=one.is_fill,
                error=bench.error,
                least_g=least,
                diluent=None if thinner is None or thinning is None else thinner.index,
                strong=one.blend.strong if isinstance(one.blend, Blend) else None,
                by_weight=_pieces(one, per, drop, counted, bench, thinning),
            )
        )
    per_unit = ONE if makes.unit == "g" else _grams_per_ml(amounts)
    return ScaleTable(unit=makes.unit, start=flow.start, start_g=times(flow.start, per_unit), rows=tuple(rows))


def _bench(finest: tuple[Balance, ...], error: Fraction) -> tuple[Bench, Fraction | None]:
    """Return the instruments for an accepted error, and the least that the finest balance weighs within it."""
    return Bench(finest=finest, error=error), least_weighable(finest[0].readability_g, error) if finest else None


def _grams_per_ml(amounts: Amounts) -> Known:
    return over(amounts.makes.grams, amounts.makes.ml)


def _counted(one: LineFigure, flow: Flow) -> Known | None:
    """Return drops per unit to obtain, of a line in drops whose weight is not known; None for any other."""
    written = drops_of(one.line)
    return times(written.count, flow.scale) if written is not None and isinstance(one.grams, Missing) else None


def _thinning(thinner: Diluent, bench: Bench) -> Thinning | None:
    """Return by which factors a line can be thinned; None where its formula has room for none."""
    room = room_for(
        plans_of(bench),
        diluent_per_gram=thinner.diluent_per_gram,
        batch_per_gram=thinner.batch_per_gram,
    )
    return Thinning(measure=thinner.measure, factors=tuple(plan.factor for plan in room)) if room else None


def _pieces(
    one: LineFigure,
    per: Known,
    drop: DropMass | Missing,
    counted_per: Known | None,
    bench: Bench,
    thinning: Thinning | None,
) -> tuple[Piece, ...]:
    """Return a row's pieces by its exact weight in grams (or count); where neither is known, one without end."""
    if isinstance(counted_per, Fraction):
        written = drops_of(one.line)
        return count_pieces(bench.error, written.dropper or "" if written else "")
    if isinstance(per, Missing):
        way = Measure.FILL if one.is_fill else Measure.NONE if one.ml is None else Measure.VOLUME
        return (Piece(from_=ZERO, to=None, measure=way),)
    if per <= 0:
        nothing = Piece(from_=ZERO, to=None, measure=Measure.NONE)
        return (on_balance(ZERO, bench.finest, Measure.FILL) if one.is_fill else nothing,)
    counted = None if isinstance(drop, Missing) else drop
    return fill_pieces(bench.finest) if one.is_fill else weight_pieces(bench, counted, one.by_drops, thinning)


# ── Evaluating it ─────────────────────────────────────────────────────────────────────────────────────────────────


def evaluate(table: ScaleTable, obtain: Fraction) -> Evaluation:
    """Return every line of one batch: exact, and as the instruments can give it; the printed total is their sum.

    A line that is thinned is metered as the aliquot of its stock, and the line that thins it is weighed with so much
    less.  The fill is metered last: weigh in all − the metered others, on its own balance's step, so that the printed
    weights add up.  Of diluted ethanol the strong one is weighed first, on the line's own balance, and water makes up
    the line's weight.  A line that cannot be measured stands there with its exact weight.

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
            lines[number] = _filled(lines[number], less(start_g, others))
    lines = [_blended(row, one) if row.strong else one for row, one in zip(table.rows, lines, strict=True)]
    return Evaluation(
        obtain=obtain,
        start=times(table.start, obtain),
        start_g=start_g,
        lines=tuple(lines),
        printed_total=add(one.metered for row, one in zip(table.rows, lines, strict=True) if row.in_total),
        finest_step=min(
            (one.step for row, one in zip(table.rows, lines, strict=True) if row.in_total and one.step is not None),
            default=None,
        ),
    )


def piece_at(row: Row, obtain: Fraction) -> Piece:
    """Return the first piece, in the batch, that holds the batch."""
    return row.pieces[_number_at(row, times(row.sized, obtain))]


def _number_at(row: Row, exact: Known) -> int:
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
    piece = row.by_weight[_number_at(row, exact if count_exact is None else count_exact)]
    metered, portions = exact, 1
    if not isinstance(exact, Missing):
        taken = exact * piece.plan.factor if piece.plan else exact
        stepped = piece.measure is Measure.WEIGH or piece.plan is not None
        weight = half_up(taken, piece.step) if stepped and piece.step is not None else taken
        metered = weight
        if piece.portion and (piece.measure is Measure.WEIGH or piece.measure is Measure.FILL):
            portions = max(1, ceil(weight / piece.portion))
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
        drops_exact=exact / piece.drop if piece.drop and not isinstance(exact, Missing) else None,
        drop_error=None,
        next_batch=None,
        next_way="",
        plan=piece.plan,
        diluent=row.diluent if piece.plan else None,
        spared=ZERO,
        spared_off=(ZERO, ZERO),
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
        case Measure.DROPS if piece.drop and piece.low and piece.high:
            count = half_up(exact / piece.drop, ONE)
            weight = count * piece.drop
            return replace(
                line,
                drops=int(count),
                drop_error=(weight - exact) / exact,
                drop_low=piece.low,
                drop_high=piece.high,
                metered=weight if piece.step is None else half_up(weight, piece.step),
            )
        case Measure.NONE if exact > 0:
            following, way = next_batch(row, piece, exact)
            return replace(
                line,
                metered=Missing(reason="neither balance nor dropper measures so little"),
                next_batch=following,
                next_way=way,
            )
    return line


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


def _filled(line: Metered, rest: Known) -> Metered:
    """Return the fill with its weight; what is too little for its balance is not known, it is not 0."""
    if isinstance(rest, Missing):
        return replace(line, metered=rest)
    weight = max(rest, ZERO) if line.step is None else half_up(max(rest, ZERO), line.step)
    if weight == 0 and line.grams != 0:
        return replace(line, metered=Missing(reason="the batch is too small for the balance"))
    return replace(line, metered=weight)


def _blended(row: Row, line: Metered) -> Metered:
    """Return diluted ethanol with its two weights: the strong one half up on the line's balance, water for the rest."""
    if row.strong is None or isinstance(line.metered, Missing):
        return line
    strong = line.metered * row.strong
    strong = strong if line.step is None else half_up(strong, line.step)
    return replace(line, strong_g=strong, water_g=line.metered - strong)


_WAYS_OUT = {Measure.WEIGH: "weighed", Measure.DILUTE: "diluted", Measure.TRITURATE: "triturated"}


def next_batch(row: Row, piece: Piece, exact: Fraction) -> tuple[Fraction | None, str]:
    """Return the next larger batch at which a line can be measured, and how it is measured there.

    The batch that gives the next whole count of drops, or the one from which the line reaches the least weighable
    quantity or can be thinned: the smaller of them.

    Source: own arithmetic.
    """
    found: list[tuple[Fraction, str]] = []
    if piece.drop:
        count = max(1, ceil(exact / piece.drop))
        if count <= LARGEST_DROP_COUNT:
            found.append((count * piece.drop, f"{count} drop{'s' if count > 1 else ''}"))
    for measure, way in _WAYS_OUT.items():
        starts = [other.from_ for other in row.by_weight if other.measure is measure and other.from_ > exact]
        if starts:
            found.append((min(starts), way))
    if not found or isinstance(row.per, Missing):
        return None, ""
    grams, way = min(found, key=lambda one: one[0])
    return grams / row.per, way
