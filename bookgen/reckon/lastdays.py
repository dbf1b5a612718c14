"""Dates of lots and of what was made of them: how long a lot is good, the last day of use of every batch.

Enters: a reckoned book.  Leaves: `LastDays`, and `LotAge` for a lot that was past one of its dates.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ..findings import Missing
from ..model import BatchRecord, BenchLine, Lot
from ..wording.saying import Saying, says
from .figures import Figures, Reckoning
from .kept import figures_kept
from .lots import LotAccount
from .storage import after, use_by

LastDays = Mapping[str, tuple[date | Missing, Saying]]
"""Key of a batch → its last day of use, and why that day."""


class LotDate(StrEnum):
    """The dates that a lot can be past."""

    EXPIRY = "expiry"
    OPENED = "after opening"
    USE_BY = "use by"
    """The last day of use of an intermediate's batch."""
    RETEST = "retest"
    """No expiry: it is to be tested again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotAge:
    """A lot that was past one of its dates on the day of making."""

    lot: LotAccount
    """The lot."""
    last: date
    """The last day on which it was good, or its day of retest."""
    which: LotDate
    """Which date that is."""
    line: BenchLine
    """The line that took it."""


def figures_of(reckoning: Reckoning, record: BatchRecord) -> Figures | None:
    """Return the figures of the issue that was made where it is kept, else of the present one.

    None where the book has no formula of that code.
    """
    key = reckoning.book.key_made(record)
    present = reckoning.figures.get(key)
    if present is None or record.of is None or record.of.issue == present.formula.issue:
        return present
    return figures_kept(reckoning, key, record.of.issue) or present


def good_until(lot: Lot) -> tuple[date, LotDate] | None:
    """Return the last day on which a lot is good, and by which date: its expiry, or so long after it was opened.

    A retest is no expiry.  A month runs to its last day.

    Source: common practice, no source.
    """
    ends: list[tuple[date, LotDate]] = []
    if lot.expires is not None:
        ends.append((lot.expires.on, LotDate.EXPIRY))
    if lot.opened is not None and lot.good_after_opening is not None:
        ends.append((after(lot.opened.on, lot.good_after_opening), LotDate.OPENED))
    return min(ends, key=lambda end: end[0], default=None)


def last_days_of(reckoning: Reckoning) -> dict[str, tuple[date | Missing, Saying]]:
    """Return the last day of use of every batch, up to and including, and why that day.

    The earliest of: the period of the formula (assigned or by the rule) from the day of making, the expiry of each lot
    that went in, its period after opening, and the last day of each intermediate's batch.  Where no lot is named, the
    formula's own rule alone.

    Source: each also limited by the earliest expiry of any ingredient, University of Illinois, veterinary teaching
    hospital (T08-07); common practice.
    """
    done: dict[str, tuple[date | Missing, Saying]] = {}
    batches = reckoning.book.batches
    waiting: dict[str, set[str]] = {}
    users: dict[str, set[str]] = {}
    for number, all_drawn in reckoning.lots.drawn.items():
        inner = {
            lot[1]
            for drawn in all_drawn
            if (lot := drawn.lot) is not None and reckoning.lots.accounts[lot].batch is not None
        }
        waiting[number] = inner
        for used in inner:
            users.setdefault(used, set()).add(number)
    ready = [number for number, inner in waiting.items() if not inner]
    for number in ready:  # grows while it is walked
        done[number] = _last_day(reckoning, number, done)
        for user in sorted(users.get(number, ())):
            waiting[user].discard(number)
            if not waiting[user]:
                ready.append(user)
    circle = (Missing(says=says("in-a-circle"), reported=True), says("no-day"))
    return {number: done.get(number, circle) for number in batches}


def _last_day(reckoning: Reckoning, number: str, done: LastDays) -> tuple[date | Missing, Saying]:
    record = reckoning.book.batches[number]
    figures = figures_of(reckoning, record)
    if record.made is None or figures is None:
        return Missing(says=says("no-day")), says("no-day")
    own = use_by(record.made.on, figures.storage.limits)
    ends: list[tuple[date, Saying]] = [] if isinstance(own, Missing) else [own]
    for drawn in reckoning.lots.drawn[number]:
        if drawn.lot is None:
            continue
        account = reckoning.lots.accounts[drawn.lot]
        if account.lot is not None:
            end = good_until(account.lot)
            if end is not None:
                told = says("lot-expires" if end[1] is LotDate.EXPIRY else "lot-after-opening", lot=account.code)
                ends.append((end[0], told))
        else:
            last, _ = done[drawn.lot[1]]
            if isinstance(last, date):
                ends.append((last, says("batch-until", batch=account.code)))
    if not ends:
        return (own, own.says) if isinstance(own, Missing) else own
    return min(ends, key=lambda end: end[0])


def old_lots(reckoning: Reckoning, number: str, last_days: LastDays) -> Iterator[LotAge]:
    """Yield the lots that were past their last day, or due to be tested again, on the day of making."""
    day = reckoning.book.batches[number].made
    if day is None:
        return
    for drawn in reckoning.lots.drawn[number]:
        if drawn.lot is None:
            continue
        account = reckoning.lots.accounts[drawn.lot]
        if account.lot is None:
            last, _ = last_days[drawn.lot[1]]
            if isinstance(last, date) and last < day.on:
                yield LotAge(lot=account, last=last, which=LotDate.USE_BY, line=drawn.line)
            continue
        end = good_until(account.lot)
        if end is not None and end[0] < day.on:
            yield LotAge(lot=account, last=end[0], which=end[1], line=drawn.line)
        retest = account.lot.retest
        if retest is not None and retest.on < day.on:
            yield LotAge(lot=account, last=retest.on, which=LotDate.RETEST, line=drawn.line)
