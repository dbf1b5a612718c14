"""Stocks that a batch was reckoned from: which one limits, what is left of the others."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from .. import show
from ..findings import Missing
from ..model import Known
from ..reckon.stock import StockUse


def stock_sentences(stocks: Sequence[StockUse], signs: show.Signs) -> tuple[str, ...]:
    """Return a sentence for each stock, those that limit first; nothing for a single one, which is used up."""
    if len(stocks) < 2:
        return ()
    found = []
    for one in sorted(stocks, key=lambda use: not use.limits):
        have, used, left = (
            show.with_unit(show.plain(value, signs), one.stock.quantity.unit)
            for value in (one.stock.quantity.value, one.used, one.left)
        )
        if one.limits:
            found.append(f"{one.stock.material} limits the batch: all {have} are used.")
        else:
            found.append(f"Of {one.stock.material} {used} are used, {left} of {have} are left.")
    return tuple(found)


def stocks_json(stocks: Sequence[StockUse]) -> list[dict[str, Any]]:
    """Return the stocks for machines: exact strings in grams, and in mL where a stock is given so."""
    return [_stock_json(one) for one in stocks]


def _stock_json(one: StockUse) -> dict[str, Any]:
    grams = {"have_g": one.have_g, "used_g": one.used_g, "left_g": one.left_g}
    have = one.stock.quantity.value
    by_volume = one.stock.quantity.unit == "mL"
    ml = {"have_ml": have, "used_ml": one.used, "left_ml": one.left} if by_volume else {}
    return {
        "material": one.stock.material,
        **{name: _exact(value) for name, value in grams.items()},
        **{name: show.exact(value) for name, value in ml.items()},
        "limits": one.limits,
        "why": {name: value.reason for name, value in grams.items() if isinstance(value, Missing)},
    }


def _exact(value: Known) -> str | None:
    return show.exact(value) if isinstance(value, Fraction) else None
