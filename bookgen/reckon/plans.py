"""Plans for what no balance weighs: a stock dilution and an aliquot of it, or a trituration of powders.

Enters: the balances, the accepted error, which factors the formula leaves room for.  Leaves: `Plan`s, each good for
every weight from its `least_g` to its `most_g`; the scale table chooses among them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, floor, prod

from ..fraction import Fraction
from ..model import Balance
from .known import ONE, ZERO
from .measure import balance_for, least_weighable

FACTORS: tuple[tuple[int, ...], ...] = (
    (5,), (10,), (20,), (50,), (100,), (10, 20), (10, 50), (10, 100), (20, 100), (50, 100), (100, 100),
)  # fmt: skip
"""How many times a stock is thinner than the material, in one step or in two, the mildest first (common practice, no
source: whole numbers that are easy to weigh and to label)."""

LARGEST_STOCK = Fraction(100)
"""Grams of the largest stock that a small workroom makes (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One dilution: so much of the material, or of the stage before, made up to a stock."""

    factor: int
    """How many times thinner it gets."""
    weigh_g: Fraction
    """Grams weighed of the material, or of the stage before."""
    with_: str
    """The balance for it."""
    portions: tuple[Fraction, ...]
    """Grams of each portion of the diluent weighed to it: a liquid at once, a powder by geometric dilution."""
    diluent_with: str
    """The balance for them."""
    low: Fraction
    """The least share of the material, or of the stage before, that the stock can really hold."""
    high: Fraction
    """The most."""

    @property
    def diluent_g(self) -> Fraction:
        """Grams of the diluent in all."""
        return sum(self.portions, ZERO)

    @property
    def stock_g(self) -> Fraction:
        """Grams of the stock."""
        return self.weigh_g + self.diluent_g


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A stock in one stage or two, from which an aliquot is weighed."""

    stages: tuple[Stage, ...]
    """In the order of making."""
    with_: str
    """The balance for the aliquot."""
    step: Fraction
    """Its step in grams; aliquots are multiples of it."""
    least_g: Fraction = ZERO
    """Least grams of the material that an aliquot brings within the accepted error."""
    most_g: Fraction = ZERO
    """Most grams of it: the aliquot is no more than the stock, nor than the balance holds."""
    factor: int
    """How many times thinner than the material the last stock is."""
    low: Fraction
    """The least share of the material that the last stock can really hold."""
    high: Fraction
    """The most."""
    largest_stock: Fraction
    """Grams of its largest stock."""


def aliquot_range(aliquot: Fraction, plan: Plan) -> tuple[Fraction, Fraction]:
    """Return the least and the most of the material (grams) that an aliquot can really bring.

    Every weighing, by difference, may be off by one step of its balance, each to the worse side: the aliquot, the
    material in the stock, and the diluent the other way, a powder's each portion of it.

    Source: own arithmetic on the rule of T04-01 (one step ÷ quantity is the error of a weighing).
    """
    return (aliquot - plan.step) * plan.low, (aliquot + plan.step) * plan.high


@lru_cache(maxsize=256)
def plans(finest: tuple[Balance, ...], error: Fraction, *, powders: bool = False) -> tuple[Plan, ...]:
    """Return every stock dilution that the balances allow within an accepted error, the mildest first.

    The rule of the aliquot method: weigh a quantity the balance can weigh, thin it 5, 10, 20, 50 or 100 times (in two
    steps up to 10,000 times), and weigh of the stock that many times the wanted quantity.  Each weighing is a multiple
    of its balance's step, at least what that balance weighs within the accepted error, and no more than it holds.  The
    error that is left, all weighings wrong to the worse side and the aliquot rounded, is within the accepted one from a
    least quantity on; the accepted error is shared out evenly among the weighings.  No stock is larger than 100 g, nor
    than the batch.  How much dissolves is not known here: only a clear stock may be taken from.

    `powders`: the diluent is a powder, added in portions of which each is a weighing.

    Source: aliquot method, T04-08 to T04-10 (lecture "Aliquot method"; textbook chapter "Accurate weighing for
    prescriptions"; trituration self-assessment); the error left is own arithmetic.
    """
    found = (_plan(factors, finest, error, powders) for factors in FACTORS) if finest else ()
    return tuple(plan for plan in found if plan is not None)


def _plan(factors: tuple[int, ...], finest: tuple[Balance, ...], error: Fraction, powders: bool) -> Plan | None:
    stages: list[Stage] = []
    for factor in factors:
        stage = _stage(factor, len(factors), finest, error, powders)
        if stage is None:
            return None
        stages.append(stage)
    fine = finest[0]
    plan = Plan(
        stages=tuple(stages),
        with_=fine.name,
        step=fine.readability_g,
        factor=prod(factors),
        low=prod((stage.low for stage in stages), start=ONE),
        high=prod((stage.high for stage in stages), start=ONE),
        largest_stock=max(stage.stock_g for stage in stages),
    )
    off = Fraction(3, 2) * plan.step  # half a step by rounding the aliquot, one by weighing it
    over = (1 + error) - plan.factor * plan.high
    under = plan.factor * plan.low - (1 - error)
    if over <= 0 or under <= 0:
        return None
    largest = plan.stages[-1].stock_g if fine.capacity_g is None else min(plan.stages[-1].stock_g, fine.capacity_g)
    least = max(off * plan.high / over, off * plan.low / under)
    return replace(plan, least_g=least, most_g=largest // plan.step * plan.step / plan.factor)


def _stage(factor: int, stages: int, finest: tuple[Balance, ...], error: Fraction, powders: bool) -> Stage | None:
    """Return the smallest stage whose weighings can all be set; None where it is too large, or no balance holds it."""
    fine = finest[0]
    for count in _easy(ceil((stages + 1) / error)):
        weigh = count * fine.readability_g
        diluent = weigh * (factor - 1)
        balance = balance_for(diluent, finest)
        if balance is None or not (_holds(fine, weigh) and _holds(balance, diluent)):
            return None
        if weigh + diluent > LARGEST_STOCK:
            return None
        portions = doublings(weigh, diluent) if powders else (diluent,)
        step, coarse = fine.readability_g, len(portions) * balance.readability_g
        if any(portion % balance.readability_g for portion in portions) or diluent < least_weighable(coarse, error):
            continue
        return Stage(
            factor=factor,
            weigh_g=weigh,
            with_=fine.name,
            portions=portions,
            diluent_with=balance.name,
            low=(weigh - step) / (weigh - step + diluent + coarse),
            high=(weigh + step) / (weigh + step + diluent - coarse),
        )
    return None


def _easy(least: int) -> Iterator[int]:
    """Yield 1, 2 and 5 times the powers of ten from a number on: steps that are easy to set and to check."""
    power = 1
    for _ in range(len(str(least)) + 4):
        yield from (digit * power for digit in (1, 2, 5) if digit * power >= least)
        power *= 10


def _holds(balance: Balance, grams: Fraction) -> bool:
    return balance.capacity_g is None or grams <= balance.capacity_g


def room_for(candidates: Sequence[Plan], *, diluent_per_gram: Fraction, batch_per_gram: Fraction) -> tuple[Plan, ...]:
    """Return the plans that a formula has room for, and from how much of the material on.

    `diluent_per_gram`: grams of diluent in the formula that a plan may use, per gram of the material; the aliquot
    brings factor − 1.  `batch_per_gram`: grams of the whole batch per gram of the material; no stock is larger than
    the batch.

    Source: common practice, no source.
    """
    strongest = floor(diluent_per_gram) + 1
    room: list[Plan] = []
    for plan in candidates:
        if plan.factor > strongest:
            break  # the mildest come first
        if plan.largest_stock <= plan.least_g * batch_per_gram:
            if plan.least_g < plan.most_g:
                room.append(plan)
        elif plan.largest_stock < plan.most_g * batch_per_gram:
            room.append(replace(plan, least_g=plan.largest_stock / batch_per_gram))
    return tuple(room)


def doublings(weigh_g: Fraction, diluent_g: Fraction) -> tuple[Fraction, ...]:
    """Return the grams of diluent of each step of a geometric dilution: as much as is there already, then the rest.

    A small quantity of powder is mixed with about its own quantity of diluent, the mixture again with its own
    quantity, and so on; the last step takes what is left.

    Source: geometric dilution, T04-11 (teaching page on geometric dilution: 1 g in 15 g gives 2, 4, 8, 16 g) and
    T04-12 (own arithmetic: the last step is smaller than a doubling).

    >>> [str(one) for one in doublings(Fraction(1), Fraction(15))]
    ['1', '2', '4', '8']
    """
    steps: list[Fraction] = []
    there, left = weigh_g, diluent_g
    while left > 0:
        add = min(there, left)
        steps.append(add)
        there += add
        left -= add
    return tuple(steps)
