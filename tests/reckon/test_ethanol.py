"""Alcohol and water: the formula's numbers as the source prints them, and what holds of every mixture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookgen.reckon import densities, ethanol
from bookgen.reckon.densities import plain_c, water, water_by_formula
from bookgen.reckon.ethanol import (
    contraction_ml,
    density,
    expansion_ml,
    mass_share,
    mixed_share,
    volume_ml,
    volume_share,
)
from bookgen.reference import PublishedFormula, ethanol_water_formula, water_formula

PRINTED = {
    "A": "998.2012300 -192.9769495 389.1238958 -1668.103923 13522.15441 -88292.78388 306287.4042 -613838.1234 "
    "747017.2998 -547846.1354 223446.0334 -39032.85426",
    "B": "-0.20618513 -0.0052682542 0.000036130013 -0.00000038957702 0.0000000071693540 -0.000000000099739231",
    "C1": "0.1693443461530087 -10.46914743455169 71.96353469546523 -704.7478054272792 3924.090430035045 "
    "-12101.64659068747 22486.46550400788 -26055.62982188164 18523.73922069467 -7420.201433430137 1285.617841998974",
    "C2": "-0.01193013005057010 0.2517399633803461 -2.170575700536993 13.53034988843029 -50.29988758547014 "
    "109.6355666577570 -142.2753946421155 108.0435942856230 -44.14153236817392 7.442971530188783",
    "C3": "-0.0006802995733503803 0.01876837790289664 -0.2002561813734156 1.022992966719220 -2.895696483903638 "
    "4.810060584300675 -4.672147440794683 2.458043105903461 -0.5411227621436812",
    "C4": "0.000004075376675622027 -0.000008763058573471110 0.000006515031360099368 -0.000001515784836987210",
    "C5": "-0.00000002788074354782409 0.00000001345612883493354",
}
"""OIML R 22 (1975), page 13, written out a second time, to hold the first to."""
WATER = {"a1": "-3.983035", "a2": "301.797", "a3": "522528.9", "a4": "69.34881", "a5": "999.974950"}
"""Metrologia 38 (2001) 301: from memory, as in several independent programs."""

Series = dict[str, list[Fraction]]
SERIES: Series = {name: [Fraction(one) for one in numbers.split()] for name, numbers in PRINTED.items()}
NUMBERS = [(name, index) for name, numbers in SERIES.items() for index in range(len(numbers))]

shares = st.integers(0, 10**6).map(lambda one: Fraction(one, 10**6))
degrees = st.integers(-2000, 4000).map(lambda one: Fraction(one, 100))
grams = st.integers(0, 10**6).map(lambda one: Fraction(one, 100))


def by_the_text(series: Series, p: Fraction, t: Fraction) -> Fraction:
    """Return the density in g/mL as the text of the formula has it, term by term."""
    above = t - 20
    total = series["A"][0]
    total += sum(series["A"][k - 1] * p ** (k - 1) for k in range(2, 13))
    total += sum(series["B"][k - 1] * above**k for k in range(1, 7))
    for i, terms in enumerate((11, 10, 9, 4, 2), start=1):
        total += sum(series[f"C{i}"][k - 1] * p**k * above**i for k in range(1, terms + 1))
    return total / 1000


@pytest.fixture
def fresh() -> Iterator[None]:
    """Forget what was reckoned with other numbers, before and after."""

    def forget() -> None:
        for kept in (ethanol._at, ethanol._columns, ethanol.mass_share, densities.water):
            kept.cache_clear()

    forget()
    yield
    forget()


# ── The numbers ───────────────────────────────────────────────────────────────────────────────────────────────────


def test_the_54_coefficients_are_those_printed() -> None:
    assert [len(numbers) for numbers in SERIES.values()] == [12, 6, 11, 10, 9, 4, 2]
    assert {name: list(numbers) for name, numbers in ethanol_water_formula().numbers.items()} == SERIES


def test_the_constants_of_water_are_those_printed() -> None:
    assert {name: str(number) for name, number in WATER.items()}.keys() == water_formula().numbers.keys()
    assert water_formula().numbers == {name: (Fraction(number),) for name, number in WATER.items()}


def test_the_formulas_hold_where_they_are_published() -> None:
    spirit, pure = ethanol_water_formula(), water_formula()
    assert (spirit.lowest_c, spirit.highest_c) == (-20, 40)
    assert (pure.lowest_c, pure.highest_c) == (0, 40)


@pytest.mark.parametrize(("name", "index"), NUMBERS)
def test_every_coefficient_counts(name: str, index: int, fresh: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """A millionth more of any one of them is another density, and just the one that the text then gives."""
    changed = {one: list(numbers) for one, numbers in SERIES.items()}
    changed[name][index] *= 1 + Fraction(1, 10**6)
    published = replace(ethanol_water_formula(), numbers={one: tuple(numbers) for one, numbers in changed.items()})
    monkeypatch.setattr(ethanol, "ethanol_water_formula", lambda: published)
    p, t = Fraction("0.37"), Fraction("-7.5")
    assert density(p, t) == by_the_text(changed, p, t) != by_the_text(SERIES, p, t)


@pytest.mark.parametrize("name", WATER)
def test_every_constant_of_water_counts(name: str, fresh: None, monkeypatch: pytest.MonkeyPatch) -> None:
    numbers = {one: (Fraction(number),) for one, number in WATER.items()}
    before = water_by_formula(Fraction(31))
    numbers[name] = (numbers[name][0] * (1 + Fraction(1, 10**6)),)
    published: PublishedFormula = replace(water_formula(), numbers=numbers)
    monkeypatch.setattr(densities, "water_formula", lambda: published)
    a1, a2, a3, a4, a5 = (numbers[one][0] for one in WATER)
    wanted = a5 * (1 - (31 + a1) ** 2 * (31 + a2) / (a3 * (31 + a4))) / 1000
    assert water_by_formula(Fraction(31)) == wanted != before


# ── Density ───────────────────────────────────────────────────────────────────────────────────────────────────────


@given(shares, degrees)
def test_density_is_the_text_of_the_formula(p: Fraction, t: Fraction) -> None:
    assert density(p, t) == by_the_text(SERIES, p, t)


def test_density_falls_as_alcohol_rises() -> None:
    column = [density(Fraction(one, 1000)) for one in range(1001)]
    assert all(heavier > lighter for heavier, lighter in pairwise(column))


@given(st.integers(0, 4000).map(lambda one: Fraction(one, 100)))
def test_the_two_formulas_for_water_agree(t: Fraction) -> None:
    """The older one of the alcohol tables and the newer one for water differ by less than 0.01 g in a litre."""
    assert abs(density(Fraction(0), t) - water_by_formula(t)) < Fraction("0.00001")
    assert abs(water(t) - water_by_formula(t)) <= Fraction(1, 2 * 10**7)


@pytest.mark.parametrize("t", ["-20.01", "40.01"])
def test_outside_the_tables_it_says_from_where_to_where(t: str) -> None:
    with pytest.raises(ValueError, match=r"from -20 to 40 °C"):
        density(Fraction("0.5"), Fraction(t))
    with pytest.raises(ValueError, match=r"known from 0 to 40 °C, not at −?\d\d\.01 °C\."):
        water(Fraction(t))


def test_a_temperature_is_told_as_it_was_typed_with_at_most_15_decimals() -> None:
    """A number of the format has at most 15 digits; what no digits tell, such as a third, is rounded there."""
    for typed in ("40", "40.001", "15.56", "−0.5", "0.000000000000001"):
        assert plain_c(Fraction(typed.replace("−", "-"))) == typed
    assert plain_c(Fraction(2, 3)) == "0.666666666666667"


@pytest.mark.parametrize("share", [Fraction(-1, 100), Fraction(101, 100)])
def test_a_strength_lies_between_nothing_and_pure(share: Fraction) -> None:
    with pytest.raises(ValueError, match="by mass is between 0 and 100 %"):
        density(share)
    with pytest.raises(ValueError, match="by volume is between 0 and 100 %"):
        mass_share(share)


# ── By mass and by volume ─────────────────────────────────────────────────────────────────────────────────────────


@given(shares, st.sampled_from([Fraction(20), Fraction(15), Fraction("15.56")]))
def test_by_volume_and_back(share: Fraction, at_c: Fraction) -> None:
    assert abs(volume_share(mass_share(share, at_c), at_c) - share) < Fraction(1, 10**10)
    assert abs(mass_share(volume_share(share, at_c), at_c) - share) < Fraction(1, 10**10)


def test_nothing_is_nothing_and_pure_is_pure() -> None:
    assert (mass_share(Fraction(0)), mass_share(Fraction(1))) == (0, 1)
    assert (volume_share(Fraction(0)), volume_share(Fraction(1))) == (0, 1)


@given(shares, shares)
def test_stronger_by_volume_is_stronger_by_mass(one: Fraction, other: Fraction) -> None:
    low, high = sorted((one, other))
    assert mass_share(low) <= mass_share(high)
    assert (mass_share(low) < mass_share(high)) == (low < high)
    assert mass_share(low) <= low, "alcohol is lighter than water, so its share by weight is the smaller one"


@given(shares)
def test_a_strength_by_mass_has_twelve_decimals(share: Fraction) -> None:
    found, half = mass_share(share), Fraction(1, 2 * 10**12)
    assert (found * 10**12).denominator == 1
    assert volume_share(max(found - half, Fraction(0))) <= share <= volume_share(min(found + half, Fraction(1)))
    assert mass_share(Fraction("0.96")) == Fraction("0.938383868703")


# ── Mixing ────────────────────────────────────────────────────────────────────────────────────────────────────────


@given(grams, shares, grams, degrees)
def test_contraction_is_never_negative(strong: Fraction, share: Fraction, added: Fraction, t: Fraction) -> None:
    """What shrinks does not grow; and the two together are exactly the volumes before less the volume after."""
    shrinks, grows = contraction_ml(strong, share, added, t), expansion_ml(strong, share, added, t)
    assert shrinks >= 0
    assert grows >= 0
    assert 0 in (shrinks, grows)
    if strong + added:
        before = volume_ml(strong, share, t) + volume_ml(added, Fraction(0), t)
        assert before - volume_ml(strong + added, mixed_share(strong, share, added), t) == shrinks - grows
    else:
        assert shrinks == grows == 0


@given(st.integers(1, 10**6), st.integers(1, 10**6), degrees)
def test_pure_alcohol_and_water_always_shrink(alcohol: int, added: int, t: Fraction) -> None:
    assert contraction_ml(Fraction(alcohol), Fraction(1), Fraction(added), t) > 0


@given(st.integers(5_550, 10_000), st.integers(1, 9_999))
def test_alcohol_above_63_percent_by_volume_never_grows(share: int, added: int) -> None:
    assert expansion_ml(Fraction(10_000 - added), Fraction(share, 10_000), Fraction(added)) == 0


@given(shares, st.integers(0, 1000))
def test_weak_alcohol_grows_by_no_more_than_the_docstring_says(share: Fraction, added: int) -> None:
    assert expansion_ml(Fraction(1000 - added, 10), share, Fraction(added, 10)) <= Fraction("0.16")
    assert expansion_ml(Fraction(30), Fraction("0.24"), Fraction(70)) > Fraction("0.15")


@given(st.integers(1, 10**4), shares, st.integers(0, 10**4), st.integers(2, 50))
def test_contraction_follows_the_batch(strong: int, share: Fraction, added: int, times: int) -> None:
    once = contraction_ml(Fraction(strong), share, Fraction(added))
    assert contraction_ml(Fraction(strong * times), share, Fraction(added * times)) == once * times
