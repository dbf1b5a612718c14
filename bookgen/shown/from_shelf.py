"""What of a batch is taken from the shelf, in words: `from GL-2211 (412 g left, until 2028-03-31)`."""

from __future__ import annotations

from datetime import date

from .. import show
from ..findings import Missing
from ..reckon.from_shelf import LotTake, Proposal
from ..reckon.on_shelf import LotState, ShelfLot


def lots_words(proposal: Proposal, signs: show.Signs) -> str:
    """Return the lots of one line: `from GL-2211 (…)`, `40 g from GL-2211 (…), then 12 g from GL-2212 (…)`."""
    return _one_by_one(proposal, signs, alone=len(proposal.takes) == 1 and proposal.is_whole)


def first_words(proposal: Proposal, signs: show.Signs) -> str:
    """Return what is there of an intermediate that would be made first: `or take 150 g from N-01-2026-11-20 (…)`."""
    rest = "" if proposal.is_whole else ", and make the rest"
    if any(isinstance(take.take, Missing) for take in proposal.takes):
        rest = ", if it is enough" if not proposal.is_whole else ""
    return f"or take {_one_by_one(proposal, signs, alone=False)}{rest}"


def _one_by_one(proposal: Proposal, signs: show.Signs, *, alone: bool) -> str:
    words = ""
    for number, take in enumerate(proposal.takes):
        if number:
            words += ", else " if isinstance(proposal.takes[number - 1].take, Missing) else ", then "
        words += _take(take, signs, alone=alone)
    return words


def _take(take: LotTake, signs: show.Signs, *, alone: bool) -> str:
    much = ""
    if not isinstance(take.take, Missing) and not alone:
        much = show.with_unit(show.plain(take.take, signs), take.lot.account.unit) + " "
    return f"{much}from {take.lot.account.code} ({_life(take.lot, signs)})"


def _life(lot: ShelfLot, signs: show.Signs) -> str:
    """Return how much is left of a lot and until when it is good."""
    told = ["how much is left is not known"]
    if not isinstance(lot.left, Missing):
        told = [f"{show.with_unit(show.plain(lot.left, signs), lot.account.unit)} left"]
    if isinstance(lot.until, date):
        told.append(f"until {show.day(lot.until)}")
    if lot.state is LotState.RETEST:
        told.append("to be tested again first")
    return ", ".join(told)
