"""Diluting and mixing: C1·m1 = C2·m2, alligation alternate and alligation medial.

Strengths are shares of one kind (all by weight, or all by volume where volumes may be taken to add up); amounts are all
in one unit.  Everything is exact.  A wish that cannot be is a `Missing` that says why, never a negative amount.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..findings import Missing
from ..fraction import Fraction
from ..wording.saying import says
from .known import ZERO

AtStrength = tuple[Fraction, Fraction]
"""An amount and its strength."""


def strong_part(have: Fraction, want: Fraction, diluent: Fraction = ZERO) -> Fraction | Missing:
    """Return the share of the stronger one in a dilution: (wanted − diluent) ÷ (had − diluent).

    With plain water this is C1·m1 = C2·m2: what is dissolved stays the same, so 30 g of 10 % take 30 × 10 ÷ 40 = 7.5 g
    of 40 %.  By weight it always holds.  By volume it gives the right amount of the stronger one if the whole is then
    made up to its mark; the millilitres of water to add it gives only where volumes add up, which they do not for
    ethanol.

    Source: reader question "compounding mathematics" (T02-14); lecture "Dilution and concentration" (T02-15); US Navy
    Hospital Corpsman manual 10669-C (T02-23).

    >>> strong_part(Fraction("0.4"), Fraction("0.1")) * 30
    Fraction(15, 2)
    """
    if have == want:
        return Missing(says=says("has-strength"))
    if have < want:
        return Missing(says=says("never-stronger"))
    if want < diluent:
        return Missing(says=says("below-diluent"))
    if want == diluent:
        return Missing(says=says("diluent-alone"))
    return (want - diluent) / (have - diluent)


def alligate(higher: Fraction, lower: Fraction, want: Fraction) -> tuple[Fraction, Fraction] | Missing:
    """Return the shares of a stronger and a weaker component in their mixture: alligation alternate; they add up to 1.

    Of the stronger one wanted − weaker parts, of the weaker one stronger − wanted parts: from 0.5 % and 0.1 % a mixture
    of 0.2 % takes 1 part and 3 parts.

    Source: slides "Alligation alternate" (T02-19); examination question on hydrocortisone (T02-20).

    >>> alligate(Fraction("0.005"), Fraction("0.001"), Fraction("0.002"))
    (Fraction(1, 4), Fraction(3, 4))
    """
    if higher == lower:
        return Missing(says=says("one-strength"))
    if higher < lower:
        return Missing(says=says("first-is-weaker"))
    if not lower < want < higher:
        return Missing(says=says("not-between-two"))
    part = (want - lower) / (higher - lower)
    return part, 1 - part


def alternate(strengths: Sequence[Fraction], want: Fraction) -> tuple[Fraction, ...] | Missing:
    """Return the shares of several components in a mixture of the strength wanted, in their order; they add up to 1.

    Every one that is stronger is paired with every one that is weaker, each pair by alligation alternate, and the parts
    of each are added up: 50 %, 20 % and 5 % to 10 % gives 1 : 1 : 10.  With more than two of them this is one of many
    mixtures that do; some books pair each once only.  Alligation medial checks the sum.

    Source: lecture "Dilution and concentration" (T02-21).

    >>> [part * 12 for part in alternate([Fraction("0.5"), Fraction("0.2"), Fraction("0.05")], Fraction("0.1"))]
    [Fraction(1, 1), Fraction(1, 1), Fraction(10, 1)]
    """
    above = sum(1 for strength in strengths if strength > want)
    below = sum(1 for strength in strengths if strength < want)
    if above + below < len(strengths):
        return Missing(says=says("one-has-strength"))
    if not above:
        return Missing(says=says("none-stronger"))
    if not below:
        return Missing(says=says("none-weaker"))
    short = sum((want - strength for strength in strengths if strength < want), ZERO)  # parts of each stronger one
    over = sum((strength - want for strength in strengths if strength > want), ZERO)  # parts of each weaker one
    parts = [short if strength > want else over for strength in strengths]
    total = sum(parts, ZERO)
    return tuple(part / total for part in parts)


def to_add(given: Sequence[AtStrength], added: Fraction, want: Fraction) -> Fraction | Missing:
    """Return how much of one more component brings given amounts to the strength wanted; above 0.

    What the given ones lack (or have too much) is divided by what each unit of the added one brings: 240 g of 0.25 %
    lack 240 × 0.75 % for 1 %, and each gram of 2.5 % brings 1.5 %, so 120 g.

    Source: examination question on hydrocortisone (T02-20); US Army Medical Department, Pharmaceutical Calculations
    MD0802 (T02-22).

    >>> to_add([(Fraction(240), Fraction("0.0025"))], Fraction("0.025"), Fraction("0.01"))
    Fraction(120, 1)
    """
    lack = sum((amount * (want - strength) for amount, strength in given), ZERO)
    if not lack:
        return Missing(says=says("they-have-strength"))
    brings = added - want
    if not brings:
        return Missing(says=says("added-brings-nothing"))
    amount = lack / brings
    if amount > 0:
        return amount
    return Missing(says=says("add-stronger" if lack > 0 else "add-weaker"))


def medial(parts: Sequence[AtStrength]) -> Fraction:
    """Return the strength of a mixture of amounts with their strengths: alligation medial.

    What all of them carry ÷ all of them; at least one amount is above 0.

    Source: lecture "Dilution and concentration" (T02-18).

    >>> medial([(Fraction(500), Fraction("0.4")), (Fraction(100), Fraction("0.9")), (Fraction(400), Fraction(0))])
    Fraction(29, 100)
    """
    return sum((amount * strength for amount, strength in parts), ZERO) / sum(amount for amount, _ in parts)
