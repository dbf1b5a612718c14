"""Balances: whole steps, the least weighable quantity, and which balance weighs what.

Rounding is half up, the pharmacopoeial rule (T13-05: Ph. Eur. as explained by the EDQM; ISO 80000-1 also allows half
to even).  Everything is in grams and exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from math import ceil

from ..fraction import Fraction
from ..model import Balance
from .same import Same

LARGEST_DROP_COUNT = 30
"""More drops than this are not counted reliably (common practice, no source)."""
LARGEST_COARSE_COUNT = 100
"""More than this are not asked for where a balance shows the weight, however coarsely (common practice, no source)."""


def half_up(value: Fraction, step: Fraction) -> Fraction:
    """Return a weight in whole steps of the balance: the nearest multiple of the step, a tie going up.

    Written amount × batch ÷ makes, exact, is rounded once, for the finest balance that holds it.  Half up is the
    pharmacopoeial rule.  Sources disagree: ISO 80000-1 and other rules also allow a tie to go to the even digit; half
    up is taken here, and a whole count of drops is found by the same rule.

    Source: Ph. Eur. as explained by the EDQM in its answers on rounding; ISO 80000-1 for the other rule.

    >>> half_up(Fraction("84.75"), Fraction("0.1"))
    Fraction(424, 5)
    """
    weight = whole_steps(value, step) * step
    return value if weight == value else weight  # one number where nothing is rounded, for each line of a book


def whole_steps(value: Fraction, step: Fraction) -> int:
    """Return in how many steps, or drops, a weight is given: the nearest number, a tie going up.

    >>> whole_steps(Fraction("84.75"), Fraction("0.1"))
    848
    """
    # floor(value ÷ step + ½) in whole numbers, because this is called for every printed weight.
    twice = 2 * value.numerator * step.denominator
    whole = value.denominator * step.numerator
    return (twice + whole) // (2 * whole)


def rounded_up(value: Fraction, step: Fraction) -> Fraction:
    """Return the smallest multiple of the step that is not below the value."""
    return ceil(value / step) * step


def least_weighable(readability: Fraction, accepted_error: Fraction) -> Fraction:
    """Return the least quantity (grams) that a balance weighs within the accepted error: readability ÷ that error.

    The accepted error is the workroom's (5 % where nothing else is stated), or the line's own.  A smaller quantity is
    not weighed on that balance.

    Source: University of North Carolina, Pharmaceutics Laboratory, weighing: sensitivity 6 mg and 5 % give 120 mg.

    >>> least_weighable(Fraction("0.006"), Fraction("0.05"))
    Fraction(3, 25)
    """
    return readability / accepted_error


def finest_first(balances: Sequence[Balance]) -> tuple[Balance, ...]:
    """Return the balances from the finest step to the coarsest; of two with one step the larger first.

    Each holds whole steps of its own, so that no weight is rounded to more than it holds.
    """
    return _finest_first(Same(tuple(balances)))


@lru_cache(maxsize=64)
def _finest_first(same: Same[tuple[Balance, ...]]) -> tuple[Balance, ...]:
    """Return them; a workroom's are asked for with every formula."""
    whole = (_in_steps(balance) for balance in same.record)
    return tuple(
        sorted(whole, key=lambda balance: (balance.readability_g, -(balance.capacity_g or 10**12), balance.name))
    )


def _in_steps(balance: Balance) -> Balance:
    """Return a balance that holds a whole number of its steps; one that holds less than a step as it is."""
    capacity, step = balance.capacity_g, balance.readability_g
    if capacity is None or capacity < step or capacity % step == 0:
        return balance
    return replace(balance, capacity_g=capacity // step * step)


def balance_for(grams: Fraction, finest: Sequence[Balance]) -> Balance | None:
    """Return the finest balance that holds the weight; above all of them the largest, in portions.

    Capacity is meant net of the vessel; a balance that states none holds anything.  Without a balance nothing is
    rounded.

    Source: common practice, no source.
    """
    for balance in finest:
        if balance.capacity_g is None or grams <= balance.capacity_g:
            return balance
    return largest_of(finest) if finest else None


def largest_of(finest: Sequence[Balance]) -> Balance:
    """Return the balance that holds most; the first that states no capacity holds anything."""
    return max(finest, key=lambda balance: balance.capacity_g or Fraction(0))


def portions_on(grams: Fraction, balance: Balance) -> int:
    """Return in how many portions a balance weighs so much."""
    capacity = balance.capacity_g
    if capacity is None:
        return 1
    # ceil(grams ÷ capacity) in whole numbers, because every weight is tried on every balance.
    return max(1, -(-grams.numerator * capacity.denominator // (grams.denominator * capacity.numerator)))
