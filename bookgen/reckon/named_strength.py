"""How strong the name of a material says that it is, as labels write it behind the name of a substance or before it.

Enters: a name.  Leaves: what it names, the strength, and of what that is a share, as far as the name tells.
"""

from __future__ import annotations

import re
from enum import Enum
from typing import NamedTuple

from ..fraction import Fraction

_ABOUT = r"(?:(?:≥|>|min\.|mind\.|ca\.)\s?|[0-9]+(?:[.,][0-9]+)?\s?[-–]\s?)?"
_SHARE = r"(?P<share>[0-9]+(?:[.,][0-9]+)?)"
_PERCENT = r"\s?(?:%|(?P<vol>vol\.?-?\s?%))(?:ig)?(?:\s?\(?(?P<by>vol\.?|v/v|w/w|m/m|w/v|m/v))?"
_BEHIND = re.compile(rf"(?P<name>.*?[^\s,(]),?\s+\(?{_ABOUT}{_SHARE}{_PERCENT}\)?", re.IGNORECASE)
"""`Ethanol 96 % (V/V)`, `Ethanol 70 Vol.-%`, `Sodium hydroxide solution (33 %)`, `Natronlauge 30%ig`, and of a
range the greatest, `acetic acid 99-100 %`."""
_BEFORE = re.compile(rf"{_SHARE}\s?%(?:ige?[rsn]?)?\s+(?P<name>\S.*)", re.IGNORECASE)
"""`70 % isopropyl alcohol`, `30%ige Natronlauge`."""


class By(Enum):
    """What a strength is a share of."""

    UNSAID = "unsaid"
    """A name says nothing of it."""
    WEIGHT = "weight"
    """Grams in 100 g."""
    VOLUME = "volume"
    """Millilitres in 100 mL."""
    WEIGHT_IN_VOLUME = "weight in volume"
    """Grams in 100 mL."""


class NamedStrength(NamedTuple):
    """A name with a strength, taken apart."""

    name: str
    """What stands beside the strength, as written."""
    share: Fraction
    """The strength."""
    by: By
    """What it is a share of."""


def named_strength(name: str) -> NamedStrength | None:
    """Return what a name with a strength names, and how strong; None for a name without one.

    Source: how labels write it, common practice, no source.

    >>> named_strength("Ethanol 96 % (V/V)")
    NamedStrength(name='Ethanol', share=Fraction(24, 25), by=<By.VOLUME: 'volume'>)
    """
    whole = name.strip()
    if behind := _BEHIND.fullmatch(whole):
        return NamedStrength(behind["name"], _share(behind["share"]), _by(behind["vol"] or behind["by"] or ""))
    if before := _BEFORE.fullmatch(whole):
        return NamedStrength(before["name"], _share(before["share"]), By.UNSAID)
    return None


def _share(text: str) -> Fraction:
    return Fraction(text.replace(",", ".")) / 100


def _by(text: str) -> By:
    plain = text.casefold()
    if plain.startswith("vol") or plain == "v/v":
        return By.VOLUME
    if plain.endswith("/v"):
        return By.WEIGHT_IN_VOLUME
    return By.WEIGHT if plain else By.UNSAID
