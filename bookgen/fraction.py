"""The exact number of the whole program: the standard library's fraction, quicker where both are exact.

Python 3.11's own asks of each operand what kind of number it is and brings each result to lowest terms again, which is
most of its time.  Here an operand is asked once, results are built from parts that have no common factor, and every
other case is left to the library.  It is one of its fractions: equal to them, with the same hash, in lowest terms.
"""

from __future__ import annotations

from abc import ABCMeta
from fractions import Fraction as Standard
from math import gcd
from typing import TYPE_CHECKING, Any

_new = object.__new__


class _Any(ABCMeta):
    """Any fraction is one of the program's, whoever made it."""

    def __instancecheck__(cls, instance: object) -> bool:
        return Standard in type(instance).__mro__  # the library's own test asks its registry of abstract numbers first


class Quick(Standard, metaclass=_Any):
    """A fraction; what is done with it, another of its kind or an integer gives one of its kind."""

    __slots__ = ()

    _numerator: int
    _denominator: int
    # The parts themselves, where the library's properties would call a function each time.
    numerator = Standard.__dict__["_numerator"]
    denominator = Standard.__dict__["_denominator"]

    def __new__(cls, numerator: Any = 0, denominator: Any = None) -> Quick:
        """As the library's: of a number, of a text, or of two integers.  Raises what it raises."""
        if type(numerator) is int:
            if denominator is None:
                return _of(numerator, 1)
            if type(denominator) is int and denominator:
                common = gcd(numerator, denominator)
                if denominator < 0:
                    common = -common
                return _of(numerator // common, denominator // common)
        elif denominator is None and isinstance(numerator, Standard):
            return _of(numerator.numerator, numerator.denominator)
        return super().__new__(cls, numerator, denominator)

    def __reduce__(self) -> tuple[Any, ...]:
        return _of, (self._numerator, self._denominator)

    def __repr__(self) -> str:
        return f"Fraction({self._numerator}, {self._denominator})"

    def __add__(self, other: Any) -> Any:
        if type(other) is Quick:
            return _sum(self._numerator, self._denominator, other._numerator, other._denominator)
        if type(other) is int:
            return _of(self._numerator + other * self._denominator, self._denominator)
        return _own(super().__add__(other))

    def __radd__(self, other: Any) -> Any:
        if type(other) is int:
            return _of(self._numerator + other * self._denominator, self._denominator)
        return _own(super().__radd__(other))

    def __sub__(self, other: Any) -> Any:
        if type(other) is Quick:
            return _sum(self._numerator, self._denominator, -other._numerator, other._denominator)
        if type(other) is int:
            return _of(self._numerator - other * self._denominator, self._denominator)
        return _own(super().__sub__(other))

    def __rsub__(self, other: Any) -> Any:
        if type(other) is int:
            return _of(other * self._denominator - self._numerator, self._denominator)
        return _own(super().__rsub__(other))

    def __mul__(self, other: Any) -> Any:
        if type(other) is Quick:
            return _product(self._numerator, self._denominator, other._numerator, other._denominator)
        if type(other) is int:
            return _product(self._numerator, self._denominator, other, 1)
        return _own(super().__mul__(other))

    def __rmul__(self, other: Any) -> Any:
        if type(other) is int:
            return _product(self._numerator, self._denominator, other, 1)
        return _own(super().__rmul__(other))

    def __truediv__(self, other: Any) -> Any:
        if type(other) is Quick and other._numerator:
            return _quotient(self._numerator, self._denominator, other._numerator, other._denominator)
        if type(other) is int and other:
            return _quotient(self._numerator, self._denominator, other, 1)
        return _own(super().__truediv__(other))

    def __rtruediv__(self, other: Any) -> Any:
        if type(other) is int and self._numerator:
            return _quotient(other, 1, self._numerator, self._denominator)
        return _own(super().__rtruediv__(other))

    def __mod__(self, other: Any) -> Any:
        return _own(super().__mod__(other))

    def __rmod__(self, other: Any) -> Any:
        return _own(super().__rmod__(other))

    def __divmod__(self, other: Any) -> Any:
        whole, rest = super().__divmod__(other)
        return whole, _own(rest)

    def __rdivmod__(self, other: Any) -> Any:
        whole, rest = super().__rdivmod__(other)
        return whole, _own(rest)

    def __pow__(self, other: Any) -> Any:
        return _own(super().__pow__(other))

    def __round__(self, ndigits: Any = None) -> Any:
        return _own(super().__round__(ndigits))

    def limit_denominator(self, max_denominator: int = 1_000_000) -> Any:
        """As the library's."""
        return _own(super().limit_denominator(max_denominator))

    def __pos__(self) -> Quick:
        return self

    def __neg__(self) -> Quick:
        return _of(-self._numerator, self._denominator)

    def __abs__(self) -> Quick:
        return self if self._numerator >= 0 else _of(-self._numerator, self._denominator)

    def __eq__(self, other: object) -> bool:
        if type(other) is Quick:
            return self._numerator == other._numerator and self._denominator == other._denominator
        if type(other) is int:
            return self._numerator == other and self._denominator == 1
        return super().__eq__(other)

    def __hash__(self) -> int:  # type: ignore[override]  # as in the library's own types
        return hash(self._numerator) if self._denominator == 1 else super().__hash__()

    def __lt__(self, other: Any) -> bool:
        if type(other) is Quick:
            return self._numerator * other._denominator < other._numerator * self._denominator
        if type(other) is int:
            return self._numerator < other * self._denominator
        return super().__lt__(other)

    def __le__(self, other: Any) -> bool:
        if type(other) is Quick:
            return self._numerator * other._denominator <= other._numerator * self._denominator
        if type(other) is int:
            return self._numerator <= other * self._denominator
        return super().__le__(other)

    def __gt__(self, other: Any) -> bool:
        if type(other) is Quick:
            return self._numerator * other._denominator > other._numerator * self._denominator
        if type(other) is int:
            return self._numerator > other * self._denominator
        return super().__gt__(other)

    def __ge__(self, other: Any) -> bool:
        if type(other) is Quick:
            return self._numerator * other._denominator >= other._numerator * self._denominator
        if type(other) is int:
            return self._numerator >= other * self._denominator
        return super().__ge__(other)


def _own(result: Any) -> Any:
    """Return a fraction of the library's kind as one of ours, anything else as it is."""
    return _of(result.numerator, result.denominator) if isinstance(result, Standard) else result


def _of(numerator: int, denominator: int) -> Quick:
    """Return a fraction of two integers without a common factor, the lower above nought."""
    made = _new(Quick)
    made._numerator = numerator
    made._denominator = denominator
    return made


def _sum(above: int, below: int, other_above: int, other_below: int) -> Quick:
    """Return the sum of two fractions in lowest terms; the difference where the other is given with its sign changed.

    Source: Knuth, The Art of Computer Programming, volume 2, 4.5.1, from memory.
    """
    made = _new(Quick)  # as `_of` does, without a call of its own: nothing is called more often
    common = gcd(below, other_below)
    if common == 1:
        made._numerator = above * other_below + other_above * below
        made._denominator = below * other_below
        return made
    part = below // common
    total = above * (other_below // common) + other_above * part
    rest = gcd(total, common)
    made._numerator = total // rest
    made._denominator = part * (other_below // rest)
    return made


def _product(above: int, below: int, other_above: int, other_below: int) -> Quick:
    """Return the product of two fractions in lowest terms; source as for the sum."""
    made = _new(Quick)
    first, second = gcd(above, other_below), gcd(other_above, below)
    if first == 1 and second == 1:
        made._numerator = above * other_above
        made._denominator = below * other_below
    else:
        made._numerator = (above // first) * (other_above // second)
        made._denominator = (below // second) * (other_below // first)
    return made


def _quotient(above: int, below: int, other_above: int, other_below: int) -> Quick:
    """Return the quotient of two fractions in lowest terms, the other not nought."""
    if other_above < 0:
        return _product(above, below, -other_below, -other_above)
    return _product(above, below, other_below, other_above)


if TYPE_CHECKING:
    Fraction = Standard
else:
    Fraction = Quick

__all__ = ["Fraction"]
