"""Strength: how much of an active substance a raw material or an intermediate carries, share by weight."""

from __future__ import annotations

from collections.abc import Mapping

from ..findings import Missing, Place
from ..fraction import Fraction
from ..model import Book, Content, Known, Material
from ..wording.saying import says
from .composition import Composition
from .ethanol import mass_share
from .known import ONE, ZERO, add, times
from .substances import Turned, factor, meant_by, turned


def content(material: Material, entry: Content) -> Fraction | Missing:
    """Return the share of one listed substance in the material as it is weighed.

    A share of the dried material is multiplied by 1 − loss on drying.  Ethanol given by volume at 20 °C is turned into
    a share by weight by the alcohol tables: 96 %vol is 93.84 % by weight.

    Where a range is written, no amount is reckoned by it.

    Source: own arithmetic; for ethanol OIML R 22, as for alcohol by volume and by mass.
    """
    if entry.low is not None:
        return Missing(
            says=says("content-of-range", name=material.name, substance=entry.substance, text=entry.text),
            place=material.places.get("contains", Place(path=material.path)),
            cause="missing-content",
        )
    return _by_weight(material, entry, entry.share)


def content_between(material: Material, entry: Content) -> tuple[Known, Known]:
    """Return the least and the greatest share of one listed substance, by weight; alike where it is one figure.

    Source: `content`, at both ends.
    """
    high = _by_weight(material, entry, entry.share)
    return (high if entry.low is None else _by_weight(material, entry, entry.low)), high


def _by_weight(material: Material, entry: Content, share: Fraction) -> Known:
    if entry.by_volume:
        return mass_share(share)
    if not entry.of_dried:
        return share
    if material.drying is None:
        return Missing(
            says=says("content-of-dried", name=material.name, substance=entry.substance),
            place=material.places.get("contains", Place(path=material.path)),
            cause="missing-content",
        )
    return share * (ONE - material.drying.share)


def strength_of_material(material: Material, substance: str) -> Known | None:
    """Return the share of a substance in a material, by weight; None when the material does not list it.

    Another form of the same substance counts too, by their molar masses: a material that lists 99 % potassium sorbate
    holds 73.9 % as sorbic acid.  Where a material lists several forms, all of them count.  A form that is written
    under a name which several go by is not guessed.

    Source: `factor`; the sum is own arithmetic.
    """
    wanted = substance.casefold()
    found: list[Known] = []
    for entry in material.contains:
        if entry.substance.casefold() == wanted:
            found.append(content(material, entry))
        elif (its := factor(entry.substance, substance)) is not None:
            found.append(times(content(material, entry), its))
        elif (meant := meant_by(entry.substance)) and factor(meant[0], substance) is not None:
            found.append(
                Missing(
                    says=says("content-of-which", name=material.name, substance=entry.substance, meant=tuple(meant)),
                    place=material.places.get("contains", Place(path=material.path)),
                    cause="missing-content",
                )
            )
    return add(found) if found else None


def turned_for(key: str, substance: str, book: Book, compositions: Mapping[str, Composition]) -> tuple[Turned, ...]:
    """Return by which molar masses the strength of a material or formula was found: each pair of forms once."""
    shares = {key: ONE} if key in book.materials else compositions[key].shares if key in compositions else {}
    if isinstance(shares, Missing):
        return ()
    found = {
        entry.substance.casefold(): turn
        for name in shares
        for entry in book.materials[name].contains
        if entry.substance.casefold() != substance.casefold() and (turn := turned(entry.substance, substance))
    }
    return tuple(dict.fromkeys(found.values()))


def strength(key: str, substance: str, book: Book, compositions: Mapping[str, Composition], place: Place) -> Known:
    """Return the share by weight of a substance in a material or in a formula of the book.

    Through an intermediate it is the sum over its expanded composition.  A material there that does not list the
    substance is taken to carry none of it: substances are listed where they matter, for the sake of `% as`.

    Source: own arithmetic.
    """
    if key in book.materials:
        material = book.materials[key]
        held = strength_of_material(material, substance)
        return _unlisted(material.name, substance, place) if held is None or held == 0 else held
    title = book.formulas[key].title if key in book.formulas else key
    shares = compositions[key].shares if key in compositions else Missing(says=says("not-reckoned", name=title))
    if isinstance(shares, Missing):
        return Missing(
            says=says("composition-unknown", name=title, why=shares.says),
            place=place,
            reported=shares.reported,
            cause="missing-content",
        )
    found = [
        times(held, share)
        for name, share in shares.items()
        if (held := strength_of_material(book.materials[name], substance)) is not None
    ]
    total = add(found)
    return total if found and total != ZERO else _unlisted(title, substance, place)


def _unlisted(name: str, substance: str, place: Place) -> Missing:
    meant = meant_by(substance)
    which = says("can-be-these", name=substance, meant=tuple(meant)) if meant else None
    told = says("content-unwritten", name=name, substance=substance, which=which)
    return Missing(says=told, place=place, cause="missing-content")
