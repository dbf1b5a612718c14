"""What is there on one day, as JSON: exact strings, null with its `why`."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ..findings import Finding
from ..model import Book
from ..reckon.on_shelf import OnShelf, ShelfLot
from .batch import findings_json
from .lots import shelf_lot_json
from .text import Json


def shelf_json(shelf: OnShelf, book: Book, doubts: Sequence[Finding]) -> Json:
    """Return what is there, by name, the lots of each first expiring first."""
    return {
        "day": shelf.day.isoformat(),
        "items": [
            {
                "material": book.formulas[item.key].code if item.key in book.formulas else item.key,
                "name": item.name,
                "lots": [_lot(lot) for lot in item.lots],
                "disposal": [{"of": way.of, "how": way.how} for way in item.disposal],
            }
            for item in shelf.items
        ],
        "to_throw_away": [lot.account.code for _, lot in shelf.to_throw_away],
        "findings": findings_json(doubts),
    }


def _lot(lot: ShelfLot) -> Json:
    return {
        **shelf_lot_json(lot),
        "is_batch": lot.account.batch is not None,
        "until_by": None if lot.by is None or not isinstance(lot.until, date) else lot.by.value,
    }
