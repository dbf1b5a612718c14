"""Densities as they are written: grams per millilitre, and specific gravity with its two temperatures."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bookgen.model import Density
from bookgen.reckon.densities import grams_per_ml
from bookgen.source.densities import read_density
from bookgen.units import Complaint


@pytest.mark.parametrize(
    ("text", "number", "at_c", "relative_to_c", "shown"),
    [
        ("0.95", "0.95", None, None, "0.95 g/mL"),
        ("1.26 g/mL at 20 °C", "1.26", "20", None, "1.26 g/mL at 20 °C"),
        ("1.036 at 25/25 °C", "1.036", "25", "25", "1.036 at 25/25 °C"),
        ("1.036 at 25 °C / 25 °C", "1.036", "25", "25", "1.036 at 25/25 °C"),
        ("0.8164 at 15.56/15.56 °C", "0.8164", "15.56", "15.56", "0.8164 at 15.56/15.56 °C"),
        ("1.26 at 20/4 °C", "1.26", "20", "4", "1.26 at 20/4 °C"),
    ],
)
def test_a_density_is_kept_as_written(
    text: str, number: str, at_c: str | None, relative_to_c: str | None, shown: str
) -> None:
    assert read_density(text, comma=False) == Density(
        number=Fraction(number),
        at_c=None if at_c is None else Fraction(at_c),
        relative_to_c=None if relative_to_c is None else Fraction(relative_to_c),
        text=shown,
    )


@pytest.mark.parametrize("water", ["0", "40"])
def test_the_water_of_a_specific_gravity_may_be_at_either_end_of_what_is_known(water: str) -> None:
    found = read_density(f"1.036 at 25/{water} °C", comma=False)
    assert isinstance(found, Density)
    assert found.relative_to_c == int(water)


def test_a_comma_book_writes_it_with_commas() -> None:
    found = read_density("0,8164 at 15,5/15,5 °C", comma=True)
    assert isinstance(found, Density)
    assert (found.number, found.relative_to_c) == (Fraction("0.8164"), Fraction("15.5"))


@pytest.mark.parametrize(
    ("text", "rule", "words"),
    [
        ("1.036 at 25/50 °C", "impossible-value", "known from 0 to 40 °C, not at 50 °C: write the density in g/mL."),
        ("1.036 g/mL at 25/25 °C", "unreadable-value", "A specific gravity has no unit: write 1.036 at 25/25 °C, or"),
        ("1.036 at 25/x °C", "unreadable-number", "x"),
        ("1.036 at 25/25", "unreadable-value", "is not understood"),
        ("0.812 (20/20)", "unreadable-value", "a specific gravity as in 1.036 at 25/25 °C."),
        ("0.812 please", "unreadable-value", "write it as in 1.26 g/mL at 20 °C."),
        ("99 at 25/25 °C", "impossible-value", "impossible"),
        ("23.1 g/mL", "impossible-value", "impossible"),
        ("0.009 g/mL", "impossible-value", "impossible"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(text: str, rule: str, words: str) -> None:
    found = read_density(text, comma=False)
    assert isinstance(found, Complaint)
    assert words in str(found.says)
    assert found.rule == rule
    assert str(found.says).endswith(".")


def test_one_function_gives_grams_per_millilitre() -> None:
    gravity, plain = (read_density(text, comma=False) for text in ("1.036 at 25/25 °C", "1.036 g/mL at 25 °C"))
    assert isinstance(gravity, Density)
    assert isinstance(plain, Density)
    assert grams_per_ml(gravity) == Fraction("1.036") * Fraction("0.9970470")
    assert grams_per_ml(plain) == Fraction("1.036")
