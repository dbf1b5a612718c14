"""Water: what each material brings, what of it is bound, and how much of it a product holds.

Enters: a composition.  Leaves: `Waters`, from which `storage` tells what could spoil.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Known, Material, MaterialKind, Solvent
from ..wording.saying import says
from .composition import Composition
from .known import ONE, ZERO, add, total
from .same import Same
from .strengths import content

WATER_THAT_COUNTS = Fraction(1, 100)
"""Less free water than this share is not judged as water that can spoil (own choice, no source)."""
DRY_KINDS = frozenset(
    {MaterialKind.POWDER, MaterialKind.CRYSTALS, MaterialKind.WAX, MaterialKind.BUTTER, MaterialKind.RESIN}
)
"""Kinds that bring no free water unless they say so (common practice, no source)."""
BOUND_KINDS = frozenset({MaterialKind.POWDER, MaterialKind.SOLID})
"""Kinds that hold a little moisture so fast that nothing grows on it: starch, clay, dried herbs."""
BOUND_UP_TO = Fraction(15, 100)
"""Share of water up to which they do (as much as maize starch may lose on drying, Ph. Eur., from memory)."""
_WATERY = re.compile(r"\b(aqua|water|eau)\b", re.IGNORECASE)
"""How a label name says that there is water in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waters:
    """The water of one product, as shares of it."""

    named: Known
    """What the materials bring of which that is known."""
    most: Known
    """That, and all of those of which it is not."""
    counts: bool
    """True when what is not bound is enough to spoil, or some is there whose share is not known."""
    unsure: tuple[str, ...]
    """Keys of the materials of which it is not known whether they bring water, where that could matter."""
    why: Missing | None
    """That it is not known of these; None where there are none."""

    @property
    def all(self) -> Known:
        """All its water; Missing where that of a material is not known and could matter."""
        return self.named if self.why is None or isinstance(self.named, Missing) else self.why


def water_in(material: Material) -> Fraction | None:
    """Return the free water that a material brings, as a share of its weight.

    As its file states it; none for a powder, crystals, a wax, a butter, a resin or what dissolves in oil alone.  A list
    of contents says that there is no other water only when it reaches the whole: 80 % lactic acid leaves a fifth of
    which nothing is said, and then the water is not known.

    Source: common practice, no source.
    """
    if material.water is not None:
        return material.water.share
    if material.kind in DRY_KINDS or material.soluble == (Solvent.OIL,):
        return ZERO
    if any(_WATERY.search(part.name) for part in material.label):
        return None
    contents = add(content(material, entry) for entry in material.contains)
    named = add(part.share for part in material.label if part.share is not None)
    return ZERO if ONE in (contents, named) else None


def is_bound(material: Material) -> bool:
    """Tell whether the water of a material is bound in it, so that it does not spoil by itself.

    That of crystals, as in a hydrate, and the moisture of a powder or a solid up to 15 %.

    Source: common practice, no source; 15 % of maize starch, Ph. Eur., from memory.
    """
    if material.kind is MaterialKind.CRYSTALS:
        return True
    water = material.water
    return material.kind in BOUND_KINDS and water is not None and water.share <= BOUND_UP_TO


def waters_of(book: Book, composition: Composition) -> Waters:
    """Return the water of a product: the sum over its composition, each material by its own.

    Source: 1 % of water, own choice, no source.
    """
    brought, shares = _brought(Same(book.materials)), composition.shares
    unknown = tuple(sorted(key for key in composition.materials if brought[key][0] is None))
    if isinstance(shares, Missing):
        named: Known = shares
        most: Known = shares
        unsure, counts = unknown, any(brought[key][0] and brought[key][1] for key in composition.materials)
    else:
        parts = [(key, part * share) for key, share in shares.items() if (part := brought[key][0])]
        named, free = total(water for _, water in parts), total(water for key, water in parts if brought[key][1])
        unsure = _that_matter(unknown, shares, free)
        counts = free >= WATER_THAT_COUNTS
        most = named + total(shares[key] for key in unsure) if unsure else named
    names = tuple(book.materials[key].name for key in unsure)
    why = Missing(says=says("water-unknown", names=names)) if unsure else None
    return Waters(named=named, most=most, counts=counts, unsure=unsure, why=why)


@lru_cache(maxsize=2)
def _brought(materials: Same[Mapping[str, Material]]) -> Mapping[str, tuple[Fraction | None, bool]]:
    """Return what each material of a book brings, and whether that is loose in it: all formulas ask for it."""
    return {key: (water_in(material), not is_bound(material)) for key, material in materials.record.items()}


def _that_matter(unsure: tuple[str, ...], shares: Mapping[str, Fraction], water: Fraction) -> tuple[str, ...]:
    """Return the materials of unknown water, or none when all of them together could not make a difference."""
    if not unsure:
        return ()
    most = water + total(shares[key] for key in unsure)
    return () if water < WATER_THAT_COUNTS and most < WATER_THAT_COUNTS else unsure
