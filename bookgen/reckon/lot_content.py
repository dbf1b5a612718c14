"""How much of a substance a lot holds, against what its material says of all lots: what to weigh of it instead.

Enters: a material and one of its lots.  Leaves: shares by weight.
"""

from __future__ import annotations

from ..fraction import Fraction
from ..model import Content, Lot, Material
from .strengths import content


def weigh_instead(planned: Fraction, nominal: Fraction, actual: Fraction) -> Fraction:
    """Return the grams of a lot that carry as much of a substance as was planned: planned × nominal ÷ actual.

    1.13 g of lactic acid at 80 % carry what 1.02 g of a lot at 88.5 % do.

    Source: own arithmetic.

    >>> round(float(weigh_instead(Fraction("1.13"), Fraction("0.8"), Fraction("0.885"))), 2)
    1.02
    """
    return planned * nominal / actual


def nominal_content(material: Material, substance: str) -> Fraction | None:
    """Return the share of a substance in a material by its file, by weight; None where it does not tell it."""
    entry = next((entry for entry in material.contains if entry.substance.casefold() == substance.casefold()), None)
    return None if entry is None else _by_weight(material, entry)


def content_of_lot(material: Material, lot: Lot, substance: str) -> Fraction | None:
    """Return the share of a substance in a lot, by weight; None where the lot does not tell it.

    One figure alone is that of the only substance that the material lists.
    """
    for entry in lot.content:
        if entry.substance.casefold() == substance.casefold():
            return _by_weight(material, entry)
        listed = material.contains
        if not entry.substance and len(listed) == 1 and listed[0].substance.casefold() == substance.casefold():
            return _by_weight(material, entry)
    return None


def _by_weight(material: Material, entry: Content) -> Fraction | None:
    share = content(material, entry)
    return share if isinstance(share, Fraction) and share else None
