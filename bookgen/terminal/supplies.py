"""Supplies that a batch was reckoned from: which one limits, what is left of the others."""

from __future__ import annotations

from collections.abc import Sequence

from .. import show
from ..reckon.supplies import SupplyUse


def supply_sentences(supplies: Sequence[SupplyUse], signs: show.Signs) -> tuple[str, ...]:
    """Return a sentence for each supply, those that limit first; that a single one is used up is not said.

    Where stocks of it are made to measure small amounts, some of it stays behind in these.
    """
    found = []
    for supply in sorted(supplies, key=lambda use: not use.limits):
        if len(supplies) < 2 and not supply.left:
            continue
        have, used, left = (
            show.with_unit(show.plain(value, signs), supply.supply.quantity.unit)
            for value in (supply.supply.quantity.value, supply.used, supply.left)
        )
        if supply.limits and len(supplies) > 1:
            much = f"{used} of {have}" if supply.left else f"all {have}"
            found.append(f"{supply.supply.material} limits the batch: {much} are used.")
        else:
            found.append(f"Of {supply.supply.material} {used} are used, {left} of {have} are left.")
    return (*found, *(_stocks(supply, signs) for supply in supplies if supply.stocks_g))


def _stocks(supply: SupplyUse, signs: show.Signs) -> str:
    behind = show.with_unit(show.plain(supply.stocks_g, signs), "g")
    return f"Of that, {behind} of {supply.supply.material} stay behind in stocks that small amounts are measured from."
