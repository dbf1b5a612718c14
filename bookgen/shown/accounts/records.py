"""Shown records of the page "How the figures are found": rules with their worked lines, sources, published tables."""

from __future__ import annotations

from dataclasses import dataclass

from ..phrases import Phrase
from ..records import Fact, Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """One line of working, in words and figures."""

    given: str
    """What is reckoned."""
    result: str
    """What comes out of it."""
    sign: str = "="
    """What stands between them: `=`, or `gives` where no sum is done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleShown:
    """One rule of the reckoning."""

    text: tuple[Phrase, ...]
    """What it says, paragraph by paragraph."""
    worked: Worked
    """The rule at work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ParagraphShown:
    """How one kind of figure is found."""

    anchor: str
    """Its name in an address."""
    title: str
    """What is found."""
    rules: tuple[RuleShown, ...]
    """The rules, in the order of the work."""
    sources: tuple[Phrase, ...]
    """Where they come from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPart:
    """Paragraphs on one part of the work."""

    title: str
    """Which part."""
    anchor: str
    """Its name in an address."""
    paragraphs: tuple[ParagraphShown, ...]
    """In the order of the work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedShown:
    """One published table that figures rest on."""

    title: str
    """What it holds."""
    facts: tuple[Fact, ...]
    """Document, edition, section, the day it was taken, how it was seen."""
    values: tuple[Fact, ...]
    """Its values."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WordShown:
    """One word that a book uses in its own way."""

    term: str
    """The word."""
    anchor: str
    """Its name in an address."""
    means: Phrase
    """What it means."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundShown:
    """How the figures are found."""

    frame: Frame
    """What surrounds it."""
    words: tuple[WordShown, ...]
    """What the words mean."""
    parts: tuple[FoundPart, ...]
    """In the order of the work."""
    published: tuple[PublishedShown, ...]
    """The tables."""
