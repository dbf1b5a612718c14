"""One batch of one formula: what is weighed, what is made first, until when it may be used.

Enters: the reckoning of a book, a formula, what to obtain, today.  Leaves: `Weighing`, or a `Missing` that says why
there is none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import floor

from ..findings import Missing
from ..model import Balance, Formula, Known, Obtain, Workroom
from .amounts import LineFigure
from .droppers import DropMass, drop_mass_of
from .figures import Figures, Reckoning
from .known import ZERO, add, over, times
from .links import LinkAmount, link_amounts
from .measure import balance_for, finest_first, rounded_up
from .scale import Evaluation, Measure, Metered, ScaleTable, evaluate, scale_table
from .standing import by_density
from .storage import use_by


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeFirst:
    """An intermediate to be made before."""

    key: str
    """Key of the formula."""
    needed_g: Known
    """Exact grams needed."""
    obtain_g: Known
    """Grams to obtain: the sum of the metered lines that call for it, rounded up to the balance's step."""
    step: Fraction | None
    """That step; None without a balance, or when `obtain_g` is not known."""
    with_: str
    """That balance; empty where there is no step."""
    obtain_ml: Known
    """The same in millilitres, through its density."""
    evaluation: Evaluation | None
    """Its own lines for that; None when its batch is not known."""
    start_g: Known
    """Weigh in all, in grams."""
    start_step: Fraction | None
    """Step of the balance that holds so much; None without a balance, or when it is not known."""
    start_ml: Known
    """Volume in all, for a formula by volume."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """Formula × batch × instruments."""

    formula: Formula
    """The formula."""
    figures: Figures
    """What no batch changes."""
    workroom: Workroom
    """The instruments and the accepted error."""
    titles: Mapping[str, tuple[str, str]]
    """Key of each intermediate made first → its code and title."""
    obtain: Obtain | None
    """The batch as asked for; None for the one written."""
    obtain_g: Known
    """To obtain, in grams."""
    obtain_ml: Known
    """To obtain, in millilitres."""
    evaluation: Evaluation
    """The lines."""
    make_first: tuple[MakeFirst, ...]
    """Intermediates, users before used."""
    links: tuple[LinkAmount, ...]
    """What each amount link of the body prints, in the order of reading."""
    containers_full: int | None
    """How many containers the batch fills; None when none were named."""
    left_over: Known | None
    """What is left beside them, in grams; None when none were named."""
    use_by: date | Missing
    """The last day of use, up to and including."""
    use_by_reason: str
    """Why that day."""


Tables = Callable[[Figures], ScaleTable]
"""A formula's figures → the scale table that this batch is taken from."""


def weigh(
    reckoning: Reckoning,
    key: str,
    *,
    obtain: Obtain | None = None,
    today: date | None = None,
    dropper: str | None = None,
) -> Weighing | Missing:
    """Return one batch of a formula.

    Without `obtain` the batch is the one written: weigh in all is what the formula makes.  `dropper` counts with
    another dropper; the formula's weights are kept.  Whether the formula may be weighed at all is not judged here.
    """
    figures = reckoning.figures[key]
    tables = _tables(reckoning, dropper)
    batch = _batch(reckoning, figures, obtain)
    if isinstance(batch, Missing):
        return batch
    ready = figures.written if obtain is None and dropper is None else None
    evaluation = ready if isinstance(ready, Evaluation) else evaluate(tables(figures), batch)
    stock = reckoning.book.key_of(obtain.stock) if obtain is not None and obtain.stock else ""
    formula = figures.formula
    obtain_g, obtain_ml = _both(figures, batch)
    full, left = containers(figures, obtain, batch)
    made = make_first(reckoning, key, evaluation, stock, tables)
    last = Missing(reason="the day of making is not given") if today is None else use_by(today, figures.storage.limits)
    return Weighing(
        formula=formula,
        figures=figures,
        workroom=reckoning.book.workroom,
        titles={
            one.key: (reckoning.book.formulas[one.key].code, reckoning.book.formulas[one.key].title) for one in made
        },
        obtain=obtain,
        obtain_g=obtain_g,
        obtain_ml=obtain_ml,
        evaluation=evaluation,
        make_first=made,
        links=link_amounts(formula.body.amounts, figures.amounts.lines, evaluation.lines, reckoning.book),
        containers_full=full,
        left_over=left,
        use_by=last if isinstance(last, Missing) else last[0],
        use_by_reason=last.reason if isinstance(last, Missing) else last[1],
    )


def _tables(reckoning: Reckoning, dropper: str | None) -> Tables:
    """Return the scale table of each formula, with every count taken from another dropper where a material lists it."""
    if dropper is None:
        return lambda figures: figures.scale
    book = reckoning.book

    def droppers(figure: LineFigure) -> DropMass | Missing:
        other = drop_mass_of(book.find(figure.line.material), dropper, figure.line.amount_place)
        return figure.drop if isinstance(other, Missing) else other

    room = book.workroom
    return lambda figures: scale_table(
        figures.amounts, figures.flow, room.balances, room.accepted_error.share, droppers
    )


def _batch(reckoning: Reckoning, figures: Figures, obtain: Obtain | None) -> Fraction | Missing:
    """Return the batch to obtain in the formula's own unit; grams and mL convert only through its density."""
    if obtain is None:
        return figures.flow.as_written
    if obtain.stock:
        return batch_from_stock(reckoning, figures, obtain)
    quantity = obtain.quantity
    unit = figures.amounts.makes.unit
    if quantity.unit == unit:
        return quantity.value
    return in_unit(figures.formula, quantity.value, unit)


def in_unit(formula: Formula, value: Known, unit: str) -> Known:
    """Return a mass as millilitres or a volume as grams, through the density of the finished product."""
    if formula.density is None and not isinstance(value, Missing):
        wanted, given = ("mL", "g") if unit == "mL" else ("g", "mL")
        return Missing(reason=f"{given} cannot be turned into {wanted}: {formula.title} states no `density:`")
    return value if isinstance(value, Missing) else by_density(value, formula.density, to_ml=unit == "mL")


def _both(figures: Figures, batch: Fraction) -> tuple[Known, Known]:
    """Return a batch in grams and in millilitres."""
    if figures.amounts.makes.unit == "g":
        return batch, in_unit(figures.formula, batch, "mL")
    return in_unit(figures.formula, batch, "g"), batch


def containers(figures: Figures, obtain: Obtain | None, batch: Fraction) -> tuple[int | None, Known | None]:
    """Return how many containers the batch fills, and the grams left beside them.

    Grams and millilitres are turned into each other only through the density of the finished product.

    Source: own arithmetic.
    """
    if obtain is None or obtain.container is None:
        return None, None
    container = obtain.container
    content = batch
    if container.unit != figures.amounts.makes.unit:
        turned = in_unit(figures.formula, batch, container.unit)
        if isinstance(turned, Missing):
            return None, turned
        content = turned
    full = floor(content / container.value)
    left = content - full * container.value
    return full, left if container.unit == "g" else in_unit(figures.formula, left, "g")


# ── Intermediates ─────────────────────────────────────────────────────────────────────────────────────────────────


def _below(reckoning: Reckoning, key: str) -> list[str]:
    """Return the intermediates of a formula, users before used, the formula itself first."""
    found = {key}
    waiting = [key]
    for name in waiting:
        for used in reckoning.graph.uses.get(name, ()):
            if used not in found:
                found.add(used)
                waiting.append(used)
    return sorted(found, key=lambda one: -reckoning.graph.rank[one])


def batch_from_stock(reckoning: Reckoning, figures: Figures, obtain: Obtain) -> Fraction | Missing:
    """Return the batch that uses up a stock, counted wherever it is weighed in, also inside intermediates.

    Stock ÷ what one gram to obtain takes of it, exact, with the yields of the intermediates on the way.

    Source: own arithmetic.
    """
    book = reckoning.book
    stock = book.key_of(obtain.stock)
    title = figures.formula.title
    if not stock:
        return Missing(reason=f"{obtain.stock} is neither a material nor a formula of the book")
    by_volume = obtain.quantity.unit == "mL"
    needed: dict[str, Known] = {figures.key: Fraction(1)}
    used: list[Known] = []
    for key in _below(reckoning, figures.key):
        if key == stock or key not in needed:
            continue
        inner = reckoning.figures[key]
        for line, row in zip(inner.amounts.lines, inner.scale.rows, strict=True):
            if line.key == stock:
                used.append(
                    _use(row.ml_per if by_volume else row.per, row.per, by_volume, needed[key], reckoning, stock)
                )
            elif line.is_formula:
                taken = _batch_of(
                    reckoning, line.key, times(row.per, needed[key]), row.ml_per and times(row.ml_per, needed[key])
                )
                needed[line.key] = add((needed.get(line.key, ZERO), taken))
    total = add(used)
    if isinstance(total, Missing):
        return total
    if not total:
        return Missing(reason=f"{obtain.stock} is not weighed in anywhere in {title}")
    return obtain.quantity.value / total


def _use(per: Known | None, grams: Known, by_volume: bool, factor: Known, reckoning: Reckoning, stock: str) -> Known:
    """Return how much of the stock one line takes, in the stock's unit."""
    if per is not None and not isinstance(per, Missing):
        return times(per, factor)
    if not by_volume:
        return grams
    item = reckoning.book.find(stock)
    if item is None or item.density is None:
        return Missing(reason=f"a stock in mL needs the density of {stock}")
    return times(over(grams, item.density.g_per_ml), factor)


def _batch_of(reckoning: Reckoning, key: str, grams: Known, ml: Known | None) -> Known:
    """Return so much of an intermediate as a batch in its own unit."""
    figures = reckoning.figures[key]
    unit = figures.amounts.makes.unit
    if unit == "g":
        if isinstance(grams, Missing) and isinstance(ml, Fraction):
            return in_unit(figures.formula, ml, "g")
        return grams
    if isinstance(ml, Fraction):
        return ml
    return in_unit(figures.formula, grams, "mL")


@dataclass(slots=True)
class _Demand:
    """What the users of an intermediate ask of it, gathered while walking down: exactly, and as they meter it.

    In grams, and in the intermediate's own unit, as one user may take it in g and another in mL.
    """

    needed_g: Known = ZERO
    needed: Known = ZERO
    metered_g: Known = ZERO
    metered: Known = ZERO


def make_first(
    reckoning: Reckoning, key: str, evaluation: Evaluation, stock: str, tables: Tables
) -> tuple[MakeFirst, ...]:
    """Return the intermediates to be made first, each before what it is made of.

    To obtain is the sum of the printed weights of the lines that call for it, rounded up to the step of the balance
    that holds so much; weigh in all is that ÷ the intermediate's own yield, and its lines follow from it.

    Source: common practice, no source.
    """
    finest = finest_first(reckoning.book.workroom.balances)
    demands: dict[str, _Demand] = {}
    _ask(demands, reckoning, key, evaluation.obtain, evaluation, stock)
    made: list[MakeFirst] = []
    for name in _below(reckoning, key)[1:]:
        if name not in demands:
            continue
        demand = demands[name]
        figures = reckoning.figures[name]
        obtain_g = demand.metered_g
        balance = _balance(obtain_g, finest)
        if balance is not None and not isinstance(obtain_g, Missing):
            obtain_g = rounded_up(obtain_g, balance.readability_g)
        batch = demand.metered if isinstance(obtain_g, Missing) else _batch_of(reckoning, name, obtain_g, None)
        inner = evaluate(tables(figures), batch) if isinstance(batch, Fraction) else None
        if inner is not None:
            _ask(demands, reckoning, name, demand.needed, inner, stock)
        else:
            _ask_unknown(demands, reckoning, name, batch, stock)
        made.append(_made(figures, demand, obtain_g, balance, batch, inner, finest))
    return tuple(made)


def _balance(grams: Known, finest: Sequence[Balance]) -> Balance | None:
    """Return the balance that holds so much; None without any, or when the weight is not known."""
    return None if isinstance(grams, Missing) else balance_for(grams, finest)


def _made(
    figures: Figures,
    demand: _Demand,
    obtain_g: Known,
    balance: Balance | None,
    batch: Known,
    inner: Evaluation | None,
    finest: Sequence[Balance],
) -> MakeFirst:
    by_weight = figures.amounts.makes.unit == "g"
    unknown = batch if isinstance(batch, Missing) else Missing(reason="its batch is not known")
    start = unknown if inner is None else inner.start
    converted = in_unit(figures.formula, start, "mL" if by_weight else "g")
    start_g, start_ml = (start, converted) if by_weight else (converted, start)
    holds_start = _balance(start_g, finest)
    return MakeFirst(
        key=figures.key,
        needed_g=demand.needed_g,
        obtain_g=obtain_g,
        step=None if balance is None else balance.readability_g,
        with_="" if balance is None else balance.name,
        obtain_ml=batch if not by_weight else in_unit(figures.formula, batch, "mL"),
        evaluation=inner,
        start_g=start_g,
        start_step=None if holds_start is None else holds_start.readability_g,
        start_ml=start_ml,
    )


def _ask(
    demands: dict[str, _Demand], reckoning: Reckoning, key: str, exact: Known, evaluation: Evaluation, stock: str
) -> None:
    """Add what one formula asks of its intermediates: exactly, and as its lines are metered."""
    figures = reckoning.figures[key]
    for line, row, metered in zip(figures.amounts.lines, figures.scale.rows, evaluation.lines, strict=True):
        if not line.is_formula or line.key == stock:
            continue
        demand = demands.setdefault(line.key, _Demand())
        grams = times(row.per, exact)
        ml = None if row.ml_per is None else times(row.ml_per, exact)
        demand.needed_g = add((demand.needed_g, grams))
        demand.needed = add((demand.needed, _batch_of(reckoning, line.key, grams, ml)))
        taken = _taken(metered)
        demand.metered_g = add((demand.metered_g, taken))
        demand.metered = add((demand.metered, _batch_of(reckoning, line.key, taken, metered.ml)))


def _taken(metered: Metered) -> Known:
    """Return the grams a user really takes; a line that cannot be measured stands there with its exact weight.

    Drops are taken as they fall, count × drop mass: printed to a coarse balance's step they could be 0.
    """
    if metered.drop_error is not None:
        return times(metered.grams, 1 + metered.drop_error)
    return metered.grams if metered.measure is Measure.NONE else metered.metered


def _ask_unknown(demands: dict[str, _Demand], reckoning: Reckoning, key: str, why: Known, stock: str) -> None:
    """Pass an unknown batch down: what its intermediates have to give is not known either."""
    for line in reckoning.figures[key].amounts.lines:
        if line.is_formula and line.key != stock:
            demand = demands.setdefault(line.key, _Demand())
            demand.needed_g = demand.needed = demand.metered_g = demand.metered = why
