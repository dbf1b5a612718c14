"""Shown records of what was made and of what came of a material: rows of lists, for the site alone."""

from __future__ import annotations

from dataclasses import dataclass

from ..fraction import Fraction
from .phrases import LinkTo, Phrase


def linked(words: str, href: str) -> Phrase:
    """Return words that lead to a page; bare words where it has no address."""
    return Phrase((LinkTo(href, (words,), outside=False),) if href else (words,))


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchRow:
    """One batch in a list."""

    batch: Phrase
    """Its number, or its day on the page of its formula, leading to its page."""
    of: Phrase
    """The formula, leading to its page; empty on the formula's own page."""
    came_out: str
    """What came out, as written."""
    yield_: str
    """Of what was planned: `97.1 %`; empty where it is not known."""
    ph: str
    """The pH measured; empty without one."""
    furthest: str
    """What was furthest off its plan: `glycerol 85 %: 2.1 % over`; empty where nothing was."""
    use_by: str
    """The last day of use; empty where it is not known or the batch was thrown away."""
    outcome: str
    """good, reworked, discarded, and when the rest of it was thrown away; empty while nothing is written."""
    next_time: str
    """What to do next time; empty where nothing is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OffPicture:
    """How far some batches of a formula were off their plan, to be drawn."""

    offs: tuple[Fraction | None, ...]
    """Of each batch, the oldest first, (weighed − planned) ÷ planned of the line furthest off; 0 where every line was
    as planned, None where nothing was planned."""
    accepted: Fraction
    """The accepted error, a share."""
    scale: Fraction
    """What is drawn to the edge, a share above 0."""
    edge: str
    """The same in words: `9.4 % over`."""
    first: str
    """The day of the first batch, empty without one."""
    last: str
    """The day of the last."""
    label: str
    """What it is a picture of."""
    caption: str
    """How it is read, with the accepted error."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeShown:
    """The batches of one formula, on its page."""

    next_time: str
    """What to do next time, as written last; empty where nothing is."""
    next_from: Phrase
    """The batch that says so, leading to its page."""
    rows: tuple[BatchRow, ...]
    """The newest batches, newest first."""
    href: str
    """The page that lists all."""
    picture: OffPicture | None
    """How far the batches of the rows were off; None for fewer than three."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotRow:
    """One lot of a material or intermediate."""

    code: str
    """Its code, as on the jar."""
    came: str
    """The day it came."""
    opened: str
    """The day it was opened; empty without one."""
    until: str
    """Until when it may be used, or when it is to be tested again, in words."""
    amount: str
    """How much came, as written."""
    left: str
    """What is left by the records, or how it ended."""
    said: str
    """Content, supplier, price and note, in words."""
    batches: tuple[Phrase, ...]
    """The batches that took it, through intermediates too, each leading to its page."""
