"""How much of a substance a lot holds, against what its material says of all lots: what to weigh of it instead.

Enters: a material and one of its lots.  Leaves: shares by weight.
"""

from __future__ import annotations

from ..fraction import Fraction
from ..model import Content, Line, Lot, Material, Superfat
from ..reference.dangers import dangers
from ..reference.soap import soap_table
from .recognised import recognised
from .standing import substance_of
from .strengths import content_between


def substance_counted(line: Line, material: Material | None) -> str | None:
    """Return the substance that a line counts: what stands after `as`, or the alkali of a lye that follows fats.

    None where it counts the material itself.
    """
    if isinstance(line.amount, Superfat):
        return None if material is None else alkali_of(material)
    return substance_of(line)


def alkali_of(material: Material) -> str | None:
    """Return which of what a material lists is lye's alkali, as it has it; None where none is, or several."""
    alkalis = [told.name for told in recognised(material, dangers().names) if told.substance in soap_table().alkalis]
    return alkalis[0] if len(alkalis) == 1 else None


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
    """Return the share, of a range the most, as lye is reckoned by; nothing else is reckoned by a range."""
    share = content_between(material, entry)[1]
    return share if isinstance(share, Fraction) and share else None
