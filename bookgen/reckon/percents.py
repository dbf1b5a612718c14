"""Ways of writing a strength, turned into each other: `1 in n`, `1 + n`, ppm, w/w, w/v, v/v, assay.

A strength is a share: 1 is the whole, 1/20 is 5 %.  Of w/v it is the grams in 1 mL.  Densities are in g/mL and above 0.
Everything is exact, and nothing here is rounded.  Hydrates and salts are turned in `substances`.
"""

from __future__ import annotations

from fractions import Fraction

from .known import ONE, ZERO

MILLION = 1_000_000
"""Parts in the whole, for parts per million."""


# ── Ratios ────────────────────────────────────────────────────────────────────────────────────────────────────────


def one_in(whole: Fraction) -> Fraction:
    """Return the share that `1 in n` stands for: 1 ÷ n.

    One part in n parts of the finished preparation, so that 1 in 2000 is 0.05 %.  `1:2000` is read in this way by most
    books and as 1 + 2000 parts by some; it is refused, and both readings are named.

    Source: teaching page "Percentage calculation formula" (T02-01, T02-04); University of Kent, converting strengths
    (T02-08).

    >>> one_in(Fraction(2000)) * 100
    Fraction(1, 20)
    """
    return 1 / whole


def whole_of_one(share: Fraction) -> Fraction:
    """Return the n of `1 in n` for a share above 0: 1 ÷ share.

    Source: teaching page "Percentage calculation formula" (T02-02, whose last line is misprinted as 1:1000); University
    of Kent, converting strengths (T02-07).

    >>> whole_of_one(Fraction("0.005"))
    Fraction(200, 1)
    """
    return 1 / share


def one_plus(others: Fraction) -> Fraction:
    """Return the share that `1 + n` stands for: 1 ÷ (1 + n).

    One part and n parts of the diluent, so that 1 + 39 is 1 in 40.  Strictly by volume the parts need not add up; by
    weight they always do.

    Source: common practice, no source; T11-04 (concentrated waters, 1 + 39), T02-29.

    >>> one_plus(Fraction(39))
    Fraction(1, 40)
    """
    return 1 / (1 + others)


def parts_per_million(share: Fraction) -> Fraction:
    """Return the parts per million of a share: share × 1,000,000.

    By weight milligrams in a kilogram; of w/v micrograms in a millilitre.  Bare ppm is read by weight.

    Source: teaching page "Percentage calculation formula" (T02-03); University of Kent, converting strengths (T02-09).

    >>> parts_per_million(Fraction("0.000005"))
    Fraction(5, 1)
    """
    return share * MILLION


# ── What is in it ─────────────────────────────────────────────────────────────────────────────────────────────────


def carried(amount: Fraction, share: Fraction) -> Fraction:
    """Return how much of a substance an amount of a strength carries: amount × share.

    Grams in so many grams for w/w, grams in so many millilitres for w/v, millilitres in millilitres for v/v.

    Source: University of Sulaimani, lecture on percentage and ratio strength (T02-10 to T02-12); US Navy Hospital
    Corpsman manual 10669-C (T02-24 to T02-26).

    >>> carried(Fraction(500), one_in(Fraction(2000)))
    Fraction(1, 4)
    """
    return amount * share


def carrying(substance: Fraction, share: Fraction) -> Fraction:
    """Return how much of a strength above 0 carries so much substance: substance ÷ share.

    Source: exercise sheet "Pharmacie galénique, séance 1" (T02-27).

    >>> carrying(Fraction("0.32"), Fraction("0.0125")) * 10
    Fraction(256, 1)
    """
    return substance / share


def strength_in_all(substance: Fraction, whole: Fraction) -> Fraction:
    """Return the strength of a preparation that holds so much substance in all: substance ÷ whole.

    Source: teaching page "Percentage calculation formula" (T02-06: 1.8 g made up to 200 mL is 0.9 % w/v).

    >>> strength_in_all(Fraction("1.8"), Fraction(200)) * 1000
    Fraction(9, 1)
    """
    return substance / whole


def strength_by_weight(substance_g: Fraction, solvent_g: Fraction) -> Fraction:
    """Return the w/w strength when a substance is mixed with a solvent: substance ÷ (substance + solvent), in grams.

    The solvent is not the whole: 1.4 g and 9.0 g make 13.46 %, not the 13.0 % that one set of flash cards prints
    (T02-30).

    Source: exercise sheet "Pharmacie galénique, séance 1" (T02-28); own arithmetic.

    >>> strength_by_weight(Fraction("1.4"), Fraction(9))
    Fraction(7, 52)
    """
    return substance_g / (substance_g + solvent_g)


# ── By weight and by volume ───────────────────────────────────────────────────────────────────────────────────────


def by_volume_of_solution(by_weight: Fraction, density: Fraction) -> Fraction:
    """Return w/v from w/w: strength × density of the solution.

    100 mL of a solution weigh 100 × density, so 10 % w/w at 1.0707 g/mL is 10.707 % w/v.

    Source: own arithmetic (T02-33).

    >>> by_volume_of_solution(Fraction("0.10"), Fraction("1.0707"))
    Fraction(10707, 100000)
    """
    return by_weight * density


def by_weight_of_solution(by_volume: Fraction, density: Fraction) -> Fraction:
    """Return w/w from w/v: strength ÷ density of the solution.

    Source: own arithmetic (T02-33 turned round).

    >>> by_weight_of_solution(Fraction("0.10707"), Fraction("1.0707"))
    Fraction(1, 10)
    """
    return by_volume / density


def by_weight_of_liquids(volume_share: Fraction, liquid_density: Fraction, density: Fraction) -> Fraction:
    """Return w/w from v/v: strength × density of the dissolved liquid ÷ density of the mixture.

    Both at one temperature.  For ethanol the density of the mixture is not known beforehand; there the alcohol tables
    are used.

    Source: own arithmetic; OIML R 22 (1975) defines % vol and % mass of alcohol in this way.

    >>> by_weight_of_liquids(Fraction("0.5"), Fraction("0.8"), Fraction("0.9"))
    Fraction(4, 9)
    """
    return volume_share * liquid_density / density


def by_volume_of_liquids(mass_share: Fraction, liquid_density: Fraction, density: Fraction) -> Fraction:
    """Return v/v from w/w: strength × density of the mixture ÷ density of the dissolved liquid.

    Source: own arithmetic; `by_weight_of_liquids` turned round.

    >>> by_volume_of_liquids(Fraction(4, 9), Fraction("0.8"), Fraction("0.9"))
    Fraction(1, 2)
    """
    return mass_share * density / liquid_density


# ── Raw materials that are not pure ───────────────────────────────────────────────────────────────────────────────


def weigh_for(wanted: Fraction, assay: Fraction, loss_on_drying: Fraction = ZERO) -> Fraction:
    """Return how much raw material supplies so much pure substance: wanted ÷ (assay × (1 − loss on drying)).

    The loss counts only where the assay is that of the dried material; an assay of the material as it is needs none.
    Both are shares, the assay above 0 and the loss below 1.

    Source: common practice, no source; T02-32: 2 g from an acid of 90 % is 2.22 g.

    >>> weigh_for(Fraction(2), Fraction("0.9"))
    Fraction(20, 9)
    """
    return wanted / (assay * (ONE - loss_on_drying))
