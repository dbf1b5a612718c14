"""Ethanol by volume: what its bottle says, the water beside it, and lines that want it diluted.

Enters: the book, or one formula.  Leaves: findings on strengths that do not go together.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..findings import Missing, Place
from ..model import Material
from ..reckon.figures import Reckoning
from ..reckon.known import ONE, ZERO, add
from ..reckon.strengths import content
from ..show import fixed, plain, signs_of
from .rule import Said

ROUNDED = Fraction(1, 1000)
"""What shares written with one decimal may miss together (own choice, no source)."""


def spirit_and_water(reckoning: Reckoning) -> Iterator[Said]:
    """Ethanol given by volume and the water written beside it fill the material; query when they do not.

    The strength by volume is no share by weight, so that 96 %vol leaves not 4 % of water but 6.2 %.

    Source: OIML R 22 (96 %vol is 93.84 % by weight at 20 °C).
    """
    signs = signs_of(reckoning.book.workroom)
    for material in reckoning.book.materials.values():
        spirit = next((one for one in material.contains if one.by_volume), None)
        if spirit is None or material.water is None:
            continue
        held, water = add(content(material, one) for one in material.contains), material.water.share
        if isinstance(held, Missing) or not _misses(material, held + water):
            continue
        rest = max(ONE - held, ZERO)
        yield Said(
            place=material.places.get("water", Place(path=material.path)),
            title=material.name,
            concerns=material.key,
            words=f"what it contains is {fixed(held * 100, 2, signs)} % by weight ({spirit.substance} of "
            f"{plain(spirit.share * 100, signs)} %vol at 20 °C), which does not go with {plain(water * 100, signs)} % "
            f"of water; the rest is {fixed(rest * 100, 2, signs)} %",
        )


def _misses(material: Material, total: Fraction) -> bool:
    """Tell whether the parts go beyond the whole, or fall short of it where nothing else is in it."""
    return total > ONE + ROUNDED or (len(material.contains) == 1 and total < ONE - ROUNDED)
