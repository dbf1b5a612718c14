"""Whether oil and water of a product hold together: what carries the one into the other, or what floats.

Enters: a formula, its composition, what its materials were recognised as.  Leaves: `Carrying`.  Whether an emulsion
holds is not judged, only whether there is anything that could make one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from ..findings import Missing
from ..fraction import Fraction
from ..model import ETHANOL, Book, Formula, Known, Material, MaterialKind, Solvent
from ..reference.dissolving import dissolving
from . import ethanol
from .amounts import Amounts
from .composition import Composition
from .functions import AROMATIC, CARRIERS, GELLING, SHAKEN, items_among
from .keysets import key_set
from .known import ONE, ZERO
from .limits import Recognitions
from .same import Same
from .strengths import strength_of_material
from .waters import water_in

SOLID = frozenset({MaterialKind.POWDER, MaterialKind.CRYSTALS, MaterialKind.SOLID})
"""Kinds whose `water:` is bound in them, as in a hydrate, and dissolves nothing (common practice, no source)."""
FLOWING = frozenset({MaterialKind.LIQUID, MaterialKind.GEL})
"""Kinds that part from oil where they are not carried."""
MOSTLY = Fraction(1, 2)
"""Share of water, or of ethanol, from which a raw material counts as that (own choice, no source)."""
AROMATIC_WATER = Fraction(5, 10000)
"""Share of aromatic oils that the water itself takes up, as aromatic waters have it: 0.05 % (T11-04)."""
HELD_BY_GEL = Fraction(1, 100)
"""Share of oil that a thickened product holds in drops (common practice, no source)."""
SOLUTION = Fraction(1, 10)
"""Share of liquids from which a product is one in which something dissolves (own choice, no source)."""
HELD_BY_POWDER = Fraction(1, 5)
"""Share of powder from which a paste holds oil and water together (common practice, no source)."""
ETHANOL_CARRIES = Fraction(1, 2)
"""Share by volume of ethanol in ethanol and water from which it carries what dissolves in it (common practice, no
source)."""
SOAP_FROM_PH = Fraction(7)
"""Where a pH is written and lies below, alkali and fat are no soap (common practice, no source)."""


class Nature(StrEnum):
    """What a material goes into by itself."""

    OILY = "oily"
    """It dissolves in oil and not in water."""
    WATERY = "watery"
    """It is half water or more, or a liquid that dissolves in water and not in oil."""


class Carrier(StrEnum):
    """Why oil and water of a product are not asked about."""

    CALLED = "called"
    """Something is called so by its function, or is known to carry."""
    SOAP = "soap"
    """Alkali makes soap of the fat."""
    SHAKEN = "shaken"
    """It is shaken before use, as its purpose says."""
    ETHANOL = "ethanol"
    """There is ethanol enough."""
    WATER = "water"
    """So little aromatic oil, or what was left to saturate it, dissolves in the water itself."""
    GEL = "gel"
    """It is thickened and holds so little oil."""
    POWDER = "powder"
    """There is powder enough to hold it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carriers:
    """What can carry oil into water, by the functions of lines and the names of materials."""

    keys: frozenset[str]
    """Materials that are called so by a line or themselves, or are known to, here or in an intermediate."""
    soap: frozenset[str]
    """Materials that make soap of fat."""
    gelling: frozenset[str]
    """Materials that thicken."""
    aromatic: frozenset[str]
    """Materials that are called aromatic."""
    saturating: frozenset[str]
    """Materials of which only what dissolves is left, here or in an intermediate (`left:`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrying:
    """The topic's figures for one formula."""

    carriers: Carriers
    """What can carry."""
    oily: tuple[str, ...]
    """Keys of what is oily, the most first; empty where nothing watery is there."""
    watery: tuple[str, ...]
    """Keys of what is watery, the most first; empty where nothing oily is there."""
    carry: tuple[str, ...]
    """Keys of what is called a carrier or known as one, and is in the product, the most first."""
    by: Carrier | None
    """What holds the two together; None where nothing does, or one of them is not there."""
    apart: tuple[str, ...]
    """Keys of the materials that nothing carries, the most first."""
    share: Fraction
    """Their share of the product together."""
    floats: bool
    """True where they are oily in a watery product, False where they are watery in an oily one."""
    bears_ethanol: bool
    """True where ethanol would dissolve all of them."""


def natures(book: Book, known_as: Recognitions) -> Mapping[str, Nature]:
    """Return the materials that are oily or watery, each looked up once.

    Ethanol, and what the table knows to dissolve in oil as well, is neither.

    Source: common practice, no source.
    """
    rows = dissolving().rows
    in_oil = {
        key
        for key, told in known_as.items()
        if any(item.substance in rows and Solvent.OIL.value in rows[item.substance].also_in for item in told)
    }
    found = ((key, _nature(Same(material))) for key, material in book.materials.items())
    return {key: nature for key, nature in found if nature and not (nature is Nature.WATERY and key in in_oil)}


@lru_cache(maxsize=16384)
def _nature(material: Same[Material]) -> Nature | None:
    """Return what a material goes into; a record that reading left as it was is not looked through again."""
    soluble = material.record.soluble
    if Solvent.OIL in soluble and Solvent.WATER not in soluble:
        return Nature.OILY
    return Nature.WATERY if _is_watery(material.record) else None


def _is_watery(material: Material) -> bool:
    water = water_in(material)
    if water is not None and water >= MOSTLY and material.kind not in SOLID:
        return True
    in_water_alone = Solvent.WATER in material.soluble and Solvent.OIL not in material.soluble
    return in_water_alone and material.kind in FLOWING and not _is_spirit(material)


def _is_spirit(material: Material) -> bool:
    strengths = (strength_of_material(material, name) for name in sorted(ETHANOL))
    return any(isinstance(strength, Fraction) and strength >= MOSTLY for strength in strengths)


def carriers_of(book: Book, amounts: Amounts, known_as: Recognitions, inner: Mapping[str, Carrying]) -> Carriers:
    """Return what can carry oil into water: by the functions of lines and materials, by names, and in intermediates.

    Source: `dissolving.yaml` and the closed lists of functions, common practice, no source.
    """
    table = dissolving()
    found: dict[str, set[str]] = {name: set() for name in ("keys", "soap", "gelling", "aromatic", "saturating")}
    for line in amounts.lines:
        if not line.counts:
            continue
        within = inner.get(line.key)
        if within is not None:
            for name, keys in found.items():
                keys |= getattr(within.carriers, name)
        material = book.materials.get(line.key)
        for name in _called_so(line.line.function, material.function if material else ""):
            found[name].add(line.key)
        for told in known_as.get(line.key, ()):
            if told.substance in table.carriers:
                found["keys"].add(line.key)
            if told.substance in table.soap_makers:
                found["soap"].add(line.key)
        if line.line.left is not None:
            found["saturating"].add(line.key)
    return Carriers(**{name: key_set(keys) for name, keys in found.items()})


@lru_cache(maxsize=4096)
def _called_so(*functions: str) -> tuple[str, ...]:
    """Return the fields of `Carriers` that a line belongs to by its function and its material's."""
    items = items_among(*functions)
    lists = (("keys", CARRIERS), ("gelling", GELLING), ("aromatic", AROMATIC))
    return tuple(name for name, named in lists if not named.isdisjoint(items))


def carrying_of(
    formula: Formula,
    book: Book,
    composition: Composition,
    its_natures: Mapping[str, Nature],
    carriers: Carriers,
    water: Known,
    alcohol: Known,
    judged: frozenset[str],
) -> Carrying:
    """Return what of oil and water in a product nothing carries.

    Oily is what dissolves in oil and not in water; watery is water and any liquid that dissolves in water and not in
    oil.  What is called an emulsifier, a solubiliser, a surfactant or the like carries the one into the other, or what
    is known to; alkali does by making soap of fat.  Where nothing does, what there is less of parts from the rest.
    Half by volume of ethanol in ethanol and water carries what dissolves in ethanol.  Aromatic oils up to 0.05 %
    dissolve in the water itself, and so does what is left of an excess.  A thickened product holds 1 % of oil, and one
    with 20 % of powder any.  What was judged by how much dissolves is not asked about again.

    Source: common practice, no source; 0.05 % as in aromatic waters made of concentrates, lecture note on them.
    """
    shares = composition.shares
    oily: dict[str, Fraction] = {}
    watery: dict[str, Fraction] = {}
    for key, share in {} if isinstance(shares, Missing) else shares.items():
        nature = its_natures.get(key)
        if nature is Nature.OILY and key not in judged:
            oily[key] = share
        elif nature is Nature.WATERY:
            watery[key] = share
    floats = sum(oily.values()) <= sum(watery.values())
    lesser = oily if floats else watery
    strong, dry = _is_strong(water, alcohol), sum(watery.values()) < SOLUTION
    by, apart = (
        _held(formula, book, shares, carriers, lesser, strong=strong, dry=dry, floats=floats)
        if oily and watery
        else (None, dict[str, Fraction]())
    )
    return Carrying(
        carriers=carriers,
        oily=tuple(oily) if watery else (),
        watery=tuple(watery) if oily else (),
        carry=() if isinstance(shares, Missing) else tuple(key for key in shares if key in carriers.keys),
        by=by,
        apart=tuple(apart),
        share=sum(apart.values(), ZERO),
        floats=floats,
        bears_ethanol=floats and all(Solvent.ETHANOL in book.materials[key].soluble for key in apart),
    )


def _held(
    formula: Formula,
    book: Book,
    shares: Mapping[str, Fraction] | Missing,
    carriers: Carriers,
    apart: Mapping[str, Fraction],
    *,
    strong: bool,
    dry: bool,
    floats: bool,
) -> tuple[Carrier | None, Mapping[str, Fraction]]:
    """Return what holds all of it together, or what is left that nothing holds."""
    if isinstance(shares, Missing):
        return None, {}
    if not carriers.keys.isdisjoint(shares):
        return Carrier.CALLED, {}
    if not carriers.soap.isdisjoint(shares) and (formula.ph is None or formula.ph.high.value >= SOAP_FROM_PH):
        return Carrier.SOAP, {}
    if not SHAKEN.isdisjoint(items_among(formula.purpose)):
        return Carrier.SHAKEN, {}
    powder = sum((share for key, share in shares.items() if _is_powder(book.materials[key], dry=dry)), ZERO)
    if powder >= HELD_BY_POWDER:
        return Carrier.POWDER, {}
    left = {key: share for key, share in apart.items() if key not in carriers.saturating}
    by = Carrier.WATER
    if floats:
        if strong and any(Solvent.ETHANOL in book.materials[key].soluble for key in left):
            left = {key: share for key, share in left.items() if Solvent.ETHANOL not in book.materials[key].soluble}
            by = Carrier.ETHANOL
        scent = {key: share for key, share in left.items() if key in carriers.aromatic}
        if sum(scent.values()) <= AROMATIC_WATER:
            left = {key: share for key, share in left.items() if key not in scent}
        if left and sum(left.values()) <= HELD_BY_GEL and not carriers.gelling.isdisjoint(shares):
            return Carrier.GEL, {}
    return (None, left) if left else (by, {})


def _is_powder(material: Material, *, dry: bool) -> bool:
    """Tell whether a material stays a powder in the product: one that dissolves in nothing, in a dry product any."""
    return material.kind in SOLID if dry else material.kind is MaterialKind.POWDER and not material.soluble


def _is_strong(water: Known, alcohol: Known) -> bool:
    """Tell whether ethanol is half by volume of ethanol and water, or may be."""
    if isinstance(alcohol, Missing):
        return True
    if isinstance(water, Missing):
        return alcohol > 0
    spirit = alcohol / ethanol.density(ONE)
    return spirit > 0 and spirit >= ETHANOL_CARRIES * (spirit + water)
