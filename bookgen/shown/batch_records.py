"""Shown records of the page of a batch and of the page that lists them all."""

from __future__ import annotations

from dataclasses import dataclass

from .made_records import BatchRow
from .phrases import Phrase
from .records import Fact, Frame, TextPart


@dataclass(frozen=True, slots=True, kw_only=True)
class AchievedRow:
    """One ingredient of a batch, planned and weighed; weights in grams, without their unit."""

    phase: str
    """The letter of its phase, where the record tells its lines apart by it."""
    name: Phrase
    """The ingredient, leading to its page."""
    aid: bool
    """True for what is taken out again."""
    planned: str
    """What was planned; empty where nothing is written."""
    weighed: str
    """What was weighed."""
    off: Phrase
    """By how much it was off: `2.4 % over`; empty where nothing was planned."""
    share: Phrase
    """Its share of all that was weighed; empty for what is taken out again."""
    share_if_water: Phrase
    """Its share of what came out, if all that was lost was water; empty where that cannot have been."""
    lots: tuple[Phrase, ...]
    """The lots that it was taken of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforehandRow:
    """What was weighed of one material for what was made first."""

    name: Phrase
    """The material, leading to its page."""
    amount: str
    """How much, as written."""
    lots: tuple[Phrase, ...]
    """The lot that it was taken of; empty where none is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenShown:
    """What was seen on one day."""

    day: str
    """The day."""
    text: str
    """What was seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchShown:
    """The page of a batch."""

    frame: Frame
    """What surrounds it."""
    batch: str
    """Its number."""
    of: Phrase
    """What was made, leading to its page."""
    issue: Phrase
    """The issue that was followed."""
    outcome: str
    """good, reworked, discarded; empty while it is not written."""
    facts: tuple[Fact, ...]
    """When it was made, what came out, pH, use-by."""
    rows: tuple[AchievedRow, ...]
    """What was planned and weighed."""
    beforehand: tuple[BeforehandRow, ...]
    """What was weighed for what was made first."""
    went_in: Phrase
    """Grams that were weighed and count; empty where they are not known."""
    asked: tuple[str | Phrase, ...]
    """Lots that were past one of their dates, and what the content of a lot did."""
    cost: tuple[Fact, ...]
    """What it, a gram of it and a container of it cost; empty where nothing has a price."""
    no_price: str
    """What has no price, in a sentence; empty where all has one, and where nothing has."""
    observed: tuple[SeenShown, ...]
    """What was seen later."""
    next_time: str
    """What to do next time."""
    parts: tuple[TextPart, ...]
    """Notes, and what is for the keeper."""
    taken_by: tuple[Phrase, ...]
    """The batches that took of this one, through others too."""

    @property
    def if_water(self) -> bool:
        """True where any share is known if all that was lost was water."""
        return any(row.share_if_water for row in self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class YearShown:
    """The batches of one year."""

    title: str
    """The year."""
    counts: str
    """How many."""
    rows: tuple[BatchRow, ...]
    """Newest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchesShown:
    """The page of all batches."""

    frame: Frame
    """What surrounds it."""
    title: str
    """Its heading."""
    years: tuple[YearShown, ...]
    """Newest first."""
