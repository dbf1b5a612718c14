"""Shown records of the earlier issues of a formula, its trials, and two formulas side by side: for the site alone."""

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
    """Each, leading to the page that sets it beside the present one, the oldest first."""
    heads: tuple[Phrase, ...]
    """The numbers of those that have a column, leading to their pages, the present one last."""
    rows: tuple[OverRow, ...]
    """The ingredients whose share is not the same in all."""
    same: str
    """Those whose share is, with it; empty where there are none."""
    moves: tuple[IssueMove, ...]
    """From issue to issue, the newest first."""
    note: str
    """How the columns are to be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialLink:
    """A trial of a formula, on its page."""

    name: Phrase
    """Its code and title, leading to its page."""
    stamp: str
    """How far it has come; empty where it is approved."""
    beside: Phrase
    """Words that lead to the page that sets it beside the formula."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftPicture:
    """The share of one ingredient in two formulas, to be drawn as the way from one to the other."""

    first: str
    """Its exact percentage in the first; 0 where it has none of it."""
    second: str
    """The same in the second."""
    told: str
    """Both in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BesideRow:
    """One thing in both."""

    name: Phrase
    """What it is, leading to its page where it has one."""
    first: str
    """In the first."""
    second: str
    """In the second."""
    difference: str
    """Second − first; a dash where it is not known, empty where there is none."""
    picture: ShiftPicture | None
    """Both, drawn; None where there is nothing to draw."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BesideTable:
    """Shares side by side."""

    head: str
    """Of what."""
    rows: tuple[BesideRow, ...]
    """Those that differ, or may."""
    same: str
    """Those that do not, with what both have; empty where there are none."""
    unknown: tuple[str, ...]
    """Why differences are not known, each once."""
    drawn: bool
    """True where they are figures, with a difference and a drawing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BesideSide:
    """One of the two."""

    words: str
    """The code; the number of the issue stands behind the title."""
    column: str
    """The code, or the issue, as short as it can be told from the other."""
    href: str
    """Where its page is."""
    title: str
    """The title."""
    issue: str
    """Number of the issue."""
    stamp: str
    """How far it has come; empty where it is approved."""
