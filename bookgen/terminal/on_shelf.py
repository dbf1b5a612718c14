"""What is there on one day, as text."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from .. import show
from ..findings import Finding, Missing
from ..fraction import Fraction
from ..model import Book, Formula
from ..reckon.lastdays import LotDate
from ..reckon.on_shelf import LotState, OnShelf, ShelfLot, Stored
from ..shown.shelf import LAW_SHORT
from .columns import WIDEST, doubted, side_by_side, wrapped


def shelf_text(shelf: OnShelf, book: Book, doubts: Sequence[Finding], width: int = WIDEST) -> str:
    """Return what is there, what is to be thrown away and how, what is to be tested again, what is not sure."""
    signs = show.signs_of(book.workroom)
    parts = [
        _there(shelf, book, signs),
        _to_throw_away(shelf, book, signs, width),
        _to_be_tested(shelf, signs),
        _doubts(doubts, width),
        wrapped(LAW_SHORT, 0, width),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _there(shelf: OnShelf, book: Book, signs: show.Signs) -> list[str]:
    if not shelf.items:
        return [f"By the records nothing is there on {show.day(shelf.day)}."]
    rows: list[tuple[str, ...] | str] = []
    for item in shelf.items:
        rows.append(_called(item, book))
        rows += (
            (f"  {lot.account.code}", left_words(lot, signs), until_words(lot, signs), _remark(lot))
            for lot in item.lots
        )
    return [f"There on {show.day(shelf.day)}", *side_by_side(rows, (0, 2, 3))]


def _called(item: Stored, book: Book) -> str:
    found = book.at(item.key)
    return f"  {found.code} {found.title}" if isinstance(found, Formula) else f"  {item.name}"


def left_words(lot: ShelfLot, signs: show.Signs) -> str:
    """Return how much is left of a lot: `412 g`."""
    if isinstance(lot.left, Missing):
        return "not known"
    return show.with_unit(show.plain(lot.left, signs), lot.account.unit)


def until_words(lot: ShelfLot, signs: show.Signs) -> str:
    """Return until when a lot is good: `until 2027-05-20`."""
    if isinstance(lot.until, Missing):
        return f"date not known: {lot.until.says.words(signs)}"
    return "no date written" if lot.until is None else f"until {show.day(lot.until)}"


def _remark(lot: ShelfLot) -> str:
    """Return what is to be heeded of a lot."""
    told: list[str] = []
    if lot.by is LotDate.OPENED:
        told.append("as it is open")
    if lot.state is LotState.PAST:
        told.append("past its date")
    if isinstance(lot.retest, date):
        due = ", which is past" if lot.state is LotState.RETEST else ""
        told.append(f"to be tested again {show.day(lot.retest)}{due}")
    if isinstance(lot.left, Missing):
        told.append(lot.left.says.words())
    return "; ".join(told)


def _to_throw_away(shelf: OnShelf, book: Book, signs: show.Signs, width: int) -> list[str]:
    """Return the lots that are past their date, and how each is thrown away."""
    lines: list[str] = []
    for item, lot in shelf.to_throw_away:
        much = f", {left_words(lot, signs)}" if isinstance(lot.left, Fraction) else ""
        lines += wrapped(f"  {lot.account.code} of {_called(item, book).strip()}{much}", 6, width)
        ways = [(way.of, way.how) for way in item.disposal]
        if item.key in book.formulas:
            lines += (line for of, how in ways for line in wrapped(f"      {of} in it: {how}", 6, width))
        else:
            lines += (line for _, how in ways for line in wrapped(f"      {how}", 6, width))
        if not ways:
            lines.append("      How is not written under `disposal:`; ask whoever collects such waste.")
    return ["To be thrown away, as it is past its date; then write `discarded:`", *lines] if lines else []


def _to_be_tested(shelf: OnShelf, signs: show.Signs) -> list[str]:
    """Return the lots of which the day of retest is past."""
    rows = [
        (lot.account.code, item.name, left_words(lot, signs), f"by {show.day(lot.retest)}")
        for item in shelf.items
        for lot in item.lots
        if lot.retest is not None and lot.state is LotState.RETEST
    ]
    return ["To be tested again before it is used; this is no expiry", *side_by_side(rows, (0, 1, 3))] if rows else []


def _doubts(doubts: Sequence[Finding], width: int) -> list[str]:
    """Return the errors in lots and records."""
    if not doubts:
        return []
    return ["What lots and records have wrong, so that this may not be right", *doubted(doubts, width)]
