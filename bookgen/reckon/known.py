"""Arithmetic on figures that may not be known: one Missing makes the result that Missing."""

from __future__ import annotations

from collections.abc import Iterable
from math import lcm

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known

ZERO = Fraction(0)
ONE = Fraction(1)


def add(values: Iterable[Known]) -> Known:
    """Return the sum, or the first Missing among the values.

    >>> add([Fraction(1), Fraction(1, 2)])
    Fraction(3, 2)
    """
    # Over one common denominator in whole numbers: exact, and reduced once instead of at every step.
    total, common = 0, 1
    for value in values:
        if isinstance(value, Missing):
            return value
        denominator = value.denominator
        if denominator != common:
            wider = lcm(common, denominator)
            total *= wider // common
            common = wider
        total += value.numerator * (common // denominator)
    return Fraction(total, common)


def times(value: Known, factor: Known) -> Known:
    """Return the product, or the first Missing."""
    if isinstance(value, Missing):
        return value
    return factor if isinstance(factor, Missing) else value * factor


def over(value: Known, divisor: Known) -> Known:
    """Return the quotient, or the first Missing; the divisor is above 0."""
    if isinstance(value, Missing):
        return value
    return divisor if isinstance(divisor, Missing) else value / divisor


def less(value: Known, other: Known) -> Known:
    """Return the difference, or the first Missing."""
    if isinstance(value, Missing):
        return value
    return other if isinstance(other, Missing) else value - other
