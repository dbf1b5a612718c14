"""Supplies that a batch was reckoned from: which one limits, what is left of the others."""

from __future__ import annotations

from collections.abc import Sequence

from .. import show
from ..reckon.supplies import SupplyUse


def supply_sentences(supplies: Sequence[SupplyUse], signs: show.Signs) -> tuple[str, ...]:
    """Return a sentence for each supply, those that limit first; a single one is used up, which is not said.

    Where stocks of it are made to measure small amounts, these take more of it than goes into the batch.
    """
    found = []
    for one in sorted(supplies, key=lambda use: not use.limits):
        if len(supplies) < 2:
            continue
        have, used, left = (
            show.with_unit(show.plain(value, signs), one.supply.quantity.unit)
            for value in (one.supply.quantity.value, one.used, one.left)
        )
        if one.limits:
            found.append(f"{one.supply.material} limits the batch: all {have} are used.")
        else:
            found.append(f"Of {one.supply.material} {used} are used, {left} of {have} are left.")
    return (*found, *(_stocks(one, signs) for one in supplies if one.stocks_g))


def _stocks(one: SupplyUse, signs: show.Signs) -> str:
    more, lacking = (show.with_unit(show.plain(grams, signs), "g") for grams in (one.stocks_g, one.lacking_g))
    said = f"Stocks that small amounts are measured from take {more} of {one.supply.material} more, not counted here"
    return f"{said}; {lacking} are lacking." if one.lacking_g else f"{said}."
