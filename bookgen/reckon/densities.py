"""Densities with their temperature: water by formula, and specific gravity as grams per millilitre.

1 mL is not 1 g: of water at 20 °C it is 0.998 g, of alcohol 96 % vol 0.807 g.  Densities are in g/mL and exact,
temperatures in degrees Celsius.
"""

from __future__ import annotations

from functools import lru_cache

from ..fraction import Fraction
from ..model import Density, Formula, Known, Material
from ..reference import water_formula
from .measure import half_up

TWENTY = Fraction(20)
"""Degrees Celsius at which strengths by volume and densities are given in Europe (OIML R 22; Ph. Eur. 2.2.5)."""
MOST_PLACES = 15
"""Decimals of a temperature in a sentence at most, as many as one can be typed with."""
SHOWN_DIGIT = Fraction(1, 10**7)
"""g/mL: the last digit of water's density that the formula vouches for."""


@lru_cache(maxsize=256)
def water(at_c: Fraction) -> Fraction:
    """Return the density of water in g/mL at a temperature of 0 to 40 °C.

    Density = a5 × (1 − (t + a1)² × (t + a2) ÷ (a3 × (t + a4))), with t in °C: the formula recommended for air-free
    water under normal pressure, rounded to seven decimals; its own uncertainty is about one unit in the sixth. Purified
    water of the bench is this water to all digits that a balance shows.  An older formula (Kell, 1975) is 0.000003 g/mL
    lower at 20 °C; a copy of it with two digits changed round is in circulation and gives 0.9979 g/mL (T05-10), so that
    it is not used here.

    Raises ValueError with a sentence outside 0 to 40 °C.

    Source: Tanaka and others, Metrologia 38 (2001) 301-309, the formula of the CIPM; its five constants from memory,
    checked against IAPWS-95 (T05-01 to T05-07) and a measurement at 16 °C (T05-11).

    >>> water(Fraction(20))
    Fraction(9982067, 10000000)
    """
    return half_up(water_by_formula(at_c), SHOWN_DIGIT)


def water_by_formula(at_c: Fraction) -> Fraction:
    """Return the density of water in g/mL as the formula gives it, exactly.

    Density = a5 × (1 − (t + a1)² × (t + a2) ÷ (a3 × (t + a4))), in kg/m³, with t in °C.

    Source: as `water`.
    """
    published = water_formula()
    if not published.lowest_c <= at_c <= published.highest_c:
        raise ValueError(
            f"The density of water is known from {published.lowest_c} to {published.highest_c} °C, "
            f"not at {plain_c(at_c)} °C."
        )
    a1, a2, a3, a4, a5 = (published.numbers[name][0] for name in ("a1", "a2", "a3", "a4", "a5"))
    return a5 * (1 - (at_c + a1) ** 2 * (at_c + a2) / (a3 * (at_c + a4))) / 1000


def from_specific_gravity(relative: Fraction, water_at_c: Fraction) -> Fraction:
    """Return the density in g/mL that a specific gravity (relative density) stands for.

    A specific gravity of 25/25 °C compares equal volumes of the liquid and of water, both at 25 °C: it is multiplied by
    the density of water at that temperature, and the result is the liquid's density at the first of the two
    temperatures.  1.036 at 25/25 °C is 1.0329 g/mL.  Pharmacopoeias of the USA give specific gravity at 25/25 °C, the
    European one relative density at 20/20 °C; older tables at 15/15 or 15.56/15.56 °C.  Read as g/mL they are 0.2 to
    0.3 % too high.

    Source: USP general chapter <841>, Specific Gravity (T05-45 to T05-50); the product is own arithmetic.

    >>> from_specific_gravity(Fraction("1.036"), Fraction(25))
    Fraction(258235173, 250000000)
    """
    return relative * water(water_at_c)


def grams_per_ml(density: Density) -> Fraction:
    """Return a written density in g/mL: as it stands, or a specific gravity times the density of its water.

    A density holds at its own temperature; oils and spirits lose some 0.1 % of it for each degree, which the book does
    not correct: weighing needs no temperature.

    Source: own arithmetic; specific gravity as in `from_specific_gravity`.

    >>> grams_per_ml(Density(number=Fraction("1.26"), at_c=Fraction(20), text="1.26 g/mL at 20 °C"))
    Fraction(63, 50)
    """
    if density.relative_to_c is None:
        return density.number
    return from_specific_gravity(density.number, density.relative_to_c)


def density_of(item: Material | Formula) -> Fraction | None:
    """Return the density in g/mL with which a material or a formula is reckoned; None where it is not known.

    The one that is written.  A material that is nothing but water (`water: 100 %`) and states none has the density of
    water at 20 °C, 0.9982 g/mL.  Nothing else is supplied: 1 mL is never taken as 1 g.

    Source: the material's or formula's own file; water as in `water`.
    """
    if item.density is not None:
        return grams_per_ml(item.density)
    return water(TWENTY) if takes_water(item) else None


def takes_water(item: Material | Formula) -> bool:
    """Return whether the density of pure water is taken, because nothing but water is written and no density."""
    return isinstance(item, Material) and item.density is None and is_water(item)


def is_water(material: Material) -> bool:
    """Return whether a material is nothing but water, by what it says itself (`water: 100 %`)."""
    return material.water is not None and material.water.share == 1


def given_at(item: Material | Formula) -> Fraction | None:
    """Return the temperature in °C for which the density of an item holds; None where none is written."""
    if item.density is not None:
        return item.density.at_c
    return TWENTY if takes_water(item) else None


def misleading_ml(grams: Known, ml: Known | None, accepted_error: Fraction) -> Fraction | None:
    """Return what 1 mL weighs, in grams, where 1 g weighed for each mL would miss by more than the accepted error.

    It is printed beside the weight then; not where mL and g may be taken for each other within that error, nor where
    one of the two is not known.

    Source: own arithmetic; which error is accepted: the line's own, else the workroom's.

    >>> misleading_ml(Fraction("40.35"), Fraction(50), Fraction("0.05"))
    Fraction(807, 1000)
    >>> misleading_ml(Fraction("49.91"), Fraction(50), Fraction("0.05")) is None
    True
    """
    if not isinstance(ml, Fraction) or not isinstance(grams, Fraction) or not grams or not ml:
        return None
    return grams / ml if abs(ml - grams) > accepted_error * grams else None


def plain_c(number: Fraction) -> str:
    """Return a temperature in digits for a sentence: as it was typed, lest 40.001 °C be said to be beyond 40 °C."""
    places = next((more for more in range(MOST_PLACES) if (number * 10**more).denominator == 1), MOST_PLACES)
    units = half_up(abs(number), Fraction(1, 10**places)) * 10**places
    whole, rest = divmod(int(units), 10**places)
    sign = "−" if number < 0 else ""
    return f"{sign}{whole}.{rest:0{places}}" if places else f"{sign}{whole}"
