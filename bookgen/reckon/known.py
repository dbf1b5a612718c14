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
    found: list[Fraction] = []
    for value in values:
        if isinstance(value, Missing):
            return value
        found.append(value)
    return total(found)


def total(values: Iterable[Fraction]) -> Fraction:
    """Return the sum of figures that are all known.

    >>> total([Fraction(1, 6), Fraction(1, 3)])
    Fraction(1, 2)
    """
    # Over one common denominator in whole numbers: exact, and reduced once instead of at every step.
    above, common = 0, 1
    for value in values:
        denominator = value.denominator
        if denominator == common:
            above += value.numerator
            continue
        wider = lcm(common, denominator)
        if wider != common:
            above *= wider // common
            common = wider
        above += value.numerator * (common // denominator)
    return Fraction(above, common) if above else ZERO


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
