"""Exact numbers into shown text."""

from __future__ import annotations

import doctest
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookgen import show
from bookgen.model import DecimalSign, Workroom
from bookgen.shown.spelt import duration, duration_machine, says_duration

F = Fraction
FRACTIONS = st.fractions(min_value=-10_000, max_value=10_000, max_denominator=10_000)


def plain(text: str) -> str:
    """Return text with every space that does not break made plain."""
    return text.replace(show.THIN, " ").replace(show.NBSP, " ")


def test_examples_in_the_docstrings() -> None:
    assert doctest.testmod(show).failed == 0
    assert doctest.testmod(show).attempted > 8


@pytest.mark.parametrize(
    ("shown", "text"),
    [
        (show.weight(F(4), F("0.01")), "4.00 g"),
        (show.weight(F("84.75"), F("0.1")), "84.8 g"),
        (show.weight(F("84.75"), F("0.1"), show.COMMA), "84,8 g"),
        (show.weight(F("12.34"), F(1)), "12 g"),
        (show.weight(F("0.5"), F(1)), "1 g"),
        (show.weight(F("12.5"), F("0.5")), "12.5 g"),
        (show.weight(F(8, 3), None), "2.667 g"),
        (show.weight(F("0.2"), None), "0.2 g"),
        (show.volume(F(20)), "20 mL"),
        (show.volume(F(2000, 3)), "667 mL"),
        (show.volume(F("2059.9176")), "2060 mL"),
        (show.volume(F("1234.5")), "1234.5 mL"),
        (show.volume(F("0.0125")), "0.0125 mL"),
        (show.volume(F("0.05")), "0.05 mL"),
        (show.percent(F(1, 3)), "33.3 %"),
        (show.percent(F("0.005")), "0.500 %"),
        (show.percent(F("0.00004")), "0.00400 %"),
        (show.percent(F(1)), "100 %"),
        (show.percent(F("0.09996")), "10.0 %"),
        (show.percent(F(0)), "0.00 %"),
        (show.drops(1), "1 drop"),
        (show.drops(12), "12 drops"),
        (show.off(F("0.024")), "2.4 % over"),
        (show.off(F("-0.031"), show.COMMA), "3,1 % under"),
        (show.off(F(0)), "exact"),
        (show.written("0,2 g"), "0.2 g"),
        (show.written("0.2g", show.COMMA), "0,2 g"),
        (show.written("q.s. to pH 4.8 (about 1.6 g)", show.COMMA), "q.s. to pH 4,8 (about 1,6 g)"),
        (show.written("2 drops (0.05 g)"), "2 drops (0.05 g)"),
        (show.sentence("keep it cold"), "Keep it cold."),
        (show.sentence("Really?"), "Really?"),
        (show.sentence(" "), ""),
        (show.day(date(2026, 3, 2)), "2026-03-02"),
        (show.period(14, 0), "14 days"),
        (show.period(1, 0), "1 day"),
        (show.period(0, 24), "24 months"),
        (duration(300), "5 minutes"),
        (duration(93_784), "1 day 2 hours 3 minutes 4 seconds"),
        (duration_machine(93_784), "P1DT2H3M4S"),
        (duration_machine(172_800), "P2D"),
        (show.counted(3, "query", "queries"), "3 queries"),
        (show.counted(1, "portion"), "1 portion"),
    ],
)
def test_shown(shown: str, text: str) -> None:
    assert plain(shown) == text


def test_units_do_not_break_away_from_their_numbers() -> None:
    assert show.weight(F(4), F(1)) == f"4{show.THIN}g"
    assert show.written("12 drops") == f"12{show.NBSP}drops"
    assert show.glued("at 70 °C for 5 min, 2 games") == f"at 70{show.THIN}°C for 5{show.THIN}min, 2 games"


def test_signs_follow_the_workroom() -> None:
    assert show.signs_of(Workroom(decimal=DecimalSign.COMMA)) is show.COMMA
    assert show.signs_of(Workroom()) is show.POINT


def test_two_figures_that_differ_are_never_shown_alike() -> None:
    assert show.apart(F("0.5004"), F("0.5")) == ("0.5004", "0.5000")
    assert show.apart(F("0.5"), F("0.5")) == ("0.500", "0.500")


@given(FRACTIONS, FRACTIONS)
def test_apart_tells_any_two_apart(value: Fraction, limit: Fraction) -> None:
    first, second = show.apart(value, limit)
    assert (first == second) == (value == limit) or show.MINUS in first + second


@given(FRACTIONS)
def test_exact_strings_read_back(value: Fraction) -> None:
    assert Fraction(show.exact(value)) == value


def test_a_finite_decimal_is_written_as_one_however_long() -> None:
    # own arithmetic: 5^13 = 1220703125
    assert show.exact(F(1, 2**13)) == "0.0001220703125"
    assert show.exact(F("0.0000000000001234")) == "0.0000000000001234"
    assert show.exact(F(1, 3 * 2**13)) == "1/24576"


@given(FRACTIONS, st.integers(1, 6), st.integers(0, 6))
def test_a_bound_is_never_printed_inside_what_it_bounds(value: Fraction, figures: int, places: int) -> None:
    for text in (show.significant(value, figures, side=show.DOWN), show.fixed(value, places, side=show.DOWN)):
        assert Fraction(text.replace(show.MINUS, "-")) <= value
    for text in (show.significant(value, figures, side=show.UP), show.fixed(value, places, side=show.UP)):
        assert Fraction(text.replace(show.MINUS, "-")) >= value
    assert Fraction(show.plain(value, side=show.DOWN).replace(show.MINUS, "-")) <= value
    assert Fraction(show.plain(value, side=show.UP).replace(show.MINUS, "-")) >= value


@given(st.fractions(min_value=0, max_value=10_000, max_denominator=10_000), st.integers(0, 6))
def test_fixed_is_within_half_a_step_and_ties_go_up(value: Fraction, places: int) -> None:
    text = show.fixed(value, places)
    half = Fraction(1, 2 * 10**places)
    assert -half <= value - Fraction(text) < half
    assert text[0].isdigit()
    assert show.decimals(text) == places


@given(st.fractions(min_value=Fraction(1, 10**6), max_value=999, max_denominator=10**6))
def test_three_significant_figures(value: Fraction) -> None:
    text = show.significant(value)
    digits = text.replace(".", "").lstrip("0")
    assert len(digits) == 3
    assert "e" not in text.lower()


@given(st.lists(st.fractions(min_value=0, max_value=1000, max_denominator=1000), min_size=1))
def test_padding_makes_a_column_line_up(values: list[Fraction]) -> None:
    texts = [show.plain(value) for value in values]
    most = max(show.decimals(text) for text in texts)
    behind = {len(show.padding(text, most)) + show.decimals(text) + (1 if "." in text else 0) for text in texts}
    assert behind == {most + 1 if most else 0}


@pytest.mark.parametrize(
    ("words", "seconds", "says_it"),
    [
        ("five minutes", 300, True),
        ("Five  minutes", 300, True),
        ("five minutes", 360, False),
        ("a day", 86400, True),
        ("one day", 86400, True),
        ("an hour", 3600, True),
        ("half an hour", 1800, True),
        ("thirty minutes", 1800, True),
        ("two weeks", 1209600, True),
        ("fourteen days", 1209600, True),
        ("sixty minutes", 3600, True),
        ("20 min", 1200, True),
        ("overnight", 43200, False),
        ("a while", 300, False),
    ],
)
def test_words_that_say_a_duration_need_no_figure_beside_them(words, seconds, says_it):
    assert says_duration(words, seconds) is says_it
