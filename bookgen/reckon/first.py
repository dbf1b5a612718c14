"""Intermediates: what has to be made before, how much of it, and in which order.

Enters: the batches of one formula or of several on one day.  Leaves: `MakeFirst` for each intermediate, made once for
the sum of what all of them ask.  `needed` is exact all the way down; to obtain is what the metered lines take.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from ..findings import Missing
from ..fraction import Fraction
from ..model import Balance, Formula, Known
from ..wording.saying import says
from .figures import Figures, Reckoning
from .known import ZERO, add, less, times
from .measure import balance_for, finest_first, rounded_up
from .metering import Evaluation, evaluate
from .scale import ScaleTable
from .standing import by_density
from .weighed import taken_grams

Tables = Callable[[Figures], ScaleTable]
"""A formula's figures → the scale table that this batch is taken from."""


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
    users: tuple[str, ...] = ()
    """Keys of the formulas that ask for it, itself among them where it is also wanted for its own sake."""


def in_unit(formula: Formula, value: Known, unit: str) -> Known:
    """Return a mass as millilitres or a volume as grams, through the density of the finished product."""
    if formula.density is None and not isinstance(value, Missing):
        wanted, given = ("mL", "g") if unit == "mL" else ("g", "mL")
        return Missing(says=says("no-conversion", given=given, wanted=wanted, name=formula.title))
    return value if isinstance(value, Missing) else by_density(value, formula.density, to_ml=unit == "mL")


def both_units(figures: Figures, batch: Known) -> tuple[Known, Known]:
    """Return a batch, given in the formula's own unit, in grams and in millilitres."""
    if figures.amounts.makes.unit == "g":
        return batch, in_unit(figures.formula, batch, "mL")
    return in_unit(figures.formula, batch, "g"), batch


def batch_of(reckoning: Reckoning, key: str, grams: Known, ml: Known | None) -> Known:
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


def with_below(reckoning: Reckoning, keys: Iterable[str]) -> list[str]:
    """Return formulas and everything they are made of that is a formula, users before used."""
    found = dict.fromkeys(keys)
    waiting = list(found)
    for name in waiting:  # grows while it is walked
        for used in reckoning.graph.uses.get(name, ()):
            if used not in found:
                found[used] = None
                waiting.append(used)
    return sorted(found, key=lambda key: -reckoning.graph.rank[key])


@dataclass(slots=True)
class _Demand:
    """What the users of an intermediate ask of it, gathered while walking down: exactly, and as they meter it.

    In grams, and in the intermediate's own unit, as one user may take it in g and another in mL.
    """

    needed_g: Known = ZERO
    needed: Known = ZERO
    metered_g: Known = ZERO
    metered: Known = ZERO
    users: dict[str, None] = field(default_factory=dict)

    def lessen(self, grams: Known, own: Known) -> None:
        """Take off what is there already, never below nothing."""
        self.needed_g, self.metered_g = _left(self.needed_g, grams), _left(self.metered_g, grams)
        self.needed, self.metered = _left(self.needed, own), _left(self.metered, own)

    @property
    def is_met(self) -> bool:
        """True when nothing is left to be made."""
        return (self.metered == 0 and self.needed == 0) or (self.metered_g == 0 and self.needed_g == 0)

    def enlarge(self, grams: Known, own: Known) -> None:
        """Add what is wanted for its own sake."""
        self.needed_g, self.metered_g = add((self.needed_g, grams)), add((self.metered_g, grams))
        self.needed, self.metered = add((self.needed, own)), add((self.metered, own))


def _left(value: Known, there: Known) -> Known:
    rest = less(value, there)
    return rest if isinstance(rest, Missing) else max(rest, ZERO)


def make_first(
    reckoning: Reckoning,
    orders: Mapping[str, Evaluation],
    tables: Tables,
    *,
    ready: Collection[str] = (),
    have: Mapping[str, tuple[Known, Known]] | None = None,
) -> tuple[MakeFirst, ...]:
    """Return the intermediates to be made first, each before what it is made of.

    To obtain is the sum of the printed weights of the lines that call for it, rounded up to the step of the balance
    that holds so much; weigh in all is that ÷ the intermediate's own yield, and its lines follow from it.  One that
    several formulas of the day ask for is made once, for all of them; of what is there already so much less is made.

    `orders` are the batches wanted, by the formula's key.  `ready` intermediates are not made at all; of those in
    `have` so much is there already, in grams and in their own unit.

    Source: common practice, no source.
    """
    finest = finest_first(reckoning.book.workroom.balances)
    demands: dict[str, _Demand] = {}
    made: list[MakeFirst] = []
    for name in with_below(reckoning, orders):
        figures, order, demand = reckoning.figures[name], orders.get(name), demands.get(name)
        if demand is not None and have and name in have:
            demand.lessen(*have[name])
            if demand.is_met:
                demand = None
        if demand is None:
            if order is not None:
                _ask(demands, reckoning, name, order.obtain, order, ready)
            continue
        if order is not None:
            demand.enlarge(both_units(figures, order.obtain)[0], order.obtain)
            demand.users[name] = None
        first = _made(reckoning, figures, demand, finest, tables)
        made.append(first)
        if first.evaluation is not None:
            _ask(demands, reckoning, name, demand.needed, first.evaluation, ready)
        else:
            _ask_unknown(demands, reckoning, name, first, ready)
    return tuple(made)


def _balance(grams: Known, finest: Sequence[Balance]) -> Balance | None:
    """Return the balance that holds so much; None without any, or when the weight is not known."""
    return None if isinstance(grams, Missing) else balance_for(grams, finest)


def _made(
    reckoning: Reckoning, figures: Figures, demand: _Demand, finest: Sequence[Balance], tables: Tables
) -> MakeFirst:
    obtain_g = demand.metered_g
    balance = _balance(obtain_g, finest)
    if balance is not None and not isinstance(obtain_g, Missing):
        obtain_g = rounded_up(obtain_g, balance.readability_g)
    batch = demand.metered if isinstance(obtain_g, Missing) else batch_of(reckoning, figures.key, obtain_g, None)
    inner = evaluate(tables(figures), batch) if isinstance(batch, Fraction) else None
    by_weight = figures.amounts.makes.unit == "g"
    unknown = batch if isinstance(batch, Missing) else Missing(says=says("batch-unknown"))
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
        users=tuple(demand.users),
    )


def _ask(
    demands: dict[str, _Demand],
    reckoning: Reckoning,
    key: str,
    exact: Known,
    evaluation: Evaluation,
    ready: Collection[str],
) -> None:
    """Add what one formula asks of its intermediates: exactly, and as its lines are metered."""
    for taking in evaluation.lines:
        line, row = taking.figure, taking.row
        if not line.is_formula or line.key in ready:
            continue
        demand = demands.setdefault(line.key, _Demand())
        demand.users[key] = None
        grams, taken = times(row.per, exact), taken_grams(taking)
        ml = None if row.ml_per is None else times(row.ml_per, exact)
        demand.needed_g = add((demand.needed_g, grams))
        demand.needed = add((demand.needed, batch_of(reckoning, line.key, grams, ml)))
        demand.metered_g = add((demand.metered_g, taken))
        demand.metered = add((demand.metered, batch_of(reckoning, line.key, taken, taking.ml)))


def _ask_unknown(
    demands: dict[str, _Demand], reckoning: Reckoning, key: str, made: MakeFirst, ready: Collection[str]
) -> None:
    """Pass an unknown batch down: what its intermediates have to give is not known either."""
    why = made.start_g if isinstance(made.start_g, Missing) else Missing(says=says("batch-unknown"))
    for line in reckoning.figures[key].amounts.lines:
        if line.is_formula and line.key not in ready:
            demand = demands.setdefault(line.key, _Demand())
            demand.users[key] = None
            demand.needed_g = demand.needed = demand.metered_g = demand.metered = why
