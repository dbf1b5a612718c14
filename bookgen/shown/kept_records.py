"""Shown records of the earlier issues of a formula: on its page, for the site alone."""

from __future__ import annotations

from dataclasses import dataclass

from .phrases import Phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueBar:
    """The share of one ingredient in one issue, to be drawn."""

    issue: str
    """The number of the issue."""
    text: str
    """The share as it is printed; what stands there instead where there is none."""
    value: str
    """The exact percentage; empty where there is none or it is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueBars:
    """One ingredient over the issues, to be drawn as bars side by side."""

    name: str
    """The ingredient."""
    bars: tuple[IssueBar, ...]
    """The oldest first; the last one is the present issue."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OverRow:
    """One ingredient over the issues, as a row."""

    name: Phrase
    """Its name, leading to its page."""
    shares: tuple[str, ...]
    """Its percentage in each issue that has a column."""
    bars: IssueBars
    """All issues, drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueMove:
    """What became other from one issue to the next."""

    title: str
    """From which to which."""
    on: str
    """The date of the later one; empty where none is written."""
    figures: tuple[str, ...]
    """What changed in figures, one item each."""
    words: str
    """What the change log says of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptShown:
    """The earlier issues of a formula."""

    issues: tuple[Phrase, ...]
    """Each, leading to its page, the oldest first."""
    heads: tuple[Phrase, ...]
    """The numbers of those that have a column, the present one last."""
    rows: tuple[OverRow, ...]
    """The ingredients whose share is not the same in all."""
    same: str
    """Those whose share is, with it; empty where there are none."""
    moves: tuple[IssueMove, ...]
    """From issue to issue, the newest first."""
    note: str
    """How the columns are to be read."""
