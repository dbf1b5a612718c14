"""What of a finished product dissolves something: its free water, ethanol, oil and glycols.

Enters: a composition, what its materials were recognised as.  Leaves: `Bath`.  Shares are by weight of the product.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Known, Material, Solvent
from ..reference.dissolving import dissolving
from .carrying import SOLID, Carriers, Nature
from .known import ZERO, total
from .limits import Recognitions
from .waters import water_in

COUNTS = Fraction(1, 20)
"""Share of another solvent in it and water from which what dissolves in that is not judged by the water alone; and the
part of the water that a substance wants from which it counts in the sum over several (own choice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bath:
    """What of the product dissolves something, as shares of it."""

    water: tuple[Fraction, Fraction]
    """Free water, and the same with all of the materials of which that is not known."""
    ethanol: Fraction
    """Ethanol."""
    oil: Fraction
    """What dissolves in oil and not in water."""
    others: Fraction
    """Glycols and other liquids that take up what dissolves in ethanol."""
    carried: bool
    """True where an emulsifier, a solubiliser or the like is there."""
    held: Mapping[str, Fraction]
    """Substance of the table → its greatest share."""

    def of(self, solvent: Solvent) -> tuple[Fraction, Fraction]:
        """Return how much there is of a solvent, between which ends."""
        if solvent is Solvent.WATER:
            return self.water
        share = self.oil if solvent is Solvent.OIL else self.ethanol
        return share, share

    def takes_up(self, solvent: Solvent) -> bool:
        """Tell whether there is so much of a solvent that what dissolves in it is not judged by the water alone."""
        share = self.oil if solvent is Solvent.OIL else self.ethanol + self.others
        return share > 0 and share >= COUNTS * (self.water[0] + share)


def bath_of(
    book: Book,
    shares: Mapping[str, Fraction],
    told: Recognitions,
    its_natures: Mapping[str, Nature],
    carriers: Carriers,
    alcohol: Known,
    concerned: Set[str],
) -> Bath:
    """Return what of a product dissolves something; `concerned` are the keys of what is to dissolve in it."""
    table = dissolving()
    loose, unsure, oil, held = list[Fraction](), list[Fraction](), list[Fraction](), dict[str, Fraction]()
    for key, share in shares.items():
        its, oily = told.get(key, ()), its_natures.get(key) is Nature.OILY
        whole = any(item.whole and item.substance in table.rows for item in its)
        part = _free_water(book.materials[key], dry=whole or oily)
        if part is None:
            unsure.append(share)
        elif part:
            loose.append(part * share)
        if oily and key not in concerned:
            oil.append(share)
        for item in its:
            high = share if isinstance(item.high, Missing) else item.high * share
            held[item.substance] = held[item.substance] + high if item.substance in held else high
    low = total(loose)
    return Bath(
        water=(low, low + total(unsure)),
        ethanol=ZERO if isinstance(alcohol, Missing) else alcohol,
        oil=total(oil),
        others=sum((share for name, share in held.items() if name in table.other_solvents), ZERO),
        carried=isinstance(alcohol, Missing) or not carriers.keys.isdisjoint(shares),
        held=held,
    )


def _free_water(material: Material, *, dry: bool) -> Fraction | None:
    """Return the water of a material that dissolves something; None where that is not known."""
    if material.kind in SOLID:
        return ZERO
    return ZERO if dry and material.water is None else water_in(material)
