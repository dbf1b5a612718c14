"""Lots in answers for machines: what to take of which, and what lies on the shelf."""

from __future__ import annotations

from datetime import date

from ..findings import Missing
from ..reckon.batchline import BatchLine
from ..reckon.from_shelf import OtherContent, Proposal
from ..reckon.on_shelf import ShelfLot
from ..reckon.weighing import MakeFirst, Weighing
from ..show import exact
from .known import hundredfold, value, whys
from .text import Json


def line_lots(weighing: Weighing, line: BatchLine) -> Json:
    """Return the lots that a line is taken of; nothing in a book that keeps none."""
    if weighing.from_shelf is None:
        return {}
    return {"lots": [row for found in weighing.from_shelf.lines.get(line.index, ()) for row in _takes(found)]}


def first_lots(weighing: Weighing, first: MakeFirst) -> Json:
    """Return what is there of an intermediate; nothing in a book that keeps no lots."""
    if weighing.from_shelf is None:
        return {}
    found = weighing.from_shelf.first.get(first.key)
    return {"lots": [] if found is None else _takes(found)}


def _takes(proposal: Proposal) -> list[Json]:
    return [
        {**shelf_lot_json(take.lot), "take": value(take.take), "content": _content_json(take.content)}
        for take in proposal.takes
    ]


def _content_json(other: OtherContent | None) -> Json | None:
    """Return what a lot holds of the substance that its line counts, where that changes what is weighed of it."""
    if other is None:
        return None
    return {
        "substance": other.substance,
        "percent": hundredfold(other.actual),
        "planned_percent": hundredfold(other.nominal),
        "planned_g": None if other.planned is None else exact(other.planned),
        "weigh_g": None if other.instead is None else exact(other.instead),
    }


def shelf_lot_json(lot: ShelfLot) -> Json:
    """Return a lot that is there: how much is left, until when it is good."""
    until = lot.until
    return {
        "lot": lot.account.code,
        "left": value(lot.left),
        "unit": lot.account.unit,
        "until": until.isoformat() if isinstance(until, date) else None,
        "retest": None if lot.retest is None else lot.retest.isoformat(),
        "state": lot.state.value,
        "why": whys({"left": lot.left}) | ({"until": until.reason} if isinstance(until, Missing) else {}),
    }
