"""The shopping list of a day as JSON and CSV."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from .. import show
from ..findings import Finding
from ..model import Book, Formula, Known
from ..reckon.first import MakeFirst
from ..reckon.needs import Need, Needs, Order
from ..terminal.needs import asked_words
from .batch import findings_json, made_json
from .known import value, whys
from .lots import shelf_lot_json
from .text import csv_text

CSV_COLUMNS = ("material", "name", "grams", "ml", "by_volume_ml", "have_g", "have_ml", "missing_g", "missing_ml",
               "asked_by", "why")  # fmt: skip
"""Columns of `--csv`: a row for each material, then one for each that is not known, with its reason."""


def needs_json(found: Needs, book: Book) -> dict[str, Any]:
    """Return the list by the rules of `weigh --json`: exact strings, null with its reason."""
    return {
        "orders": [_order_json(order, book) for order in found.orders],
        "make_first": [_made_json(first, book) for first in found.make_first],
        "materials": [_need_json(need, book) for need in found.materials],
        "unknown": [
            {
                "material": _called(book, unweighed.key, unweighed.name),
                "name": unweighed.name,
                "asked_by": book.formulas[unweighed.user].code,
                "why": unweighed.why.reason,
            }
            for unweighed in found.unknown
        ],
        "unused": [_called(book, key, key) for key in found.unused],
        **_uncounted(found, book),
        "why": {},
        "findings": [],
    }


def _uncounted(found: Needs, book: Book) -> dict[str, Any]:
    """Return the lots that were not counted, where the shelf was asked for."""
    if found.uncounted is None:
        return {}
    lots = [{"material": _called(book, lot.account.of, ""), **shelf_lot_json(lot)} for lot in found.uncounted]
    return {"not_counted": lots}


def refused_needs_json(reason: str, findings: Sequence[Finding]) -> dict[str, Any]:
    """Return the answer for a day that is refused: the same shape, nothing in it, the reason."""
    shape: dict[str, Any] = {name: [] for name in ("orders", "make_first", "materials", "unknown", "unused")}
    return {**shape, "why": {"materials": reason}, "findings": findings_json(findings)}


def needs_csv(answer: dict[str, Any]) -> str:
    """Return the materials as comma-separated values, as `csv_text` writes them; what is not known has its reason."""
    told = (
        {**row, "asked_by": " ".join(row["asked_by"]), "why": "; ".join(row["why"].values())}
        for row in answer["materials"]
    )
    return csv_text(CSV_COLUMNS, (*told, *answer["unknown"]))


def _order_json(order: Order, book: Book) -> dict[str, Any]:
    formula = book.formulas[order.key]
    fields: dict[str, Known | None] = {
        "obtain_g": order.obtain_g,
        "obtain_ml": order.obtain_ml,
        "start_g": order.evaluation.start_g,
    }
    return {
        "code": formula.code,
        "title": formula.title,
        "text": asked_words(order),
        **{name: value(known) for name, known in fields.items()},
        "why": whys(fields),
    }


def _made_json(first: MakeFirst, book: Book) -> dict[str, Any]:
    formula = book.formulas[first.key]
    users = [book.formulas[key].code for key in first.users]
    return made_json(first, formula.code, formula.title, asked_by=users)


def _need_json(need: Need, book: Book) -> dict[str, Any]:
    return {
        "material": _called(book, need.key, need.key),
        "name": need.name,
        "grams": show.exact(need.grams),
        "ml": value(need.ml),
        "by_volume_ml": show.exact(need.by_volume_ml),
        "have_g": show.exact(need.have_g),
        "have_ml": show.exact(need.have_ml),
        "missing_g": show.exact(need.missing_g),
        "missing_ml": show.exact(need.missing_ml),
        "asked_by": [book.formulas[key].code for key in need.users],
        "why": whys({"ml": need.ml}),
    }


def _called(book: Book, key: str, otherwise: str) -> str:
    """Return what lines call a material or formula: its file name or code, as written."""
    item = book.find(key)
    return otherwise if item is None else item.code if isinstance(item, Formula) else item.key
