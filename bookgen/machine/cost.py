"""What a batch costs, as JSON: exact strings, null with its `why`."""

from __future__ import annotations

from ..findings import Missing
from ..reckon.cost import Cash, Cost, CostLine
from ..show import exact
from .known import value, whys
from .text import Json


def cost_json(cost: Cost, code: str, title: str, batch: str) -> Json:
    """Return the sums by currency and the lines; `batch` is the number of a batch on record, or empty."""
    return {
        "code": code,
        "title": title,
        "batch": batch or None,
        "total": _cash(cost.total),
        "at_least": bool(cost.without) or cost.containers_without,
        "without_price": [*cost.without, *(["containers"] if cost.containers_without else [])],
        "ingredients": _cash(cost.ingredients),
        "per_gram": _cash(cost.per_gram),
        "out_g": value(cost.out),
        "containers": [
            {
                "content": {"value": exact(content.value), "unit": content.unit},
                "cost": _cash(each),
                "why": _why({"cost": each}),
            }
            for content, each in cost.each
        ],
        "lines": [_line(line) for line in cost.lines],
        "why": _why({"per_gram": cost.per_gram}) | whys({"out_g": cost.out}),
    }


def _line(line: CostLine) -> Json:
    return {
        "name": line.name,
        "price_of": line.lot or None,
        "grams": value(line.grams),
        "cost": _cash(line.cash),
        "without_price": list(line.without),
        "why": whys({"grams": line.grams}) | _why({"cost": line.cash}),
    }


def _cash(cash: Cash | Missing) -> dict[str, str] | None:
    return None if isinstance(cash, Missing) else {currency: exact(much) for currency, much in cash.items()}


def _why(fields: dict[str, Cash | Missing]) -> dict[str, str]:
    return {name: known.reason for name, known in fields.items() if isinstance(known, Missing)}
