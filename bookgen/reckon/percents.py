"""Ways of writing a strength, turned into each other: a share as `1 in n` and ppm; w/w, w/v and v/v by density.

A strength is a share: 1 is the whole, 1/20 is 5 %.  Of w/v it is the grams in 1 mL.  Densities are in g/mL and above 0.
Everything is exact, and nothing here is rounded.  What is written as `1 in n` or `1 + n` becomes a share where it is
read; hydrates and salts are turned in `substances`.
"""

from __future__ import annotations

from ..fraction import Fraction

MILLION = 1_000_000
"""Parts in the whole, for parts per million."""


# ── Ratios ────────────────────────────────────────────────────────────────────────────────────────────────────────


def whole_of_one(share: Fraction) -> Fraction:
    """Return the n of `1 in n` for a share above 0: 1 ÷ share.

    One part in n parts of the finished preparation, so that 0.05 % is 1 in 2000.  `1 + n` is one part and n parts of
    the diluent: 1 + 39 is 1 in 40, or 2.5 %; strictly by volume the parts need not add up, by weight they always do.
    `1:2000` is read in the first way by most books and in the second by some; it is refused, and both readings are
    named.

    Source: teaching page "Percentage calculation formula" (T02-01, T02-04, and T02-02, whose last line is misprinted as
    1:1000); University of Kent, converting strengths (T02-07, T02-08); for `1 + n` common practice, no source, T11-04
    (concentrated waters, 1 + 39), T02-29.

    >>> whole_of_one(Fraction("0.005"))
    Fraction(200, 1)
    """
    return 1 / share


def parts_per_million(share: Fraction) -> Fraction:
    """Return the parts per million of a share: share × 1,000,000.

    By weight milligrams in a kilogram; of w/v micrograms in a millilitre.  Bare ppm is read by weight.

    Source: teaching page "Percentage calculation formula" (T02-03); University of Kent, converting strengths (T02-09).

    >>> parts_per_million(Fraction("0.000005"))
    Fraction(5, 1)
    """
    return share * MILLION


# ── By weight and by volume ───────────────────────────────────────────────────────────────────────────────────────


def by_volume_of_solution(by_weight: Fraction, density: Fraction) -> Fraction:
    """Return w/v from w/w: strength × density of the solution.

    100 mL of a solution weigh 100 × density, so 10 % w/w at 1.0707 g/mL is 10.707 % w/v.  What a product carries is
    given in this way too, where its density is written.

    Source: own arithmetic (T02-33).

    >>> by_volume_of_solution(Fraction("0.10"), Fraction("1.0707"))
    Fraction(10707, 100000)
    """
    return by_weight * density


def by_weight_of_solution(by_volume: Fraction, density: Fraction) -> Fraction:
    """Return w/w from w/v: strength ÷ density of the solution.

    What is left of an ingredient (`left:`) is turned in this way where it is written as % w/v.

    Source: own arithmetic (T02-33 turned round).

    >>> by_weight_of_solution(Fraction("0.10707"), Fraction("1.0707"))
    Fraction(1, 10)
    """
    return by_volume / density


def by_weight_of_liquids(volume_share: Fraction, liquid_density: Fraction, density: Fraction) -> Fraction:
    """Return w/w from v/v: strength × density of the dissolved liquid ÷ density of the mixture.

    Both at one temperature.  What is left of an ingredient is turned in this way where it is written as % v/v.  For
    ethanol the density of the mixture is not known beforehand; there the alcohol tables are used.

    Source: own arithmetic; OIML R 22 (1975) defines % vol and % mass of alcohol in this way.

    >>> by_weight_of_liquids(Fraction("0.5"), Fraction("0.8"), Fraction("0.9"))
    Fraction(4, 9)
    """
    return volume_share * liquid_density / density
