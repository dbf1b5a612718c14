"""Reading never turns one written number into another: it reads what the digits mean, or refuses.

The oracle knows nothing of the reader: a writer picks an exact value and one of the ways in which people write it,
sure ones and doubtful ones.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen import model
from bookgen.source.acidity import read_acidity
from bookgen.source.amounts import read_amount, read_evaporates, read_left, read_percent, read_quantity
from bookgen.source.densities import read_density
from bookgen.source.ingredients import temperature_in
from bookgen.source.values import (
    read_capacity,
    read_dropper,
    read_makes,
    read_share,
    read_share_or_none,
    read_weighing,
)
from bookgen.units import Complaint

SPACES = ["", " ", "  ", "\t", "\u00a0", "\u2009", "\u202f", "\u3000", "\u200b", "\u00ad"]
GROUPS = ["", "", "", " ", "\u00a0", "\u2009", "\u202f", "'", "’", ".", ",", "_"]
SIGNS = [".", ".", ",", ",", "·", "٫", "，", "．"]
DIGITS = ["0123456789", "0123456789", "0123456789", "０１２３４５６７８９", "٠١٢٣٤٥٦٧٨٩", "⁰¹²³⁴⁵⁶⁷⁸⁹"]
BEFORE = ["", "", "", "", "-", "−", "–", "+", "~", "ca. ", "about ", "<", "≤ ", "max "]
UNITS: dict[str, tuple[str, Fraction | int]] = {
    "g": ("grams", 1), "mg": ("grams", Fraction(1, 1000)), "kg": ("grams", 1000), "µg": ("grams", Fraction(1, 10**6)),
    "g.": ("grams", 1), "mL": ("ml", 1), "ml": ("ml", 1), "L": ("ml", 1000), "%": ("share", Fraction(1, 100)),
    "% w/w": ("share", Fraction(1, 100)), "%(w/v)": ("share", Fraction(1, 100)), "parts": ("parts", 1),
    "drops": ("count", 1), "gtt.": ("count", 1),
}  # fmt: skip


@st.composite
def written(draw: st.DrawFn) -> tuple[str, set[Fraction]]:
    """Return a number as somebody might write it, and every value that a reader may take it for."""
    whole, places = draw(st.integers(0, 10**7)), draw(st.integers(0, 4))
    decimals = str(draw(st.integers(0, 10**places - 1))).rjust(places, "0") if places else ""
    group, sign = draw(st.sampled_from(GROUPS)), draw(st.sampled_from(SIGNS))
    digits = f"{whole:,}".replace(",", group)
    value = Fraction(int(f"{whole}{decimals}"), 10**places)
    text = f"{digits}{sign}{decimals}" if places else digits
    text = text.translate(dict(zip(map(ord, "0123456789"), draw(st.sampled_from(DIGITS)), strict=True)))
    before = draw(st.sampled_from(BEFORE))
    meant = {value} if before[:1] not in {"-", "−", "–"} else set()
    if not places and group in {".", ","} and 1000 <= whole < 10**6:
        meant = {Fraction(whole, 1000)} if meant else meant  # a decimal in a book with that sign, refused in the other
    return before + text, meant


@settings(deadline=None, max_examples=1500)
@given(written(), st.sampled_from(SPACES), st.sampled_from(sorted(UNITS)), st.booleans())
def test_an_amount_is_what_its_digits_mean_or_refused(
    number: tuple[str, set[Fraction]], space: str, unit: str, comma: bool
) -> None:
    text, meant = number
    found = read_amount(f"{text}{space}{unit}", comma)
    if isinstance(found, Complaint):
        assert str(found.says).endswith((".", "?"))
        return
    field, factor = UNITS[unit]
    assert getattr(found, field) in {value * factor for value in meant}


@settings(deadline=None, max_examples=800)
@given(written(), st.sampled_from(SPACES), st.booleans())
def test_other_values_are_what_their_digits_mean_or_refused(
    number: tuple[str, set[Fraction]], space: str, comma: bool
) -> None:
    text, meant = number
    shares = {value / 100 for value in meant}
    readings: list[tuple[Any, str, set[Fraction]]] = [
        (read_amount(f"to {text}{space}g", comma), "to.value", meant),
        (read_amount(f"q.s. ad {text}{space}mL", comma), "to.value", meant),
        (read_amount(f"q.s. to pH 5 (about {text}{space}g)", comma), "about.grams", meant),
        (read_amount(f"2 drops ({text}{space}g)", comma), "grams", meant),
        (read_quantity(f"{text}{space}g", comma), "value", meant),
        (read_percent(f"{text}{space}%", comma), "share", shares),
        (read_left(f"at most {text}{space}%", comma), "percent.share", shares),
        (read_evaporates(f"{text}{space}g", comma), "grams", meant),
        (read_makes(f"{text}{space}g", comma), "quantity.value", meant),
        (read_density(f"{text}{space}g/mL", comma), "number", meant),
        (read_weighing(f"20 drops {text}{space}g", comma), "grams", meant),
        (read_dropper("glass", f"{text}{space}g", comma), "stated_g", meant),
        (read_acidity(text, comma), "low.value", meant),
    ]
    for found, path, allowed in readings:
        if isinstance(found, Complaint) or (path == "quantity.value" and found.about):
            continue
        value = found
        for name in path.split("."):
            value = getattr(value, name)
        assert value in allowed, path
    capacity = read_capacity(f"{text}{space}g", comma)
    assert isinstance(capacity, Complaint) or capacity in meant


@given(st.integers(0, 300), st.sampled_from(["-", "−", "–", " - ", " – ", " to ", " -", "°C-", " °C – "]))
def test_a_range_of_temperatures_ends_at_its_last_figure(low: int, between: str) -> None:
    assert temperature_in(f"warm to {low}{between}{low + 5} °C") == low + 5


@given(st.integers(1, 60), st.sampled_from("-−–"))
def test_a_sign_before_a_temperature_counts(degrees: int, sign: str) -> None:
    assert temperature_in(f"cool to {sign}{degrees} °C") == -degrees


def test_a_share_by_volume_is_never_one_by_weight() -> None:
    found = read_percent("96 % vol", False)
    assert isinstance(found, model.Percent)
    assert found.basis is model.Basis.VV
    for read in (read_share, read_share_or_none):
        assert isinstance(read("96 % vol", False), Complaint)
        assert isinstance(read("5 % w/v", False), Complaint)
