"""What a product by volume holds at most by weight, where nobody wrote what 1 mL of it weighs.

Enters: a formula's amounts and composition.  Leaves: a `Composition` of upper limits, of which more is asked than told.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ..findings import Missing
from ..fraction import Fraction
from .amounts import Amounts, LineFigure
from .composition import Composition
from .known import ONE, ZERO

LIGHTEST = Fraction("0.75")
"""Grams of 1 mL of the lightest product that is likely (own choice, no source)."""


def is_of_unknown_weight(amounts: Amounts) -> bool:
    """Tell whether a formula is by volume and 1 mL of it is of unknown weight."""
    makes = amounts.makes
    return makes.unit == "mL" and isinstance(makes.amount, Fraction) and isinstance(makes.grams, Missing)


def at_lightest(amounts: Amounts, composition: Composition, done: Mapping[str, Composition]) -> Composition | None:
    """Return a composition whose shares are the most that there can be; None where that is not what is asked.

    The grams of each line ÷ 0.75 g for each millilitre.  A line by volume without a density is taken to weigh as much
    as the product, and what fills it up may be all of it.

    Source: own arithmetic; 0.75 g/mL is own choice, no source.
    """
    volume = amounts.makes.amount
    if not is_of_unknown_weight(amounts) or isinstance(volume, Missing) or not isinstance(composition.shares, Missing):
        return None
    found: dict[str, Fraction] = {}
    for line in amounts.lines:
        inner = done.get(line.key)
        shares = dict(line.takes) if inner is None else inner.shares
        if not line.counts or isinstance(shares, Missing):
            continue
        part = ONE if line.is_fill else _grams(line) / (LIGHTEST * volume)
        for key, share in shares.items():
            if key in composition.materials:
                found[key] = found.get(key, ZERO) + part * share
    return replace(composition, shares=found, at_most=frozenset(found))


def _grams(line: LineFigure) -> Fraction:
    """Return the most grams of a line; of a volume without a density as many as so much of the lightest product."""
    if not isinstance(line.high, Missing):
        return line.high
    return line.ml * LIGHTEST if isinstance(line.ml, Fraction) else ZERO
