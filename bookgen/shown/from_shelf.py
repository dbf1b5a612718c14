"""What of a batch is taken from the shelf, in words: `from GL-2211 (412 g left, until 2028-03-31)`."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from .. import show
from ..findings import Missing
from ..language import word
from ..reckon.from_shelf import LotTake, OtherContent, Proposal
from ..reckon.known import ONE
from ..reckon.lot_content import weigh_instead
from ..reckon.on_shelf import LotState, ShelfLot


def lots_words(proposal: Proposal, signs: show.Signs) -> str:
    """Return the lots of one line: `from GL-2211 (…)`, `40 g from GL-2211 (…), then 12 g from GL-2212 (…)`."""
    return _one_by_one(proposal, signs, alone=len(proposal.takes) == 1 and proposal.is_whole)


def content_words(proposal: Proposal, signs: show.Signs) -> tuple[str, ...]:
    """Return what to weigh of lots that hold more or less of a substance than the batch is reckoned for.

    `LC-885: lactic acid 88.5 %, planned 80 %: weigh 1.02 g instead of 1.13 g`.
    """
    return tuple(_content(take, take.content, signs) for take in proposal.takes if take.content is not None)


def _content(take: LotTake, other: OtherContent, signs: show.Signs) -> str:
    actual, nominal = (show.with_unit(show.plain(share * 100, signs), "%") for share in (other.actual, other.nominal))
    told = word(
        "{lot}: {substance} {actual}, planned {nominal}",
        lot=take.lot.account.code,
        substance=other.substance,
        actual=actual,
        nominal=nominal,
    )
    if other.instead is None or other.planned is None:
        times = show.significant(weigh_instead(ONE, other.nominal, other.actual), signs=signs)
        return word("{told}: take {times} times as much", told=told, times=times)
    instead, planned = (show.weight(grams, other.step, signs) for grams in (other.instead, other.planned))
    return word("{told}: weigh {instead} instead of {planned}", told=told, instead=instead, planned=planned)


def lots_in_short(proposals: Sequence[Proposal], signs: show.Signs) -> str:
    """Return the lots of one line without what is left of them: `GL-2211 until 2028-03-31`, `40 g GL-2211 until
    2028-03-31, then 12 g GL-2212`."""
    return "; ".join(_chain(proposal, signs, len(proposals)) for proposal in proposals)


def _chain(proposal: Proposal, signs: show.Signs, many: int) -> str:
    words = ""
    for number, take in enumerate(proposal.takes):
        if number:
            words += _before(proposal.takes[number - 1])
        alone = many == len(proposal.takes) == 1 and proposal.is_whole
        until = word(" until {day}", day=show.day(take.lot.until)) if isinstance(take.lot.until, date) else ""
        retest = word(", test it again first") if take.lot.state is LotState.RETEST else ""
        words += f"{'' if alone else _much(take, signs)}{take.lot.account.code}{until}{retest}"
    return words


def _before(earlier: LotTake) -> str:
    """Return the word between two lots: the second is taken where the first is at an end."""
    return word(", else ") if isinstance(earlier.take, Missing) else word(", then ")


def _much(take: LotTake, signs: show.Signs) -> str:
    """Return how much of a lot is taken; empty where nobody can say."""
    if isinstance(take.take, Missing):
        return ""
    return show.with_unit(show.plain(take.take, signs), take.lot.account.unit) + " "


def first_words(proposal: Proposal, signs: show.Signs) -> str:
    """Return what is there of an intermediate that would be made first: `or take 150 g from N-01-2026-11-20 (…)`."""
    taken = _one_by_one(proposal, signs, alone=False)
    if proposal.is_whole:
        return word("or take {taken}", taken=taken)
    if any(isinstance(take.take, Missing) for take in proposal.takes):
        return word("or take {taken}, if it is enough", taken=taken)
    return word("or take {taken}, and make the rest", taken=taken)


def _one_by_one(proposal: Proposal, signs: show.Signs, *, alone: bool) -> str:
    words = ""
    for number, take in enumerate(proposal.takes):
        if number:
            words += _before(proposal.takes[number - 1])
        words += _take(take, signs, alone=alone)
    return words


def _take(take: LotTake, signs: show.Signs, *, alone: bool) -> str:
    much = "" if alone else _much(take, signs)
    return word("{much}from {lot} ({life})", much=much, lot=take.lot.account.code, life=_life(take.lot, signs))


def _life(lot: ShelfLot, signs: show.Signs) -> str:
    """Return how much is left of a lot and until when it is good."""
    told = [word("how much is left is not known")]
    if not isinstance(lot.left, Missing):
        told = [word("{much} left", much=show.with_unit(show.plain(lot.left, signs), lot.account.unit))]
    if isinstance(lot.until, date):
        told.append(word("until {day}", day=show.day(lot.until)))
    if lot.state is LotState.RETEST:
        told.append(word("to be tested again first"))
    return ", ".join(told)
