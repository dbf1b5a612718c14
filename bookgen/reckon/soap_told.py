"""What comes of lye and fat, in clauses: the superfat, what goes in, what the finished soap is.

Enters: a formula's `Soap`.  Leaves: sayings.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from ..fraction import Fraction
from ..wording.saying import Saying, says
from .soap import Range, Soap, SoapMade

_TOLD = 1000
"""Bounds are told to a tenth of a percent, outward."""


def outward(low: Fraction, high: Fraction) -> Range:
    """Return bounds as they are told: to a tenth of a percent, the low end down and the high end up.

    >>> outward(Fraction(1, 30), Fraction(1, 15))
    (Fraction(33, 1000), Fraction(67, 1000))
    """
    return Fraction(floor(low * _TOLD), _TOLD), Fraction(ceil(high * _TOLD), _TOLD)


def superfat_told(made: SoapMade) -> Saying:
    """Return how much of the fat stays as it is."""
    low, high = outward(made.low, made.high)
    if made.others:
        return says("soap-superfat-open", low=low, names=made.others)
    return (
        says("soap-superfat-exactly", low=low) if low == high else says("soap-superfat", low=low * 100, high=high * 100)
    )


def soap_told(soap: Soap) -> Iterator[Saying]:
    """Yield superfat, what goes in and what comes of it, as clauses."""
    made = soap.made
    if made is None or not made.is_sound:
        return
    yield superfat_told(made)
    before, after = made.before, made.after
    if before is not None and isinstance(before.water, Fraction):
        yield says(
            "soap-before",
            fat=_told(before.fat),
            alkali=_told(before.alkali),
            alkalis=tuple(name.lower() for name in made.alkalis),
            water=_told((before.water, before.water)),
            rest=_told(before.rest),
        )
    if after is not None and isinstance(after.water, Fraction):
        yield says(
            "soap-after",
            soap=_told(after.soap),
            glycerol=_told(after.glycerol),
            fat=_told(after.fat),
            water=_told((after.water, after.water)),
            rest=_told(after.rest),
            but=says("soap-but", names=made.others) if made.others else None,
        )


def _told(share: Range) -> Saying:
    if share[0] == share[1]:
        return says("share-of", share=share[0])
    low, high = outward(*share)
    return says("share-between", low=low * 100, high=high * 100)
