"""How much of each component a dilution or a mixture takes, or why the wish cannot be, in a sentence for the asker.

Amounts are in the unit that is reckoned with: grams, or millilitres for w/v and v/v.  Nothing negative ever leaves.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..findings import Missing
from ..fraction import Fraction
from ..model import Component, MixedBy, Mixing, Quantity, Strength, StrengthBasis
from ..wording.saying import says
from . import ethanol
from .dilution import alligate, alternate, medial, strong_part, to_add
from .measure import half_up

UNASKED = Fraction(100)
"""Grams or millilitres that are reckoned when no amount is asked for."""
BILLIONTH = Fraction(1, 10**9)
"""Millilitres and densities of ethanol are rounded to nine decimals: the alcohol tables vouch for five."""


def share_of(strength: Strength, by: MixedBy) -> Fraction:
    """Return a strength as the share that is reckoned with: of ethanol by weight, of others as written.

    Source: OIML R 22 (1975) for %vol.

    >>> round(share_of(Strength(share=Fraction("0.7"), basis=StrengthBasis.VOL, text="70 %vol"), MixedBy.ETHANOL), 4)
    Fraction(6239, 10000)
    """
    if by is MixedBy.ETHANOL and strength.basis is StrengthBasis.VOL:
        return ethanol.mass_share(strength.share)
    return strength.share


def amount_of(component: Component, share: Fraction, mixing: Mixing) -> Fraction | None:
    """Return a given amount in the unit that is reckoned with: grams, or millilitres for w/v and v/v."""
    return None if component.quantity is None else _reckoned(component.quantity, share, mixing)


def _reckoned(quantity: Quantity, share: Fraction, mixing: Mixing) -> Fraction:
    if mixing.by is MixedBy.ETHANOL and quantity.unit == "mL":
        return quantity.value * density_of(share, mixing.at_c)
    return quantity.value


def density_of(share: Fraction, at_c: Fraction) -> Fraction:
    """Return the density of ethanol and water in g/mL, to nine decimals.

    Source: OIML R 22 (1975).

    >>> round(density_of(Fraction("0.5"), Fraction(20)), 6)
    Fraction(913771, 1000000)
    """
    return half_up(ethanol.density(share, at_c), BILLIONTH)


def amounts_of(
    mixing: Mixing, shares: Sequence[Fraction], given: Sequence[Fraction | None], want: Fraction | None
) -> tuple[Fraction, ...] | Missing:
    """Return how much of each component, in the unit that is reckoned with."""
    unknown = [place for place, amount in enumerate(given) if amount is None]
    known = [(amount, share) for amount, share in zip(given, shares, strict=True) if amount is not None]
    if want is None:
        return _all_given(mixing, given, unknown)
    assert mixing.want is not None
    if not unknown:
        return Missing(says=says("all-given", wanted=mixing.want.text))
    if mixing.diluting:
        wrong = _cannot_dilute(mixing, shares, want)
        if wrong:
            return wrong
    if known:
        return _one_found(mixing, shares, given, unknown, known, want)
    parts = _parts(mixing, shares, want)
    if isinstance(parts, Missing):
        return parts
    asked = None if mixing.obtain is None else mixing.obtain.quantity
    total = UNASKED if asked is None else _reckoned(asked, want, mixing)
    return tuple(part * total for part in parts)


def _all_given(
    mixing: Mixing, given: Sequence[Fraction | None], unknown: Sequence[int]
) -> tuple[Fraction, ...] | Missing:
    if unknown:
        return Missing(says=says("amount-unsaid", strength=mixing.components[unknown[0]].strength.text))
    if mixing.obtain is not None:
        return Missing(says=says("amounts-say"))
    return tuple(amount for amount in given if amount is not None)


def _one_found(
    mixing: Mixing,
    shares: Sequence[Fraction],
    given: Sequence[Fraction | None],
    unknown: Sequence[int],
    known: Sequence[tuple[Fraction, Fraction]],
    want: Fraction,
) -> tuple[Fraction, ...] | Missing:
    """Return the amounts when all but one are given."""
    assert mixing.want is not None
    if mixing.obtain is not None:
        return Missing(says=says("use-up-says" if mixing.diluting else "given-say"))
    if len(unknown) > 1:
        texts = tuple(says("strength-said", strength=mixing.components[place].strength.text) for place in unknown)
        return Missing(says=says("two-unsaid", strengths=texts))
    found = to_add(known, shares[unknown[0]], want)
    if isinstance(found, Missing):
        return _told(mixing, mixing.components[unknown[0]].strength, shares[unknown[0]], known, want)
    return tuple(found if amount is None else amount for amount in given)


def _told(
    mixing: Mixing, added: Strength, share: Fraction, known: Sequence[tuple[Fraction, Fraction]], want: Fraction
) -> Missing:
    """Return why no amount of one more component brings the others to the strength wanted, with their figures."""
    assert mixing.want is not None
    wanted = mixing.want.text
    if medial(known) == want:
        return Missing(says=says("no-need-to-add", wanted=wanted))
    if share == want:
        return Missing(says=says("added-is-wanted", added=added.text, wanted=wanted))
    weaker = medial(known) < want
    return Missing(says=says("both-weaker" if weaker else "both-stronger", wanted=wanted, added=added.text))


def _cannot_dilute(mixing: Mixing, shares: Sequence[Fraction], want: Fraction) -> Missing | None:
    """Return why a dilution cannot be, in the words of the one who asked."""
    if not isinstance(strong_part(shares[0], want, shares[1]), Missing):
        return None
    assert mixing.want is not None
    have, weaker, wanted = (
        strength.text for strength in (mixing.components[0].strength, mixing.components[1].strength, mixing.want)
    )
    if shares[0] == want:
        return Missing(says=says("already-is", wanted=wanted))
    if shares[0] < want:
        return Missing(says=says("weaker-than-wanted", have=have, wanted=wanted))
    if not want:
        return Missing(says=says("never-so-weak", diluent=weaker, wanted=wanted, have=have))
    if want == shares[1]:
        return Missing(says=says("diluent-is-wanted", wanted=wanted, have=have))
    return Missing(says=says("diluent-too-strong", diluent=weaker, wanted=wanted))


def _parts(mixing: Mixing, shares: Sequence[Fraction], want: Fraction) -> tuple[Fraction, ...] | Missing:
    """Return the share of each component in the mixture."""
    assert mixing.want is not None
    components = [(share, component.strength.text) for share, component in zip(shares, mixing.components, strict=True)]
    strongest, weakest = max(components, key=_first), min(components, key=_first)
    wanted = mixing.want.text
    if strongest[0] == weakest[0]:
        if want == strongest[0]:
            return Missing(says=says("all-are-wanted", strength=strongest[1]))
        return Missing(says=says("all-are-one", strength=strongest[1], wanted=wanted))
    for share, text in components:
        if share == want:
            return Missing(says=says("one-is-wanted", strength=text))
    if want > strongest[0]:
        return Missing(says=says("stronger-than-all", wanted=wanted, strongest=strongest[1]))
    if want < weakest[0]:
        return Missing(says=says("weaker-than-all", wanted=wanted, weakest=weakest[1]))
    if len(shares) > 2:
        return alternate(shares, want)
    high, low = (0, 1) if shares[0] > shares[1] else (1, 0)
    both = alligate(shares[high], shares[low], want)
    if isinstance(both, Missing):
        return both
    return both if high == 0 else (both[1], both[0])


def _first(pair: tuple[Fraction, str]) -> Fraction:
    return pair[0]
