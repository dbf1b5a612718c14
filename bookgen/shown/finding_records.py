"""Shown records of the keeper's page of findings."""

from __future__ import annotations

from dataclasses import dataclass

from .phrases import Phrase
from .records import Frame, Link


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingShown:
    """One finding."""

    text: Phrase
    """The sentence; what stands in backticks is code."""
    place: str
    """`path:line:column`."""
    rule: str
    """The rule's name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingGroup:
    """The findings of one formula or material."""

    link: Link
    """What they concern."""
    findings: tuple[FindingShown, ...]
    """In the order of the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeverityShown:
    """The findings of one severity."""

    word: str
    """`error`, `query`, `note`."""
    title: str
    """Heading with the count."""
    means: str
    """What the severity means, in one sentence."""
    groups: tuple[FindingGroup, ...]
    """By formula and material."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsShown:
    """The keeper's page of findings."""

    frame: Frame
    """What surrounds it."""
    severities: tuple[SeverityShown, ...]
    """Errors, queries, notes; only those that occur."""
    judged: str
    """What was judged and what was not, where there are none; empty otherwise."""
