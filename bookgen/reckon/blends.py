"""Diluted ethanol on the spot: a line that wants a strength by volume is made of its material and of water.

Enters: a line, its formula, the book, the strengths of what it uses.  Leaves: `Blend`, the shares by weight of the two
in the diluted ethanol.  `60 g of 70 %vol` is 60 g of the diluted ethanol.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..findings import Missing, Place
from ..fraction import Fraction
from ..model import ETHANOL, Book, Formula, Line, Material
from ..wording.saying import says
from .densities import is_water
from .dilution import strong_part
from .ethanol import contraction_ml, mass_share, volume_share
from .known import ONE
from .measure import half_up
from .standing import StrengthOf, alcohol_of, unfound


@dataclass(frozen=True, slots=True, kw_only=True)
class Blend:
    """A line's material, diluted with water to the strength that the line wants."""

    strong: Fraction
    """Share by weight of the material in the diluted ethanol, 1 when it has that strength already."""
    water: str
    """Key of the material that is the water; empty when none is needed."""
    want: Fraction
    """Ethanol wanted, share by weight."""
    have: Fraction
    """Ethanol in the material, share by weight."""
    want_volume: Fraction
    """Ethanol wanted, share by volume at 20 °C, as written."""
    have_volume: Fraction
    """Ethanol in the material, share by volume at 20 °C."""


def blend_of(line: Line, formula: Formula, book: Book, strength: StrengthOf) -> Blend | Missing | None:
    """Return how a line's material is diluted with water to the strength that the line wants.

    Both strengths are taken by weight, where what is dissolved stays the same: wanted ÷ had is the share of the strong
    one by weight, and water is the rest.  70 %vol is 62.39 % by weight and 96 %vol is 93.84 %, so that 60 g take
    39.89 g of the strong one and 20.11 g of water.  By volume the two would shrink.

    The water is the one of the same formula, else the only one of the book that is nothing but water.

    `None` where the line wants no strength of its own.

    Source: own arithmetic on the rule of dilution; the strengths by weight from OIML R 22.
    """
    wanted = alcohol_of(line)
    if wanted is None:
        return None  # nearly every line, so nothing is looked up for it
    key = book.key_of(line.material)
    material = book.at(key)
    if material is None:
        return unfound(line)
    if not isinstance(material, Material):
        return Missing(
            says=says("formula-undiluted", name=material.title),
            place=line.amount_place,
            cause="strength-of-formula",
        )
    name = next(
        (content.substance for content in material.contains if content.substance.casefold() in ETHANOL), "ethanol"
    )
    have = strength(key, name, line.amount_place)
    if isinstance(have, Missing):
        return have
    want = mass_share(wanted)
    have_volume = by_volume(material, have)
    if want == have:
        return Blend(strong=ONE, water="", want=want, have=have, want_volume=wanted, have_volume=have_volume)
    strong = strong_part(have, want)
    if isinstance(strong, Missing):
        return Missing(says=strong.says, place=line.amount_place, cause="strength-too-weak")
    water = _water(line, formula, book)
    if isinstance(water, Missing):
        return water
    return Blend(strong=strong, water=water, want=want, have=have, want_volume=wanted, have_volume=have_volume)


BILLIONTH = Fraction(1, 10**9)
"""Millilitres of shrinking are rounded to nine decimals: the alcohol tables vouch for five."""


def shrinking(blend: Blend) -> Fraction:
    """Return by how many millilitres one gram of diluted ethanol is less than its two parts.

    Source: as `contraction_ml`.
    """
    return half_up(contraction_ml(blend.strong, blend.have, ONE - blend.strong), BILLIONTH)


def by_volume(material: Material, have: Fraction) -> Fraction:
    """Return the strength by volume at 20 °C of a material: as it lists it, else from its share by weight.

    Source: as `volume_share`.
    """
    return next((content.share for content in material.contains if content.by_volume), None) or volume_share(have)


def _water(line: Line, formula: Formula, book: Book) -> str | Missing:
    """Return the key of the water that dilutes: the formula's own, else the only one of the book."""
    for other in formula.lines:
        key = book.key_of(other.material)
        if key in book.materials and is_water(book.materials[key]):
            return key
    waters = [key for key, material in book.materials.items() if is_water(material)]
    if len(waters) == 1:
        return waters[0]
    unread = next((material for material in book.materials.values() if "water" in material.unread), None)
    if unread is not None and not waters:
        return Missing(says=says("water-unread", name=unread.name), place=Place(path=unread.path), reported=True)
    names = tuple(book.materials[key].key for key in waters)
    told = says("which-water", names=names) if waters else says("no-water")
    return Missing(says=told, place=line.amount_place, cause="water-for-strength")
