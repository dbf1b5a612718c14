"""Ethanol by volume: what its bottle says, the water beside it, and lines that want it diluted.

Enters: the book, or one formula.  Leaves: findings on strengths that do not go together.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..findings import Missing, Place
from ..fraction import Fraction
from ..model import ETHANOL, Material
from ..reckon.amounts import LineFigure
from ..reckon.blends import by_volume
from ..reckon.ethanol import volume_share
from ..reckon.figures import Reckoning
from ..reckon.known import ONE, ZERO, add
from ..reckon.standing import alcohol_of
from ..reckon.strengths import content, strength_of_material
from ..wording.saying import says
from .rule import Case, Said, known

ROUNDED = Fraction(1, 1000)
"""What shares written with one decimal may miss together (own choice, no source)."""
_BOTTLED = re.compile(r"[4-9]\d %")
"""A share as bottles of spirit state it by volume: a whole number from 40 to 99, with no basis."""


def spirit_and_water(reckoning: Reckoning) -> Iterator[Said]:
    """Ethanol given by volume and what is written beside it fill the material; query when they do not.

    The strength by volume is not a share by weight, so that 96 %vol leaves not 4 % of water but 6.2 %.

    Source: OIML R 22 (96 %vol is 93.84 % by weight at 20 °C).
    """
    for material in reckoning.book.materials.values():
        spirit = next((content for content in material.contains if content.by_volume), None)
        if spirit is None:
            continue
        held = add(content(material, listed) for listed in material.contains)
        if isinstance(held, Missing):
            continue
        vol = spirit.share * 100
        if held > ONE + ROUNDED:
            yield Said(
                place=material.places.get("contains", Place(path=material.path)),
                title=material.name,
                concerns=material.key,
                says=says("spirit-beyond-whole", held=held, name=spirit.substance, vol=vol),
            )
            continue
        if material.water is None or not _misses(material, held + material.water.share):
            continue
        water = material.water.share
        yield Said(
            place=material.places.get("water", Place(path=material.path)),
            title=material.name,
            concerns=material.key,
            says=says(
                "spirit-and-water",
                held=held,
                name=spirit.substance,
                vol=vol,
                water=water * 100,
                rest=max(ONE - held, ZERO),
            ),
        )


def _misses(material: Material, total: Fraction) -> bool:
    """Tell whether the parts go beyond the whole, or fall short of it where nothing else is in it."""
    return total > ONE + ROUNDED or (len(material.contains) == 1 and total < ONE - ROUNDED)


def ethanol_by_weight(reckoning: Reckoning) -> Iterator[Said]:
    """A bare whole percentage of ethanol from 40 to 99 is probably its bottle's, by volume; query, `% w/w` settles it.

    Source: common practice, no source (bottles state ethanol by volume); the figure by volume is OIML R 22.
    """
    for material in reckoning.book.materials.values():
        for entry in material.contains:
            if entry.substance.casefold() not in ETHANOL or not _BOTTLED.fullmatch(entry.text):
                continue
            yield Said(
                place=material.places.get("contains", Place(path=material.path)),
                title=material.name,
                concerns=material.key,
                says=says(
                    "ethanol-by-weight",
                    figure=entry.share * 100,
                    name=entry.substance,
                    vol=volume_share(entry.share) * 100,
                ),
            )


# ── Lines that want a strength ────────────────────────────────────────────────────────────────────────────────────


def _blends(case: Case, cause: str) -> Iterator[tuple[LineFigure, Missing]]:
    """Yield the lines of which it is not known how they are diluted, for one cause."""
    for figure in case.lines:
        blend = figure.blend
        if isinstance(blend, Missing) and blend.cause == cause and figure.key not in case.doubtful:
            yield figure, blend


def diluted_formula(case: Case) -> Iterator[Said]:
    """A strength by volume (`60 g of 70 %vol`) is wanted of a raw material, not of an intermediate; error.

    Source: common practice, no source.
    """
    for figure, _ in _blends(case, "strength-of-formula"):
        yield Said(
            place=figure.line.amount_place,
            says=says("diluted-formula", name=figure.name),
        )


def strength_not_known(case: Case) -> Iterator[Said]:
    """A material that is diluted to a strength by volume says how much ethanol it holds; error.

    Source: common practice, no source.
    """
    for figure, missing in _blends(case, "missing-content"):
        owner = case.reckoning.book.materials[figure.key]
        if missing.place.path == owner.path:
            told = says("clause", says=missing.says)
            yield Said(place=missing.place, title=owner.name, concerns=owner.key, says=told)
        else:
            told = says("lacking", why=missing.says, way=says("write-ethanol"))
            yield Said(place=figure.line.amount_place, says=told)


def strength_too_weak(case: Case) -> Iterator[Said]:
    """Diluting makes weaker, never stronger: the strength wanted is below the material's own; error.

    Source: common practice, no source.
    """
    for figure, _ in _blends(case, "strength-too-weak"):
        wanted = alcohol_of(figure.line) or ZERO
        material = case.reckoning.book.materials[figure.key]
        held = known(add(strength_of_material(material, name) or ZERO for name in sorted(ETHANOL)))
        if held:
            vol = by_volume(material, held) * 100
            told = says("strength-too-weak", name=figure.name, vol=vol, wanted=wanted * 100)
        else:
            told = says("no-strength-to-dilute", name=figure.name, wanted=wanted * 100)
        yield Said(place=figure.line.amount_place, says=told)


def water_for_strength(case: Case) -> Iterator[Said]:
    """The water that dilutes a line is one of the formula's own or the only one of the book; error.

    Source: common practice, no source.
    """
    for figure, missing in _blends(case, "water-for-strength"):
        yield Said(
            place=figure.line.amount_place,
            says=says("water-for-strength", name=figure.name, why=missing.says),
        )
