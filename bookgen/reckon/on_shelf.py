"""What stands on the shelf on one day: of every material and intermediate the lots that are left, first expiring first.

Enters: a reckoned book and a day.  Leaves: `OnShelf`.  Only what had happened by the end of that day counts.  A lot
that is used up or thrown away, or of which nothing is left by the records, is not there; one of which nobody can say
how much is left is there, and the amount is a Missing, never zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known, Material
from ..wording.saying import says
from .figures import Reckoning
from .lastdays import LastDays, LotDate, good_until, last_days_of
from .lots import LotAccount, Movement

AMOUNT_KEYS = frozenset({"received", "amount", "made", "came_out", "counted", "used_up", "discarded", "outcome"})
"""Fields of a lot or a batch that tell whether it is there and how much of it."""
DATE_KEYS = frozenset({"expires", "retest", "opened", "good_after_opening"})
"""Fields of a lot that tell until when it is good."""


class LotState(StrEnum):
    """How a lot stands to its dates on the day."""

    GOOD = "good"
    RETEST = "to be tested again"
    """Its day of retest is past, which is no expiry."""
    PAST = "past its date"
    """To be thrown away."""
    UNKNOWN = "date not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfLot:
    """A lot that is there."""

    account: LotAccount
    """The lot, with its unit."""
    left: Known
    """What is left of it at the end of the day, in its unit, above 0."""
    until: date | Missing | None
    """The last day on which it is good; None where no date is written."""
    by: LotDate | None
    """Which date that is; None where there is none."""
    retest: date | None
    """When it is to be tested again."""
    state: LotState
    """How it stands to its dates."""

    @property
    def is_usable(self) -> bool:
        """True where it may be taken; one that is to be tested again only once it is."""
        return self.state in (LotState.GOOD, LotState.RETEST)


@dataclass(frozen=True, slots=True, kw_only=True)
class Disposal:
    """How something is thrown away."""

    of: str
    """The material's name."""
    how: str
    """Its `disposal:`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """A material or an intermediate with what is there of it."""

    key: str
    """Its key."""
    name: str
    """Name of the material or title of the formula."""
    lots: tuple[ShelfLot, ...]
    """Its lots, first expiring first."""
    disposal: tuple[Disposal, ...]
    """How it is thrown away: of an intermediate what its materials say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnShelf:
    """What is there on one day."""

    day: date
    """The day, at whose end so much was there."""
    items: tuple[Stored, ...]
    """Materials and intermediates of which something is there, by name."""

    def of(self, key: str) -> tuple[ShelfLot, ...]:
        """Return the lots of a material or intermediate, first expiring first."""
        return next((item.lots for item in self.items if item.key == key), ())

    @property
    def to_throw_away(self) -> tuple[tuple[Stored, ShelfLot], ...]:
        """The lots that are past their date, by name."""
        return tuple((item, lot) for item in self.items for lot in item.lots if lot.state is LotState.PAST)


def on_shelf(reckoning: Reckoning, day: date) -> OnShelf:
    """Return what is there of every material and intermediate at the end of a day.

    What is there is what was received or last counted, less what records took of it since.  A batch of an intermediate
    is a lot of it: what came out less what later batches took.  Lots stand first expiring first; of the same date the
    one that came first.  A day of retest is no expiry: such a lot is told apart and is not thrown away.

    Source: first expiring first, and retest as no expiry, are common practice, no source.
    """
    last_days = last_days_of(reckoning)
    found: dict[str, list[ShelfLot]] = {}
    for account in reckoning.lots.accounts.values():
        if account.batch is not None and not _is_intermediate(reckoning, account):
            continue
        lot = _standing(account, day, last_days)
        if lot is not None:
            found.setdefault(account.of, []).append(lot)
    items = [
        Stored(key=key, name=lots[0].account.name, lots=first_expiring(lots), disposal=_disposal(reckoning, key))
        for key, lots in found.items()
    ]
    return OnShelf(day=day, items=tuple(sorted(items, key=lambda item: (item.name.casefold(), item.key))))


def first_expiring(lots: Iterable[ShelfLot]) -> tuple[ShelfLot, ...]:
    """Return lots in the order in which they are to be used.

    By their last day, those without one last; of one day the one that came first, then by code.

    Source: common practice, no source.
    """

    def order(lot: ShelfLot) -> tuple[date, date, str]:
        until = lot.until if isinstance(lot.until, date) else date.max
        return until, lot.account.came or date.max, lot.account.code.casefold()

    return tuple(sorted(lots, key=order))


def left_on(account: LotAccount, day: date) -> Known | None:
    """Return what is left of a lot at the end of a day, in its unit.

    What was received or last counted, less what batches took of it since.  Nothing is left of a lot that was used up or
    thrown away by then.

    `account` is not there on a day before it came or after its end: None then.

    Source: own arithmetic.
    """
    if account.came is not None and account.came > day:
        return None
    events = account.lot or account.batch
    if events is not None and not AMOUNT_KEYS.isdisjoint(_fields(events.unread)):
        return Missing(says=says("lot-not-read", code=account.code), reported=True)
    past = [entry for entry in account.entries if entry.day <= day]
    if any(entry.kind >= Movement.USED_UP for entry in past):
        return None
    left = past[-1].left if past else account.amount
    if isinstance(left, Fraction) and left < 0:
        return Missing(says=says("lot-more-taken", code=account.code), reported=True)
    return left or None


def _fields(unread: Iterable[str]) -> Sequence[str]:
    """Return the fields that could not be read."""
    return [key.replace(" ", "_") for key in unread]


def _is_intermediate(reckoning: Reckoning, account: LotAccount) -> bool:
    """Tell whether a batch is of something that goes into other formulas, or went into a batch."""
    use = reckoning.book.formulas[account.of].use
    used = reckoning.graph.used_by.get(account.of, ())
    return bool(used) or (use is not None and use.intermediate) or any(entry.drawn for entry in account.entries)


def _standing(account: LotAccount, day: date, last_days: LastDays) -> ShelfLot | None:
    left = left_on(account, day)
    if left is None:
        return None
    until: date | Missing | None = None
    by: LotDate | None = None
    retest: date | None = None
    if account.lot is None:
        until, by = last_days[account.code.casefold()][0], LotDate.USE_BY
    elif not DATE_KEYS.isdisjoint(_fields(account.lot.unread)):
        until = Missing(says=says("lot-not-read", code=account.code), reported=True)
    else:
        end = good_until(account.lot)
        if end is not None:
            until, by = end
        retest = account.lot.retest.on if account.lot.retest is not None else None
    state = LotState.GOOD
    if isinstance(until, Missing):
        state = LotState.UNKNOWN
    elif until is not None and until < day:
        state = LotState.PAST
    elif retest is not None and retest < day:
        state = LotState.RETEST
    return ShelfLot(account=account, left=left, until=until, by=by, retest=retest, state=state)


def _disposal(reckoning: Reckoning, key: str) -> tuple[Disposal, ...]:
    """Return how a material is thrown away, or each of the materials in an intermediate."""
    materials = reckoning.book.materials
    if key in materials:
        inside: Iterable[str] = (key,)
    else:
        inside = sorted(reckoning.figures[key].composition.materials) if key in reckoning.figures else ()
    return tuple(
        Disposal(of=item.name, how=item.disposal)
        for item in (materials.get(name) for name in inside)
        if isinstance(item, Material) and item.disposal
    )
