"""The scale table: every batch-dependent figure of a formula, and its one evaluator.

A row says how a line follows the batch: an exact coefficient and, for ranges of the batch, the way of measuring.
Pages, terminal, JSON (and later the browser) print what `evaluate` returns; there is no second implementation.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from math import ceil

from ..findings import Missing
from ..model import Balance, Known
from .amounts import Amounts, LineFigure
from .droppers import DropMass
from .flow import Flow
from .known import ONE, ZERO, add, less, over, times
from .measure import LARGEST_DROP_COUNT, balance_for, finest_first, half_up, least_weighable, portions_on


class Measure(StrEnum):
    """How a line is measured at the bench."""

    WEIGH = "weigh"
    DROPS = "drops"
    DILUTE = "dilute"
    TRITURATE = "triturate"
    VOLUME = "volume"
    FILL = "fill"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One way of measuring, for a range of the batch; both ends belong to it, the first match wins."""

    from_: Fraction
    """Smallest batch, in the table's unit."""
    to: Fraction | None
    """Largest batch; None without end."""
    measure: Measure
    """The way."""
    with_: str = ""
    """Balance or dropper; empty when there is none."""
    step: Fraction | None = None
    """Grams that the printed weight is a multiple of: the balance's step, for drops the finest balance's; None when
    no balance is stated."""
    portion: Fraction | None = None
    """Most grams that the balance holds at once; None when it never limits in this range."""
    drop: Fraction | None = None
    """Grams per drop, where the line can be counted."""
    low: Fraction | None = None
    """Lowest grams per drop."""
    high: Fraction | None = None
    """Highest grams per drop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the formula."""

    index: int
    """The line's number in the formula."""
    per: Known
    """Grams per unit to obtain."""
    ml_per: Known | None
    """Millilitres per unit to obtain, where the line is written by volume."""
    in_total: bool
    """True when its printed weight counts to the printed total."""
    is_fill: bool
    """True for the line metered last, as what is left of weigh in all."""
    by_weight: tuple[Piece, ...]
    """The ways of measuring, in the order of matching, for ranges of the line's exact grams; lines share them."""

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The same for ranges of the batch: divided by grams per unit to obtain."""
        per = self.per
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
    low: Known
    """The least that is really taken."""
    high: Known
    """The most that is really taken."""
    metered: Known
    """Grams printed: whole steps of the balance, or whole drops times the drop mass to the finest step."""
    ml: Known | None
    """Exact millilitres, where written by volume."""
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
    """How it is measured there: `3 drops` or `weighed`."""


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


# ── Making the table ──────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The instruments, as far as one line is concerned."""

    finest: tuple[Balance, ...]
    """Balances, finest first."""
    error: Fraction
    """Accepted error of the line."""


def scale_table(
    amounts: Amounts,
    flow: Flow,
    balances: Sequence[Balance],
    accepted_error: Fraction,
    droppers: Callable[[LineFigure], DropMass | Missing] | None = None,
) -> ScaleTable:
    """Return how every line follows the batch.  `droppers` replaces the drop mass used for counting."""
    finest = finest_first(balances)
    makes = amounts.makes
    rows = []
    for one in amounts.lines:
        error = one.line.error.share if one.line.error else accepted_error
        per = times(one.weighed, flow.scale)
        drop = one.drop if droppers is None else droppers(one)
        rows.append(
            Row(
                index=one.index,
                per=per,
                ml_per=None if one.ml_taken is None else times(one.ml_taken, flow.scale),
                in_total=one.counts,
                is_fill=one.is_fill,
                by_weight=_pieces(one, per, drop, Bench(finest=finest, error=error)),
            )
        )
    per_unit = ONE if makes.unit == "g" else _grams_per_ml(amounts)
    return ScaleTable(unit=makes.unit, start=flow.start, start_g=times(flow.start, per_unit), rows=tuple(rows))


def _grams_per_ml(amounts: Amounts) -> Known:
    return over(amounts.makes.grams, amounts.makes.ml)


def _pieces(one: LineFigure, per: Known, drop: DropMass | Missing, bench: Bench) -> tuple[Piece, ...]:
    """Return a row's pieces by its exact weight in grams; where that is not known or nothing, one without end."""
    if isinstance(per, Missing):
        way = Measure.FILL if one.is_fill else Measure.NONE if one.ml is None else Measure.VOLUME
        return (Piece(from_=ZERO, to=None, measure=way),)
    if per <= 0:
        nothing = Piece(from_=ZERO, to=None, measure=Measure.NONE)
        return (_on_balance(ZERO, bench.finest, Measure.FILL) if one.is_fill else nothing,)
    counted = None if isinstance(drop, Missing) else drop
    return _fill_pieces(bench.finest) if one.is_fill else _weight_pieces(bench, counted, one.by_drops)


@lru_cache(maxsize=512)
def _fill_pieces(finest: tuple[Balance, ...]) -> tuple[Piece, ...]:
    """Return the fill's pieces by its exact weight in grams: it is always measured, on the balance that holds it."""
    corners = [one.capacity_g for one in finest if one.capacity_g is not None]
    return _by_choice(corners, lambda grams: _on_balance(grams, finest, Measure.FILL))


@lru_cache(maxsize=4096)
def _weight_pieces(bench: Bench, drop: DropMass | None, by_drops: bool) -> tuple[Piece, ...]:
    """Return a line's pieces by its exact weight in grams."""
    corners = [one.capacity_g for one in bench.finest if one.capacity_g is not None]
    corners += [least_weighable(one.readability_g, bench.error) for one in bench.finest]
    if drop is not None:
        corners += [count * drop.grams for count in _drop_corners(bench.error)]
    return _by_choice(corners, lambda grams: _choose(grams, bench, drop, by_drops))


def _drop_corners(error: Fraction) -> list[Fraction]:
    """Return the drop counts, as fractions of a drop, between which counting becomes possible or impossible."""
    half = Fraction(1, 2)
    corners = [LARGEST_DROP_COUNT + half, half]
    for count in range(1, LARGEST_DROP_COUNT + 1):
        low = max(count / (1 + error), count - half)
        high = count + half if error >= 1 else min(count / (1 - error), count + half)
        corners += [low, high]
    return corners


def _choose(grams: Fraction, bench: Bench, drop: DropMass | None, by_drops: bool) -> Piece:
    """Return the way of measuring a weight: the rule of the bench.

    Written in drops: drops if 1 to 30 and within the accepted error, else weighed if the balance can.  Written as a
    weight: weighed if the balance can, else drops on the same terms.  Else it cannot be measured.
    """
    ways = (_in_drops, _weighed) if by_drops else (_weighed, _in_drops)
    for way in ways:
        if (piece := way(grams, bench, drop)) is not None:
            return piece
    unmeasured = Piece(from_=ZERO, to=None, measure=Measure.NONE)
    return unmeasured if drop is None else replace(unmeasured, drop=drop.grams, low=drop.low, high=drop.high)


def _in_drops(grams: Fraction, bench: Bench, drop: DropMass | None) -> Piece | None:
    if drop is None:
        return None
    exact = grams / drop.grams
    count = half_up(exact, ONE)
    if not 1 <= count <= LARGEST_DROP_COUNT or abs(count - exact) > bench.error * exact:
        return None
    step = bench.finest[0].readability_g if bench.finest else None
    return Piece(
        from_=ZERO,
        to=None,
        measure=Measure.DROPS,
        with_=drop.dropper,
        step=step,
        drop=drop.grams,
        low=drop.low,
        high=drop.high,
    )


def _weighed(grams: Fraction, bench: Bench, drop: DropMass | None) -> Piece | None:
    piece = _on_balance(grams, bench.finest, Measure.WEIGH)
    if piece.step is not None and grams < least_weighable(piece.step, bench.error):
        return None
    return piece


def _on_balance(grams: Fraction, finest: tuple[Balance, ...], measure: Measure) -> Piece:
    balance = balance_for(grams, finest)
    if balance is None:
        return Piece(from_=ZERO, to=None, measure=measure)
    in_portions = portions_on(grams, balance) > 1
    return Piece(
        from_=ZERO,
        to=None,
        measure=measure,
        with_=balance.name,
        step=balance.readability_g,
        portion=balance.capacity_g if in_portions else None,
    )


def _by_choice(corners: Sequence[Fraction], choose: Callable[[Fraction], Piece]) -> tuple[Piece, ...]:
    """Return pieces that agree with a choice for every weight above 0, given all points where it may change.

    The choice is constant between two neighbouring corners.  A corner itself belongs to one of its sides (or stands
    alone); as both ends belong to a piece and the first match wins, pieces are sorted so that its owner comes first.
    """
    points = sorted({corner for corner in corners if corner > 0})
    ends: list[Fraction | None] = [ZERO, *points, None]
    middles = [
        (low + high) / 2 if high is not None else low + 1
        for low, high in zip([ZERO, *points], [*points, None], strict=True)
    ]
    found: list[Piece] = []
    after: dict[int, set[int]] = {}
    for number, middle in enumerate(middles):
        low, high = ends[number] or ZERO, ends[number + 1]
        way = choose(middle)
        if number:
            at_corner = choose(low)
            if at_corner not in (way, _way(found[-1])):
                found.append(replace(at_corner, from_=low, to=low))
                after.setdefault(len(found) - 2, set()).add(len(found) - 1)
                after.setdefault(len(found), set()).add(len(found) - 1)
            elif way == _way(found[-1]) == at_corner:
                found[-1] = replace(found[-1], to=high)
                continue
            elif at_corner == way:
                after.setdefault(len(found) - 1, set()).add(len(found))
            else:
                after.setdefault(len(found), set()).add(len(found) - 1)
        found.append(replace(way, from_=low, to=high))
    return tuple(found[number] for number in _sorted(len(found), after))


def _way(piece: Piece) -> Piece:
    return replace(piece, from_=ZERO, to=None)


def _sorted(count: int, after: dict[int, set[int]]) -> list[int]:
    """Return the numbers below count, each after those it has to follow; neighbours only, so never a circle."""
    placed: dict[int, None] = {}
    for start in range(count):
        chain = [start]
        while chain:
            waiting = [one for one in after.get(chain[-1], ()) if one not in placed]
            if waiting:
                chain.append(waiting[0])
            else:
                placed[chain.pop()] = None
    return list(placed)


# ── Evaluating it ─────────────────────────────────────────────────────────────────────────────────────────────────


def evaluate(table: ScaleTable, obtain: Fraction) -> Evaluation:
    """Return every line at one batch, in the table's unit: exact and as the instruments can give it.

    The fill is metered last: weigh in all − the metered others, on its own balance's step, so that the printed
    weights add up.  A line that cannot be measured stands there with its exact weight.
    """
    start_g = times(table.start_g, obtain)
    lines = [_metered(row, obtain) for row in table.rows]
    for number, row in enumerate(table.rows):
        if row.is_fill:
            others = add(
                one.grams if isinstance(one.metered, Missing) else one.metered
                for other, one in zip(table.rows, lines, strict=True)
                if other.in_total and not other.is_fill
            )
            lines[number] = _filled(lines[number], less(start_g, others))
    return Evaluation(
        obtain=obtain,
        start=times(table.start, obtain),
        start_g=start_g,
        lines=tuple(lines),
        printed_total=add(one.metered for row, one in zip(table.rows, lines, strict=True) if row.in_total),
    )


def piece_at(row: Row, obtain: Fraction) -> Piece:
    """Return the first piece, in the batch, that holds the batch."""
    return row.pieces[_number_at(row, times(row.per, obtain))]


def _number_at(row: Row, exact: Known) -> int:
    """Return the number of the first piece that holds the exact weight; a weight that is not known has one piece."""
    if isinstance(exact, Missing) or len(row.by_weight) == 1:
        return 0
    for number, piece in enumerate(row.by_weight):
        if piece.from_ <= exact and (piece.to is None or exact <= piece.to):
            return number
    raise ValueError(f"no piece holds {exact} g")


def _metered(row: Row, obtain: Fraction) -> Metered:
    exact = times(row.per, obtain)
    piece = row.by_weight[_number_at(row, exact)]
    metered, portions = exact, 1
    if not isinstance(exact, Missing):
        weight = half_up(exact, piece.step) if piece.measure is Measure.WEIGH and piece.step else exact
        metered = weight
        if piece.portion and piece.measure in (Measure.WEIGH, Measure.FILL):
            portions = max(1, ceil(weight / piece.portion))
    line = Metered(
        index=row.index,
        grams=exact,
        low=exact,
        high=exact,
        metered=metered,
        ml=None if row.ml_per is None else times(row.ml_per, obtain),
        measure=piece.measure,
        with_=piece.with_,
        step=piece.step,
        portions=portions,
        drops=None,
        drops_exact=exact / piece.drop if piece.drop and not isinstance(exact, Missing) else None,
        drop_error=None,
        next_batch=None,
        next_way="",
    )
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
                low=count * piece.low,
                high=count * piece.high,
                metered=weight if piece.step is None else half_up(weight, piece.step),
            )
        case Measure.NONE if exact > 0:
            following, way = _next_batch(row, piece, exact)
            return replace(
                line,
                metered=Missing(reason="neither balance nor dropper measures so little"),
                next_batch=following,
                next_way=way,
            )
    return line


def _filled(line: Metered, rest: Known) -> Metered:
    """Return the fill with its weight; what is too little for its balance is not known, it is not 0."""
    if isinstance(rest, Missing):
        return replace(line, metered=rest)
    weight = max(rest, ZERO) if line.step is None else half_up(max(rest, ZERO), line.step)
    if weight == 0 and line.grams != 0:
        return replace(line, metered=Missing(reason="the batch is too small for the balance"))
    return replace(line, metered=weight)


def _next_batch(row: Row, piece: Piece, exact: Fraction) -> tuple[Fraction | None, str]:
    """Return the next batch that gives a whole count or can be weighed, and how the line is measured there."""
    found: list[tuple[Fraction, str]] = []
    if piece.drop:
        count = max(1, ceil(exact / piece.drop))
        if count <= LARGEST_DROP_COUNT:
            found.append((count * piece.drop, f"{count} drop{'s' if count > 1 else ''}"))
    starts = [other.from_ for other in row.by_weight if other.measure is Measure.WEIGH and other.from_ > exact]
    if starts:
        found.append((min(starts), "weighed"))
    if not found or isinstance(row.per, Missing):
        return None, ""
    grams, way = min(found, key=lambda one: one[0])
    return grams / row.per, way
