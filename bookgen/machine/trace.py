"""Where a lot went, and what went into a batch, as JSON: exact strings, null with its `why`."""

from __future__ import annotations

from ..findings import Missing
from ..model import BatchRecord, Book, Filling, Quantity
from ..reckon.lots import Drawn, LotAccount
from ..reckon.trace import Traced
from ..show import exact
from .batch import findings_json
from .known import value, whys
from .text import Json


def trace_json(traced: Traced, book: Book) -> Json:
    """Return `batch` with its lots, where the code is a batch number, and `lots` with the batches that took them."""
    sources = traced.sources
    batch: Json | None = None
    if sources is not None:
        batch = {
            **_batch(book.batches[sources.batch], book),
            "lots": [
                {
                    **_lot(source.lot, book),
                    "depth": source.depth,
                    "took": [_drawn(drawn, book) for drawn in source.drawn],
                }
                for source in sources.lots
            ],
            "without_lot": [_drawn(drawn, book) for drawn in sources.without],
        }
    return {
        "code": traced.code,
        "batch": batch,
        "lots": [
            {
                **_lot(takers.lot, book),
                "batches": [
                    {
                        **_batch(book.batches[taking.batch], book),
                        "depth": taking.depth,
                        "took": [_drawn(drawn, book) for drawn in taking.took],
                    }
                    for taking in takers.batches
                ],
                "perhaps": [_drawn(drawn, book) for drawn in takers.perhaps],
            }
            for takers in traced.takers
        ],
        "findings": findings_json(traced.doubts),
    }


def _batch(record: BatchRecord, book: Book) -> Json:
    return {
        "number": record.key,
        "of": None if record.of is None else record.of.code,
        "issue": None if record.of is None else record.of.issue,
        "title": None if record.of is None else book.name_of(record.of.code),
        "made": None if record.made is None else record.made.text,
        "came_out": _quantity(record.came_out),
        "filled": [_filling(filling) for filling in record.filled],
        "kept_sample": [_filling(filling) for filling in record.kept_sample],
        "outcome": None if record.outcome is None else record.outcome.value,
    }


def _filling(filling: Filling) -> Json:
    return {"count": filling.count, "each": _quantity(filling.each)}


def _quantity(quantity: Quantity | None) -> Json | None:
    if quantity is None:
        return None
    return {"text": quantity.text, "unit": quantity.unit, "value": exact(quantity.value)}


def _lot(account: LotAccount, book: Book) -> Json:
    lot = account.lot
    return {
        "material": book.formulas[account.of].code if account.of in book.formulas else account.of,
        "name": account.name,
        "lot": account.code,
        "is_batch": account.batch is not None,
        "received": None if lot is None or lot.received is None else lot.received.text,
        "expires": None if lot is None or lot.expires is None else lot.expires.on.isoformat(),
        "retest": None if lot is None or lot.retest is None else lot.retest.on.isoformat(),
        "unit": account.unit,
        "left": value(account.left),
        "why": whys({"left": account.left}),
    }


def _drawn(drawn: Drawn, book: Book) -> Json:
    line = drawn.line
    return {
        "batch": book.batches[drawn.batch].key,
        "material": line.material,
        "phase": line.phase or None,
        "lot": line.lot or None,
        "written": None if isinstance(line.amount, Missing) else line.amount.text,
        "grams": value(drawn.grams),
        "why": whys({"grams": drawn.grams}),
    }
