"""The scale table: every batch-dependent figure of a formula.

A row says how a line follows the batch: an exact coefficient and, for ranges of the batch, the way of measuring.
`metering` evaluates it, the one place that does; pages, terminal and JSON print what comes out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from ..findings import Missing
from ..fraction import Fraction
from ..model import Balance, Known
from ..swift import swift
from .amounts import Amounts, LineFigure
from .blends import Blend
from .corners import count_pieces, fill_pieces, weight_pieces
from .diluents import Diluent
from .droppers import DropMass
from .flow import Flow, lost_g
from .known import ONE, ZERO, over, times
from .measure import finest_first, least_weighable
from .plans import room_for
from .same import Same
from .standing import drops_of
from .ways import Instruments, Piece, Thinning, on_balance, plans_of
from .ways import Measure as Measure


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleRow:
    """One line of the formula."""

    figure: LineFigure
    """The line."""
    per: Known
    """Grams per unit to obtain."""
    ml_per: Known | None
    """Millilitres per unit to obtain, where the line is written by volume."""
    drops_per: Known | None
    """Drops per unit to obtain, where a line is counted of which it is not known what a drop weighs."""
    loss_per: Known | None
    """Grams that evaporate of it, per unit to obtain; None where nothing does."""
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


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleTable:
    """Everything of a formula that follows the batch."""

    unit: str
    """Unit of the batch to obtain: g or mL."""
    start: Known
    """Weigh in all per unit to obtain, in the same unit."""
    start_g: Known
    """Weigh in all in grams per unit to obtain."""
    rows: tuple[ScaleRow, ...]
    """One for each line."""

    @property
    def has_own_errors(self) -> bool:
        """True where not every line has the same accepted error."""
        first = self.rows[0].error if self.rows else ZERO
        return any(row.error is not first and row.error != first for row in self.rows)


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
    usual = _instruments(Same(finest), accepted_error)  # nearly every line is measured at it
    rows = []
    for line in amounts.lines:
        error = accepted(line, accepted_error, amounts.superfat.get(line.index))
        usually = error == accepted_error and line.counts
        instruments, least = usual if usually else _instruments(Same(finest), error, judged=line.counts)
        per = times(line.weighed, flow.scale)
        drop = line.drop if droppers is None else droppers(line)
        counted = _counted(line, flow)
        thinner = None if thinners is None else thinners.get(line.index)
        thinning = None if thinner is None else _thinning(thinner, instruments)
        rows.append(
            ScaleRow(
                figure=line,
                per=per,
                drops_per=counted,
                ml_per=None if line.ml_taken is None else times(line.ml_taken, flow.scale),
                loss_per=None if line.line.evaporates is None else times(lost_g(line), flow.scale),
                error=instruments.error,
                least_g=least,
                diluent=None if thinner is None or thinning is None else thinner.index,
                strong=line.blend.strong if isinstance(line.blend, Blend) else None,
                by_weight=_pieces(line, per, drop, counted, instruments, thinning),
            )
        )
    per_unit = ONE if makes.unit == "g" else _grams_per_ml(amounts)
    return ScaleTable(unit=makes.unit, start=flow.start, start_g=times(flow.start, per_unit), rows=tuple(rows))


def accepted(line: LineFigure, usual: Fraction, superfat: Fraction | None) -> Fraction:
    """Return the accepted error of a line: its own, else the workroom's; of lye that makes soap, and of its fats, no
    more than half of the superfat.

    So what is weighed leaves fat over even where the lye is off upward and every fat downward:
    (1 − s) × (1 + s ÷ 2) is less than 1 − s ÷ 2.

    Source: own arithmetic.
    """
    error = usual if line.line.error is None else line.line.error.share
    return error if superfat is None else min(error, superfat / 2)


@lru_cache(maxsize=64)
def _instruments(
    same: Same[tuple[Balance, ...]], error: Fraction, *, judged: bool = True
) -> tuple[Instruments, Fraction | None]:
    """Return the instruments for an accepted error, and the least that the finest balance weighs within it.

    Those of a workroom are the very same for all formulas, so that what is known by them is found by identity.
    """
    finest = same.record
    return Instruments(finest=finest, error=error, judged=judged), least_weighable(
        finest[0].readability_g, error
    ) if finest else None


def _grams_per_ml(amounts: Amounts) -> Known:
    return over(amounts.makes.grams, amounts.makes.ml)


def _counted(line: LineFigure, flow: Flow) -> Known | None:
    """Return drops per unit to obtain, of a line in drops whose weight is not known; None for any other."""
    written = drops_of(line.line) if isinstance(line.grams, Missing) else None
    return times(written.count, flow.scale) if written is not None else None


def _thinning(thinner: Diluent, instruments: Instruments) -> Thinning | None:
    """Return by which factors a line can be thinned; None where its formula has room for none."""
    allowed = plans_of(instruments, thinner.measure)
    room = room_for(
        allowed,
        diluent_per_gram=thinner.diluent_per_gram,
        batch_per_gram=thinner.batch_per_gram,
    )
    if not room:
        return None
    as_allowed = set(map(id, allowed))  # by identity: a plan that is equal to another is the other
    later = tuple((plan.factor, plan.least_g) for plan in room if id(plan) not in as_allowed)
    return Thinning(measure=thinner.measure, factors=tuple(plan.factor for plan in room), from_g=later)


def _pieces(
    line: LineFigure,
    per: Known,
    drop: DropMass | Missing,
    counted_per: Known | None,
    instruments: Instruments,
    thinning: Thinning | None,
) -> tuple[Piece, ...]:
    """Return a row's pieces by its exact weight in grams (or count); where neither is known, one without end."""
    if counted_per is not None and not isinstance(counted_per, Missing):
        written = drops_of(line.line)
        return count_pieces(instruments.error, written.dropper or "" if written else "")
    if isinstance(per, Missing):
        way = Measure.FILL if line.is_fill else Measure.NONE if line.ml is None else Measure.VOLUME
        return (Piece(from_=ZERO, to=None, measure=way),)
    if per <= 0:
        nothing = Piece(from_=ZERO, to=None, measure=Measure.NONE)
        return (replace(on_balance(ZERO, instruments, Measure.FILL), coarse=False) if line.is_fill else nothing,)
    counted = None if isinstance(drop, Missing) else drop
    return fill_pieces(instruments) if line.is_fill else weight_pieces(instruments, counted, line.by_drops, thinning)
