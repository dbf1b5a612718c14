"""Numbers and units: what is read, what is refused, and that conversions are exact."""

from __future__ import annotations

import unicodedata
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookgen.units import (
    BASES,
    MOST_DIGITS,
    REFUSED_UNITS,
    UNITS,
    Complaint,
    Dimension,
    Measured,
    find_unit,
    read_measured,
    read_number,
    refused_unit,
)

READ = [
    # text, value, digits
    ("0", Fraction(0), "0"),
    ("5", Fraction(5), "5"),
    ("0.2", Fraction(1, 5), "0.2"),
    ("0,2", Fraction(1, 5), "0.2"),
    ("1.10", Fraction(11, 10), "1.10"),
    ("0,125", Fraction(1, 8), "0.125"),
    ("1.000", Fraction(1), "1.000"),
    ("1234,500", Fraction(2469, 2), "1234.500"),
    ("123456789012345", Fraction(123456789012345), "123456789012345"),
]


@pytest.mark.parametrize(("text", "value", "digits"), READ)
def test_a_number_keeps_its_value_and_digits(text: str, value: Fraction, digits: str) -> None:
    assert read_number(text) == (value, digits)


@pytest.mark.parametrize(
    "text",
    ["", " 5", "5 ", "-5", "+5", "1e3", "1_0", "1 000", "1,000", "999,999", "1.2.3", ".5", "5.", "½", "1/2", "012", "٣",
     "５", "1" * (MOST_DIGITS + 1), "0x10", "inf", "nan", "five"],
)  # fmt: skip
def test_other_writing_is_refused_with_a_reason(text: str) -> None:
    found = read_number(text)
    assert isinstance(found, Complaint)
    assert str(found.says).endswith(".")


ADVISED = [
    # text, whether the decimal sign is the comma, what is said
    ("007", False, "007 begins with a zero: write 7, or 0.07 if it lost its point."),
    ("07", True, "07 begins with a zero: write 7, or 0,7 if it lost its comma."),
    ("1/2", False, "`1/2` is a fraction: write 0.5."),
    ("1 1/16", False, "`1 1/16` is a fraction: write 1.0625."),
    ("3/8", True, "`3/8` is a fraction: write 0,375."),
    ("10/2", False, "`10/2` is a fraction: write 5."),
    ("1/0", False, "`1/0` is a fraction: write a decimal."),
    ("1 000", False, "`1 000` has its digits in groups: write 1000."),
    ("1,000,000", False, "`1,000,000` has its digits in groups: write 1000000."),
    ("1.234.567", True, "`1.234.567` has its digits in groups: write 1234567."),
    ("1,000.5 g", False, "`1,000.5` has its digits in groups: write 1000.5."),
    ("1.000,5 g", True, "`1.000,5` has its digits in groups: write 1000,5."),
    ("1,000.5 g", True, "`1,000.5` has its digits in groups: write 1000,5."),
    ("1,000,5", False, "`1,000,5` has more than one decimal sign."),
    ("5.,2", False, "`5.,2` has more than one decimal sign."),
    ("1,250 ", False, "`1,250 ` is not a number: write it in digits."),
    ("3.4.2026", False, "`3.4.2026` looks like a date: dates are written as 2026-04-03."),
]


@pytest.mark.parametrize(("text", "comma", "says"), ADVISED)
def test_what_is_advised_instead(text: str, comma: bool, says: str) -> None:
    found = read_number(text, comma=comma)
    assert isinstance(found, Complaint)
    assert str(found.says) == says


@pytest.mark.parametrize("sign", "½¼¾⅓⅔⅛⅕⅙")
def test_a_fraction_in_one_character_is_advised_to_three_places(sign: str) -> None:
    found = read_number(sign)
    assert isinstance(found, Complaint)
    advised = str(found.says).removeprefix(f"{sign} is not a number here: write ").removesuffix(".")
    assert Fraction(advised) == Fraction(str(round(unicodedata.numeric(sign), 3)))


def test_without_another_word_the_decimal_sign_is_the_point() -> None:
    found = read_measured("1.250 g")
    assert isinstance(found, Measured)
    assert found.value == Fraction(5, 4)


def test_both_readings_are_named() -> None:
    found = read_number("1,250")
    assert isinstance(found, Complaint)
    assert (found.rule, str(found.says)) == (
        "ambiguous-number",
        "1,250 can be read as 1.250 or as 1250: write 1.250 or 1250.",
    )


def test_the_own_decimal_sign_of_a_book_is_never_that_of_a_group() -> None:
    assert read_number("1.250", comma=False) == (Fraction(5, 4), "1.250")
    assert read_number("1,250", comma=True) == (Fraction(5, 4), "1.250")
    found = read_number("1.250", comma=True)
    assert isinstance(found, Complaint)
    assert found.rule == "ambiguous-number"
    assert str(found.says) == "1.250 can be read as 1,250 or as 1250: write 1,250 or 1250."
    assert read_number("0.250", comma=True) == (Fraction(1, 4), "0.250")


@given(st.integers(0, 10**9), st.integers(0, 6), st.sampled_from(".,"))
def test_a_written_decimal_is_read_exactly(digits: int, places: int, sign: str) -> None:
    text = str(digits).rjust(places + 1, "0")
    written = f"{text[:-places]}{sign}{text[-places:]}" if places else text
    found = read_number(written)
    value = Fraction(digits, 10**places)
    if isinstance(found, Complaint):
        assert found.rule == "ambiguous-number"
        assert places == 3
        assert sign == ","
    else:
        assert found.value == value
        assert Fraction(found.text) == value


@given(st.text(max_size=30), st.booleans())
def test_no_text_makes_reading_raise(text: str, comma: bool) -> None:
    for found in (read_number(text, comma=comma), read_measured(text, comma=comma)):
        if isinstance(found, Complaint):
            assert str(found.says)
            assert 0 <= found.at <= len(text)


MEASURED = [
    # text, value in g, mL, s, months, drops, parts or as a share, tidied, what follows
    ("5%", Fraction(1, 20), "5 %", ""),
    ("5 percent", Fraction(1, 20), "5 %", ""),
    ("0,2g", Fraction(1, 5), "0.2 g", ""),
    ("0.2 L", Fraction(200), "0.2 L", ""),
    ("1 kg", Fraction(1000), "1 kg", ""),
    ("250 mg", Fraction(1, 4), "250 mg", ""),
    ("250 mcg", Fraction(1, 4000), "250 µg", ""),
    ("250 µg", Fraction(1, 4000), "250 µg", ""),
    ("250 μg", Fraction(1, 4000), "250 µg", ""),
    ("50 µL", Fraction(1, 20), "50 µL", ""),
    ("5 ml", Fraction(5), "5 mL", ""),
    ("5 Millilitres", Fraction(5), "5 mL", ""),
    ("2 gtt.", Fraction(2), "2 drops", ""),
    ("1 drops", Fraction(1), "1 drop", ""),
    ("1 part", Fraction(1), "1 part", ""),
    ("2.5 Parts", Fraction(5, 2), "2.5 parts", ""),
    ("2 weeks", Fraction(1209600), "2 weeks", ""),
    ("1 year", Fraction(12), "1 year", ""),
    ("90 min", Fraction(5400), "90 min", ""),
    ("2 drops (0.05 g)", Fraction(2), "2 drops", "(0.05 g)"),
    ("0.1 % w/v", Fraction(1, 1000), "0.1 %", "w/v"),
]


@pytest.mark.parametrize(("text", "value", "tidied", "rest"), MEASURED)
def test_sloppy_but_clear_writing_is_read(text: str, value: Fraction, tidied: str, rest: str) -> None:
    found = read_measured(text)
    assert isinstance(found, Measured)
    assert (found.value, found.text, found.rest) == (value, tidied, rest)
    assert text[found.at_rest :] == rest


@pytest.mark.parametrize("name", sorted(REFUSED_UNITS))
def test_a_refused_unit_says_what_to_write(name: str) -> None:
    assert find_unit(name) is None
    found = read_measured(f"5 {name}")
    assert isinstance(found, Complaint)
    assert found.rule == "refused-unit"
    assert found.at == 2
    assert refused_unit(f"{name}s")


def test_symbols_keep_their_case() -> None:
    for name in ("Mg", "MG", "M", "mG", "KL", "C", "T"):
        assert find_unit(name) is None


def test_factors_are_what_pint_says_with_its_own_definitions() -> None:
    registry = pint.UnitRegistry(non_int_type=Fraction)
    for unit in set(UNITS.values()):
        if unit.pint_name:
            ours = Fraction(unit.factor)
            theirs = registry.Quantity(Fraction(1), unit.pint_name).to(BASES[unit.dimension]).magnitude
            assert ours == Fraction(theirs), unit
    for dimension, base in BASES.items():
        assert any(unit.dimension is dimension and unit.factor == 1 for unit in UNITS.values()), base


@given(st.sampled_from(sorted(UNITS)), st.integers(1, 10**6))
def test_conversion_is_exact_and_proportional(name: str, count: int) -> None:
    unit = UNITS[name]
    found = read_measured(f"{count} {name}")
    assert isinstance(found, Measured)
    assert found.value == count * unit.factor
    assert found.value / unit.factor == count
    assert unit.dimension is not Dimension.PERCENT or unit.factor == Fraction(1, 100)
