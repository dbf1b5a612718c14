"""Strength: how much of an active substance a raw material or an intermediate carries, share by weight."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from ..findings import Missing, Place
from ..model import Book, Content, Known, Material
from .composition import Composition
from .known import ONE, ZERO, add, times


def content(material: Material, entry: Content) -> Fraction | Missing:
    """Return the share of one listed substance in the material as it is weighed.

    A share of the dried material is multiplied by 1 − loss on drying.

    Source: own arithmetic.
    """
    if not entry.of_dried:
        return entry.share
    if material.drying is None:
        return Missing(
            reason=f"{material.name} gives {entry.substance} of the dried material; write `drying:`",
            place=material.places.get("contains", Place(path=material.path)),
            cause="missing-content",
        )
    return entry.share * (ONE - material.drying.share)


def strength_of_material(material: Material, substance: str) -> Known | None:
    """Return the share of a substance in a material; None when the material does not list it."""
    wanted = substance.casefold()
    found = [content(material, entry) for entry in material.contains if entry.substance.casefold() == wanted]
    return add(found) if found else None


def strength(key: str, substance: str, book: Book, compositions: Mapping[str, Composition], place: Place) -> Known:
    """Return the share by weight of a substance in a material or in a formula of the book.

    Through an intermediate it is the sum over its expanded composition.  A material there that does not list the
    substance is taken to carry none of it: substances are listed where they matter, for the sake of `% as`.

    Source: own arithmetic.
    """
    if key in book.materials:
        material = book.materials[key]
        listed = strength_of_material(material, substance)
        if listed is None:
            return _unlisted(material.name, substance, place)
        if listed == 0:
            return _unlisted(material.name, substance, place)
        return listed
    title = book.formulas[key].title if key in book.formulas else key
    shares = compositions[key].shares if key in compositions else Missing(reason=f"{title} is not reckoned")
    if isinstance(shares, Missing):
        return Missing(
            reason=f"the composition of {title} is not known: {shares.reason}",
            place=place,
            reported=shares.reported,
            cause="missing-content",
        )
    found = [
        times(listed, share)
        for name, share in shares.items()
        if (listed := strength_of_material(book.materials[name], substance)) is not None
    ]
    total = add(found)
    return total if found and total != ZERO else _unlisted(title, substance, place)


def _unlisted(name: str, substance: str, place: Place) -> Missing:
    return Missing(reason=f"{name} does not say how much {substance} it contains", place=place, cause="missing-content")
