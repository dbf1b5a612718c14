"""The batch asked for, as typed on the command line."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookgen.findings import Finding
from bookgen.model import DecimalSign, Obtain
from bookgen.source import read_obtain


@pytest.mark.parametrize(
    ("typed", "value", "unit", "containers", "stock", "tidied"),
    [
        ("250 g", Fraction(250), "g", 0, "", "250 g"),
        ("250g", Fraction(250), "g", 0, "", "250 g"),
        ("0,5 L", Fraction(500), "mL", 0, "", "0.5 L"),
        ("12 x 50 mL + 5 %", Fraction(630), "mL", 12, "", "12 × 50 mL + 5 %"),
        ("12 × 50 mL", Fraction(600), "mL", 12, "", "12 × 50 mL"),
        ("12x50ml+5%", Fraction(630), "mL", 12, "", "12 × 50 mL + 5 %"),
        ("3 X 30 g", Fraction(90), "g", 3, "", "3 × 30 g"),
        ("40 g of W-01", Fraction(40), "g", 0, "W-01", "40 g of W-01"),
        ("0.5 L of rose-water", Fraction(500), "mL", 0, "rose-water", "0.5 L of rose-water"),
        ("40g of W-01 and 12 g of gly", Fraction(40), "g", 0, "W-01 gly", "40 g of W-01 and 12 g of gly"),
        ("40 g of W-01; 0,5 L of b;", Fraction(40), "g", 0, "W-01 b", "40 g of W-01 and 0.5 L of b"),
        ("1 g of a, and 2 g of b AND 3 g of c", Fraction(1), "g", 0, "a b c", "1 g of a and 2 g of b and 3 g of c"),
    ],
)
def test_a_batch_is_read(typed: str, value: Fraction, unit: str, containers: int, stock: str, tidied: str) -> None:
    obtain = read_obtain(typed)
    assert isinstance(obtain, Obtain), obtain
    assert (obtain.quantity.value, obtain.quantity.unit) == (value, unit)
    assert (obtain.containers, " ".join(one.material for one in obtain.supplies), obtain.text) == (
        containers, stock, tidied
    )  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "nothing is written"),
        ("abc", "`abc` is not a batch: write 250 g, 12 x 50 mL + 5 %, 40 g of W-01, twice, half or 1.5 x."),
        ("-5", "has a plus or minus sign"),
        ("-5 g", "has a plus or minus sign"),
        ("1e99", "power of ten"),
        ("0", "lacks a unit"),
        ("0 g", "is nothing"),
        ("250", "lacks a unit"),
        ("g", "lacks a number"),
        ("1,000 g", "1,000 can be read as 1.000 or as 1000"),
        ("½ kg", "½ is not a number here: write 0.5."),
        ("250 oz", "weight or a volume"),
        ("250 g + 5 %", "belongs to containers only"),
        ("0 x 50 mL", "is not a number of containers"),
        ("2.5 x 50 mL", "is not a number of containers"),
        ("12 x 50", "lacks a unit"),
        ("12 x 50 mL + 5", "lacks a unit"),
        ("12 x 50 mL + 500 %", "more than the whole"),
        ("5 % of W-01", "neither a weight nor a volume"),
        ("40 g of W-01 and 12 g", "`12 g` is not a supply: write 40 g of W-01 and 12 g of glycerol-85."),
        ("40 g of W-01 and", "is not a supply"),
        ("40 g of W-01; ; 1 g of a", "is not a supply"),
        ("40 g of a and 2 g of A", "A is named twice"),
        ("40 g of a and 0 g of b", "is nothing"),
        ("40 g of a and 3 drops of b", "neither a weight nor a volume"),
        ("3 drops", "neither a weight nor a volume"),
        ("250 g please", "not understood"),
    ],
)
def test_a_refused_batch_says_what_to_write(typed: str, says: str) -> None:
    found = read_obtain(typed)
    assert isinstance(found, Finding), found
    assert found.rule == "unreadable-batch"
    assert found.message.startswith("To obtain: ")
    assert says in found.message


@pytest.mark.parametrize(
    ("typed", "times", "tidied"),
    [
        ("twice", Fraction(2), "2 × as written"),
        ("Double", Fraction(2), "2 × as written"),
        ("half", Fraction(1, 2), "0.5 × as written"),
        ("x 2", Fraction(2), "2 × as written"),
        ("2x", Fraction(2), "2 × as written"),
        ("× 2", Fraction(2), "2 × as written"),
        ("2 ×", Fraction(2), "2 × as written"),
        ("*2", Fraction(2), "2 × as written"),
        ("1.5 x", Fraction(3, 2), "1.5 × as written"),
        ("1,5x", Fraction(3, 2), "1.5 × as written"),
        ("0.25 X", Fraction(1, 4), "0.25 × as written"),
        ("3 times", Fraction(3), "3 × as written"),
        ("1.5 Times", Fraction(3, 2), "1.5 × as written"),
        ("triple", Fraction(3), "3 × as written"),
    ],
)
def test_a_batch_in_times_of_what_is_written(typed: str, times: Fraction, tidied: str) -> None:
    obtain = read_obtain(typed)
    assert isinstance(obtain, Obtain), obtain
    assert (obtain.times, obtain.quantity, obtain.text) == (times, None, tidied)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("0x", "is nothing"),
        ("x 0", "is nothing"),
        ("x", "is not a batch: write 250 g, 12 x 50 mL + 5 %, 40 g of W-01, twice, half or 1.5 x."),
        ("x 5 g", "write it as in 250 g"),
        ("x -2", "write it as in 250 g"),
        ("1,000x", "write 1.000 or 1000"),
        ("twice + 5 %", "belongs to containers only: write twice"),
        ("twice of W-01", "write it as in 40 g of W-01"),
    ],
)
def test_times_that_are_refused(typed: str, says: str) -> None:
    found = read_obtain(typed)
    assert isinstance(found, Finding), found
    assert says in found.message


def test_the_book_decides_about_the_point() -> None:
    assert isinstance(read_obtain("1.000 g", DecimalSign.POINT), Obtain)
    assert isinstance(read_obtain("1.000 g", DecimalSign.COMMA), Finding)


@given(st.text(max_size=30))
def test_nothing_typed_makes_reading_raise(typed: str) -> None:
    assert isinstance(read_obtain(typed), Obtain | Finding)


@pytest.mark.parametrize("typed", ["abc", "", "3 drops", "5 g + 5 %"])
def test_the_example_has_the_decimal_sign_of_the_book(typed):
    for decimal, example in ((DecimalSign.POINT, "half or 1.5 x."), (DecimalSign.COMMA, "half or 1,5 x.")):
        assert read_obtain(typed, decimal).message.endswith(example)
