"""Ethanol and water: density, % by mass and % by volume, and the contraction when they are mixed.

Strength by volume (`96 %vol`) is always that at 20 °C unless another temperature is said.  Shares are 1 for the whole,
densities in g/mL, temperatures in degrees Celsius from −20 to 40; everything is exact.  Whether a mixture is still
liquid at a low temperature is not asked: the formula is published down to the freezing point of each.
"""

from __future__ import annotations

from functools import cache, lru_cache
from math import lcm

from ..fraction import Fraction
from ..reference import ethanol_water_formula
from .densities import TWENTY
from .known import ONE, ZERO

DECIMALS = 10**12
"""A strength by mass found from one by volume is rounded to twelve decimals; nothing at the bench sees the tenth."""


def density(mass_share: Fraction, at_c: Fraction = TWENTY) -> Fraction:
    """Return the density in g/mL of a mixture of ethanol and water.

    By the formula of the international alcohol tables, with p the share of ethanol by mass and t the temperature: A1,
    plus A2 to A12 times p to p¹¹, plus B1 to B6 times (t − 20) to (t − 20)⁶, plus the C series times pᵏ (t − 20)ⁱ.  Its
    water is 0.000005 g/mL lighter at 20 °C than the newer formula for water.  Older tables (USP, NBS) are 0.00005 to
    0.00007 g/mL higher in the middle; the newer legal formula is used.

    Raises ValueError with a sentence for a share outside 0 to 1 or a temperature outside −20 to 40 °C.

    Source: OIML R 22 (1975) and Council Directive 76/766/EEC, Annex, section 4: 12 + 6 + 36 coefficients.

    >>> round(density(Fraction("0.5")) * 1000, 3)
    Fraction(913771, 1000)
    """
    _within(mass_share, "by mass")
    numerators, common = _at(at_c)
    n, d = mass_share.numerator, mass_share.denominator
    return Fraction(_whole(numerators, n, d), common * d ** (len(numerators) - 1))


def volume_share(mass_share: Fraction, at_c: Fraction = TWENTY) -> Fraction:
    """Return the strength by volume (0.96 for 96 % vol) of a mixture of so much ethanol by mass.

    The volume that the ethanol would fill alone, as a share of the volume of the mixture, both at one temperature:
    share by mass × density of the mixture ÷ density of pure ethanol.  The temperature is 20 °C in Europe, 15.56 °C in
    tables of the USA and 15 °C in old French ones, so a strength by volume needs its temperature.

    Source: OIML R 22 (1975), definitions; Council Directive 76/766/EEC, Annex, section 1.

    >>> round(volume_share(Fraction("0.5")), 6)
    Fraction(578893, 1000000)
    """
    return mass_share * density(mass_share, at_c) / density(ONE, at_c)


@lru_cache(maxsize=4096)
def mass_share(volume_share: Fraction, at_c: Fraction = TWENTY) -> Fraction:
    """Return the strength by mass of a mixture of so much ethanol by volume: 96 % vol is 93.84 % by mass.

    The rule for strength by volume turned round, by halving the interval until twelve decimals stand; the result rises
    with the strength, nothing gives nothing and pure gives pure.

    Raises ValueError with a sentence for a share outside 0 to 1.

    Source: as for strength by volume; the search is own arithmetic.

    >>> round(mass_share(Fraction("0.96")), 6), round(mass_share(Fraction("0.7")), 6)
    (Fraction(58649, 62500), Fraction(623861, 1000000))
    """
    _within(volume_share, "by volume")
    numerators, _ = _at(at_c)
    # In whole numbers: p = n ÷ 2·10¹², so that odd n are the midpoints between two results; the wanted result is the
    # one whose midpoint above is the first to reach the strength.
    double = 2 * DECIMALS
    degree = len(numerators) - 1
    pure = sum(numerators)
    wanted = volume_share.numerator * pure * double ** (degree + 1)
    low, high = 0, DECIMALS
    while low < high:
        middle = (low + high) // 2
        n = 2 * middle + 1
        if n * _whole(numerators, n, double) * volume_share.denominator > wanted:
            high = middle
        else:
            low = middle + 1
    return Fraction(low, DECIMALS)


def volume_ml(grams: Fraction, mass_share: Fraction, at_c: Fraction = TWENTY) -> Fraction:
    """Return the millilitres that so many grams of a mixture fill at a temperature: grams ÷ density.

    Source: own arithmetic on `density`.

    >>> round(volume_ml(Fraction(100), mass_share(Fraction("0.96"))), 2)
    Fraction(2477, 20)
    """
    return grams / density(mass_share, at_c)


def mixed_share(strong_g: Fraction, strong_mass_share: Fraction, water_g: Fraction) -> Fraction:
    """Return the strength by mass after water has been added: the ethanol in it ÷ the grams of both.

    Grams add up exactly, so a mixture is weighed; only millilitres do not.  The two together are above 0 g.

    Source: own arithmetic.

    >>> mixed_share(Fraction(60), Fraction("0.9"), Fraction(40))
    Fraction(27, 50)
    """
    return strong_g * strong_mass_share / (strong_g + water_g)


def contraction_ml(
    strong_g: Fraction, strong_mass_share: Fraction, water_g: Fraction, at_c: Fraction = TWENTY
) -> Fraction:
    """Return by how many millilitres alcohol and water shrink when they are mixed; never negative.

    The volumes of both before less the volume of the mixture, all at one temperature.  50 mL of ethanol and 50 mL of
    water make 96.5 mL.  Weak spirit does the contrary: watered from 55 % by mass (63 % vol) or less it may grow a
    little (at most 0.16 mL in 100 g at 20 °C); the contraction is then 0, and the growth is said instead.  No rule
    by volume corrects for either; weighing needs no correction.

    Source: own arithmetic on OIML R 22; T05-20, T05-23.

    >>> round(contraction_ml(Fraction("80.742"), mass_share(Fraction("0.96")), Fraction("40.706")), 2)
    Fraction(91, 25)
    """
    return max(ZERO, _lost_ml(strong_g, strong_mass_share, water_g, at_c))


def expansion_ml(
    strong_g: Fraction, strong_mass_share: Fraction, water_g: Fraction, at_c: Fraction = TWENTY
) -> Fraction:
    """Return by how many millilitres weak spirit and water grow when they are mixed; 0 where they shrink.

    Source: own arithmetic on OIML R 22.

    >>> round(expansion_ml(Fraction(30), Fraction("0.24"), Fraction(70)), 2)
    Fraction(3, 20)
    """
    return max(ZERO, -_lost_ml(strong_g, strong_mass_share, water_g, at_c))


def _lost_ml(strong_g: Fraction, strong_mass_share: Fraction, water_g: Fraction, at_c: Fraction) -> Fraction:
    """Return the volumes before less the volume after."""
    if strong_g + water_g == 0:
        return ZERO
    before = volume_ml(strong_g, strong_mass_share, at_c) + volume_ml(water_g, ZERO, at_c)
    share = mixed_share(strong_g, strong_mass_share, water_g)
    return before - volume_ml(strong_g + water_g, share, at_c)


def reach() -> tuple[Fraction, Fraction]:
    """Return the lowest and the highest temperature of the alcohol tables, in °C."""
    published = ethanol_water_formula()
    return published.lowest_c, published.highest_c


def _within(share: Fraction, by: str) -> None:
    if not 0 <= share <= 1:
        raise ValueError(f"A strength {by} is between 0 and 100 %.")


def _whole(numerators: tuple[int, ...], n: int, d: int) -> int:
    """Return Σ numerator_k × n^k × d^(degree − k): the polynomial at n ÷ d, over d to its degree, in whole numbers."""
    total = numerators[-1]
    scale = 1
    for numerator in reversed(numerators[:-1]):
        scale *= d
        total = total * n + numerator * scale
    return total


@lru_cache(maxsize=256)
def _at(at_c: Fraction) -> tuple[tuple[int, ...], int]:
    """Return the formula at one temperature as a polynomial in the share by mass: whole numerators, one denominator.

    In g/mL: the denominator holds the step from kg/m³.
    """
    lowest, highest = reach()
    if not lowest <= at_c <= highest:
        raise ValueError(f"no alcohol table from {lowest} to {highest} °C reaches to {at_c} °C")
    columns, common = _columns()
    above = at_c - TWENTY
    n, d = above.numerator, above.denominator
    degree = len(columns[0]) - 1
    return tuple(_whole(column, n, d) for column in columns), common * d**degree * 1000


@cache
def _columns() -> tuple[tuple[tuple[int, ...], ...], int]:
    """Return the formula's numbers by power of the share, then by power of (t − 20), as whole numerators of one
    denominator; what the table leaves empty is 0."""
    series = ethanol_water_formula().numbers
    first = (series["A"][0], *series["B"])
    others = [[factor] + [ZERO] * (len(first) - 1) for factor in series["A"][1:]]
    for power in range(1, 6):
        for column, factor in zip(others, series[f"C{power}"], strict=False):
            column[power] = factor
    columns = (first, *others)
    common = lcm(*(factor.denominator for column in columns for factor in column))
    return tuple(tuple(int(factor * common) for factor in column) for column in columns), common
