"""Two formulas side by side, as JSON."""

from __future__ import annotations

from ..findings import Missing
from ..reckon.compared import Compared, ComparedLine
from ..reckon.cost import Cost
from ..reckon.figures import Figures
from ..show import exact
from .batch import dose_json, pieces_json
from .text import Json, percent_json


def compared_json(compared: Compared, costs: tuple[Cost | Missing, Cost | Missing]) -> Json:
    """Return both sides with exact percentages; null where a side has none of it, or where it is not known, with its
    `why`."""
    return {
        "first": {**_side(compared.first), "cost": _cost(costs[0])},
        "second": {**_side(compared.second), "cost": _cost(costs[1])},
        "lines": [{**_line(line), "removed": line.removed} for line in compared.lines],
        "actives": [_line(line) for line in compared.actives],
        "carried": [_line(line) for line in compared.carried],
        "steps": [{"first": list(step.first), "second": list(step.second)} for step in compared.steps],
    }


def _side(figures: Figures) -> Json:
    formula, period = figures.formula, figures.storage.period
    storage = formula.storage
    return {
        "code": formula.code,
        "title": formula.title,
        "issue": formula.issue,
        "pH": {"low": exact(formula.ph.low.value), "high": exact(formula.ph.high.value)} if formula.ph else None,
        "place": storage.place.value if storage and storage.place else None,
        "pieces": pieces_json(figures.pieces, figures.flow.as_written),
        "mould": None if formula.mould is None else formula.mould.text,
        "capsule": None if formula.capsule is None else formula.capsule.value,
        "dose": dose_json(figures.dose),
        "period": None if isinstance(period, Missing) else {"days": period.days, "months": period.months},
    }


def _cost(cost: Cost | Missing) -> Json:
    """Return what one gram costs by currency, and what has no price: with that it is a least one."""
    each = cost if isinstance(cost, Missing) else cost.per_gram
    return {
        "per_gram": None if isinstance(each, Missing) else {currency: exact(much) for currency, much in each.items()},
        "without_price": [] if isinstance(cost, Missing) else list(cost.without),
        "why": {"per_gram": each.reason} if isinstance(each, Missing) else {},
    }


def _line(line: ComparedLine) -> Json:
    sides = {"first": line.first, "second": line.second, "difference": line.difference}
    return {
        "name": line.name,
        **{side: None if share is None else percent_json(share) for side, share in sides.items()},
        "has": [side for side in ("first", "second") if sides[side] is not None],
        "why": {side: share.reason for side, share in sides.items() if isinstance(share, Missing)},
    }
