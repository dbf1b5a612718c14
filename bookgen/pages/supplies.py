"""Supplies that a batch was reckoned from: which one limits, what is left of the others."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from .. import show
from ..findings import Missing
from ..model import Known
from ..reckon.supplies import SupplyUse


def supply_sentences(supplies: Sequence[SupplyUse], signs: show.Signs) -> tuple[str, ...]:
    """Return a sentence for each supply, those that limit first; nothing for a single one, which is used up."""
    if len(supplies) < 2:
        return ()
    found = []
    for one in sorted(supplies, key=lambda use: not use.limits):
        have, used, left = (
            show.with_unit(show.plain(value, signs), one.supply.quantity.unit)
            for value in (one.supply.quantity.value, one.used, one.left)
        )
        if one.limits:
            found.append(f"{one.supply.material} limits the batch: all {have} are used.")
        else:
            found.append(f"Of {one.supply.material} {used} are used, {left} of {have} are left.")
    return tuple(found)


def supplies_json(supplies: Sequence[SupplyUse]) -> list[dict[str, Any]]:
    """Return the supplies for machines: exact strings in grams, and in mL where a supply is given so."""
    return [_supply_json(one) for one in supplies]


def _supply_json(one: SupplyUse) -> dict[str, Any]:
    grams = {"have_g": one.have_g, "used_g": one.used_g, "left_g": one.left_g}
    have = one.supply.quantity.value
    by_volume = one.supply.quantity.unit == "mL"
    ml = {"have_ml": have, "used_ml": one.used, "left_ml": one.left} if by_volume else {}
    return {
        "material": one.supply.material,
        **{name: _exact(value) for name, value in grams.items()},
        **{name: show.exact(value) for name, value in ml.items()},
        "limits": one.limits,
        "why": {name: value.reason for name, value in grams.items() if isinstance(value, Missing)},
    }


def _exact(value: Known) -> str | None:
    return show.exact(value) if isinstance(value, Fraction) else None
