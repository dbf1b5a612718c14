"""The program's exact number against the standard library's fraction: the same in all that can be done with it."""

from __future__ import annotations

import operator
import pickle
from collections.abc import Callable
from fractions import Fraction as Standard
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bookgen.fraction import Fraction, Quick

WITH_ANOTHER: tuple[Callable[[Any, Any], Any], ...] = (
    operator.add, operator.sub, operator.mul, operator.truediv, operator.floordiv, operator.mod, divmod,
    operator.eq, operator.ne, operator.lt, operator.le, operator.gt, operator.ge, max, min,
)  # fmt: skip
ALONE: tuple[Callable[[Any], Any], ...] = (
    operator.neg, operator.pos, abs, bool, int, float, hash, str, repr, round,
    lambda number: round(number, 2), lambda number: number**3, lambda number: number.limit_denominator(7),
    lambda number: (number.numerator, number.denominator), lambda number: f"{float(number):.3f}",
)  # fmt: skip
parts = st.tuples(st.integers(-(10**6), 10**6), st.integers(1, 10**4) | st.integers(-50, -1))
others = parts.map(lambda pair: ("fraction", pair)) | st.integers(-50, 50).map(lambda whole: ("whole", whole))


def outcome(what: Callable[..., Any], *given: Any) -> Any:
    try:
        return what(*given)
    except ArithmeticError as reason:
        return type(reason)


def both(other: Any) -> tuple[Any, Any]:
    kind, value = other
    return (value, value) if kind == "whole" else (Fraction(*value), Standard(*value))


def same(mine: Any, theirs: Any) -> bool:
    """Equal, and in the same lowest terms; what is a fraction of theirs is one of ours."""
    if isinstance(theirs, tuple):
        return all(same(*pair) for pair in zip(mine, theirs, strict=True))
    if isinstance(theirs, Standard):
        return type(mine) is Quick and (mine.numerator, mine.denominator) == (
            theirs.numerator,
            theirs.denominator,
        )
    return type(mine) is type(theirs) and bool(mine == theirs)


@given(parts, others)
@example((0, 1), ("whole", 0))
@example((1, 3), ("fraction", (0, 5)))
@example((-6, 4), ("fraction", (9, -6)))
def test_with_another_number(pair, other):
    mine, theirs = Fraction(*pair), Standard(*pair)
    second, their_second = both(other)
    for what in WITH_ANOTHER:
        assert same(outcome(what, mine, second), outcome(what, theirs, their_second)), what
        assert same(outcome(what, second, mine), outcome(what, their_second, theirs)), what
        # one of ours beside one of theirs, on either side
        if what not in (max, min):
            assert same(outcome(what, mine, their_second), outcome(what, theirs, their_second)), what
            assert same(outcome(what, their_second, mine), outcome(what, their_second, theirs)), what


@given(parts)
def test_alone(pair):
    mine, theirs = Fraction(*pair), Standard(*pair)
    for what in ALONE:
        assert same(what(mine), what(theirs))
    assert same(pickle.loads(pickle.dumps(mine)), theirs)
    assert {mine: 1}[theirs] == 1
    assert mine == theirs
    assert theirs == mine
    assert mine != float("nan")


@pytest.mark.parametrize(
    "made", [(), (3,), (True,), (-4, 6), (4, -6), ("1/3",), ("0.25",), (" 7 ",), (0.5,), (1, True)]
)
def test_made_of(made):
    assert same(Fraction(*made), Standard(*made))
    assert same(Fraction(Standard(*made)), Standard(*made))


@pytest.mark.parametrize("made", [(1, 0), ("a",), ("1/0",), (None,), (1, 0.5), (float("inf"),)])
def test_what_is_no_number_is_refused_alike(made):
    with pytest.raises(Exception) as theirs:
        Standard(*made)
    with pytest.raises(theirs.type):
        Fraction(*made)
