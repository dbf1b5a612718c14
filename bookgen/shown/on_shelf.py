"""What is there on one day, in words: the lots that are left, what is to be thrown away and how, what is tested again.

Made once; the page of the shelf and the terminal print it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, word
from ..model import Book, Formula
from ..reckon.lastdays import LotDate
from ..reckon.lots import LotAccount
from ..reckon.on_shelf import LotState, OnShelf, ShelfLot, Stored, on_shelf
from ..review.doubts import doubts_of_lots
from .made_records import linked
from .matter.passages import ON_SHELF, title_of
from .phrases import Phrase
from .records import Frame
from .shelf import Shelf, Way, at_root

HOW_NOT_WRITTEN = noted("Nothing is written under `disposal:`; ask whoever collects such waste.")

LotWay = Callable[[LotAccount], str]
"""Where a lot leads; empty where it has no page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredLotShown:
    """A lot that is there."""

    lot: Phrase
    """Its code, leading to its batch or to the lots of its material."""
    of: Phrase
    """The material, or code and title of the intermediate, leading to its page."""
    left: str
    """What is left of it: `412 g`."""
    digits: str
    """The same without its unit; empty where it is not known."""
    pad: str
    """Spaces behind the digits, with which the decimal signs of all lots stand below each other."""
    unit: str
    """The unit."""
    until: str
    """Until when it is good: `until 2027-05-20`."""
    remark: str
    """What is to be heeded; empty where nothing is."""
    past: bool
    """True where it is past its date."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredShown:
    """What is there of a material or an intermediate."""

    name: Phrase
    """The material, or code and title of the intermediate, leading to its page."""
    lots: tuple[StoredLotShown, ...]
    """Its lots, first expiring first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ThrowAwayShown:
    """A lot that is to be thrown away."""

    lot: StoredLotShown
    """The lot."""
    much: str
    """What is left of it; empty where it is not known."""
    ways: tuple[str, ...]
    """How, as the material says; of an intermediate as each of its materials says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RetestShown:
    """A lot of which the day of retest is past."""

    lot: StoredLotShown
    """The lot."""
    by: str
    """The day: `by 2026-07-31`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIsThere:
    """What is there on one day."""

    day: str
    """The day, at whose end so much was there."""
    items: tuple[StoredShown, ...]
    """Materials and intermediates, by name."""
    throw_away: tuple[ThrowAwayShown, ...]
    """What is past its date, by name."""
    test_again: tuple[RetestShown, ...]
    """What is to be tested again before it is used, by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnShelfShown:
    """The page of the shelf."""

    frame: Frame
    """What surrounds it."""
    title: str
    """Its heading."""
    there: WhatIsThere
    """What it tells."""
    doubts: tuple[str, ...]
    """What lots and records have wrong, so that it may not be right."""


def there_shown(
    shelf: OnShelf,
    book: Book,
    way: Way = lambda _: "",
    lot_way: LotWay = lambda _: "",
) -> WhatIsThere:
    """Return what is there, in words; `way` and `lot_way` say where they lead on a page."""
    signs = show.signs_of(book.workroom)
    items, throw_away, test_again = [], [], []
    most = max((show.decimals(_digits(lot, signs), signs) for item in shelf.items for lot in item.lots), default=0)
    for item in shelf.items:
        name = linked(_called(item, book), way(item.key))
        rows = []
        for lot in item.lots:
            digits = _digits(lot, signs)
            row = StoredLotShown(
                lot=linked(lot.account.code, lot_way(lot.account)),
                of=name,
                left=_left_words(lot, signs),
                digits=digits,
                pad=show.padding(digits, most, signs) if digits else "",
                unit=lot.account.unit,
                until=_until_words(lot, signs),
                remark="; ".join(_remarks(lot)),
                past=lot.state is LotState.PAST,
            )
            rows.append(row)
            if lot.state is LotState.PAST:
                much = row.left if isinstance(lot.left, Fraction) else ""
                throw_away.append(ThrowAwayShown(lot=row, much=much, ways=_ways(item, book)))
            elif lot.state is LotState.RETEST and lot.retest is not None:
                test_again.append(RetestShown(lot=row, by=word("by {day}", day=show.day(lot.retest))))
        items.append(StoredShown(name=name, lots=tuple(rows)))
    return WhatIsThere(
        day=show.day(shelf.day),
        items=tuple(items),
        throw_away=tuple(throw_away),
        test_again=tuple(test_again),
    )


def on_shelf_shown(shelf: Shelf) -> OnShelfShown:
    """Return the page of what is there on the day that the pages are made for."""
    if shelf.day is None:
        raise ValueError("no day")
    root, book = at_root(shelf), shelf.book

    def lot_way(account: LotAccount) -> str:
        number = account.code.casefold()
        return root.batch_way(number) if account.batch is not None else f"{root.way(account.of)}#lots"

    doubts = doubts_of_lots(book, shelf.review.findings)
    return OnShelfShown(
        frame=root.frame(),
        title=title_of(ON_SHELF),
        there=there_shown(on_shelf(shelf.reckoning, shelf.day), book, root.way, lot_way),
        doubts=tuple(doubt.message for doubt in doubts),
    )


def _called(item: Stored, book: Book) -> str:
    found = book.at(item.key)
    return f"{found.code} {found.title}" if isinstance(found, Formula) else item.name


def _left_words(lot: ShelfLot, signs: show.Signs) -> str:
    """Return how much is left of a lot: `412 g`."""
    return show.with_unit(_digits(lot, signs), lot.account.unit) if _digits(lot, signs) else word("not known")


def _digits(lot: ShelfLot, signs: show.Signs) -> str:
    """Return the same without its unit; empty where it is not known."""
    return "" if isinstance(lot.left, Missing) else show.plain(lot.left, signs)


def _until_words(lot: ShelfLot, signs: show.Signs) -> str:
    """Return until when a lot is good: `until 2027-05-20`."""
    if isinstance(lot.until, Missing):
        return word("date not known: {why}", why=lot.until.says.words(signs))
    return word("no date written") if lot.until is None else word("until {day}", day=show.day(lot.until))


def _remarks(lot: ShelfLot) -> Iterator[str]:
    """Yield what is to be heeded of a lot."""
    if lot.by is LotDate.OPENED:
        yield word("since it is open")
    if lot.state is LotState.PAST:
        yield word("past its date")
    if isinstance(lot.retest, date):
        due = (
            noted("to be tested again {day}, which is past")
            if lot.state is LotState.RETEST
            else noted("to be tested again {day}")
        )
        yield word(due, day=show.day(lot.retest))
    if isinstance(lot.left, Missing):
        yield lot.left.says.words()


def _ways(item: Stored, book: Book) -> tuple[str, ...]:
    """Return how something is thrown away, of an intermediate what each of its materials says."""
    within = item.key in book.formulas
    return tuple(word("{what} in it: {how}", what=way.of, how=way.how) if within else way.how for way in item.disposal)
