"""What was judged of a formula, in records: limits, what keeps it, dangers, and what a label names."""

from __future__ import annotations

from dataclasses import dataclass

from .phrases import Phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedEntry:
    """One entry of the law for cosmetics, judged."""

    words: Phrase
    """How the product stands to it."""
    asks: tuple[str, ...]
    """What the entry asks besides, which no key of the formula tells, and its words for a label."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedShown:
    """What was judged: what keeps it from spoiling, the limits of the law for cosmetics, and dangers."""

    keeping: tuple[Phrase, ...]
    """What keeps it from spoiling or does not, and why; what decides first."""
    entries: tuple[JudgedEntry, ...]
    """The gravest first."""
    not_judged: Phrase
    """Why nothing is judged; empty where it is."""
    assumed: tuple[Phrase, ...]
    """What the strictest was taken for."""
    allergens: tuple[Phrase, ...]
    """How it stands to each fragrance allergen that it holds, and what is not known of them."""
    dangers: tuple[Phrase, ...]
    """What is dangerous by its share, how much there is of it, and from which share on it is asked about."""
    guide: str
    """What the law is to the keeper, and what was not judged; empty where nothing was."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelShown:
    """The list of ingredients for the label of a cosmetic."""

    text: str
    """The list in one line, to be copied; empty where it cannot be made."""
    notes: tuple[Phrase, ...]
    """What makes it incomplete, what is to be known of its order, and what it is."""
