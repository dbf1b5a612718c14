"""What was judged of a formula, in records: limits, what keeps it, dangers, and what a label names."""

from __future__ import annotations

from dataclasses import dataclass

from ..fraction import Fraction
from .phrases import Phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class AcidPicture:
    """The undissociated share of a weak acid over pH, to be drawn."""

    pkas: tuple[Fraction, ...]
    """Its pKa, from the lowest on."""
    low: Fraction
    """The formula's lowest pH."""
    high: Fraction
    """The formula's highest pH."""
    works: tuple[Fraction | None, Fraction | None] | None
    """Lowest and highest pH at which it works; None for an end that is not given, or where none is known."""
    label: str
    """The same in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedEntry:
    """One thing that was judged."""

    words: Phrase
    """How the product stands to it, as a sentence."""
    asks: tuple[str, ...] = ()
    """What an entry of the law asks besides, which no key of the formula tells."""
    picture: AcidPicture | None = None
    """What of it is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedTopic:
    """What was judged of one topic."""

    head: str
    """What it is about."""
    entries: tuple[JudgedEntry, ...]
    """What was judged, in the order in which it is to be read."""
    notes: tuple[Phrase, ...] = ()
    """What was not judged and why, and what was assumed, as sentences."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedShown:
    """What was judged of a formula."""

    topics: tuple[JudgedTopic, ...]
    """Topic by topic; a topic of which there is nothing to say is left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelShown:
    """The list of ingredients for the label of a cosmetic."""

    text: str
    """The list in one line, to be copied; empty where it cannot be made."""
    asked: tuple[Phrase, ...]
    """The words that entries of the law for cosmetics ask for beside it, and which entry it is."""
    notes: tuple[Phrase, ...]
    """What makes it incomplete, what is to be known of its order, and what it is."""
