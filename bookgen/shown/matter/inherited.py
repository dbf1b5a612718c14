"""What a formula inherits: each material and intermediate that it was made with, on which way, and whether it stays.

What those contain, and which of them do not say it, comes with them.  The ways are those of the index, `held.py`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

from ...language.substances import substance
from ...model import Material
from ...reckon.allergens import held_by, is_silent
from ...reckon.contents import ListedSubstance
from ...reckon.recognised import names_of_tables, recognised
from ...wording.saying import says
from ..cautions import formulas_in
from ..shelf import Shelf, in_natural_order
from .held import MADE_WITH, TAKEN_OUT


class Stays(IntEnum):
    """What of an ingredient is in the finished product."""

    WHOLE = 0
    """The ingredient itself."""
    DRAWN = 1
    """What was drawn from it before it was taken out again."""
    NOTHING = 2
    """Nothing: a processing aid, or what boils away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inherited:
    """A material or an intermediate that a formula is made with."""

    key: str
    """Its key in the book."""
    stays: Stays
    """What of it is in the finished product."""
    through: tuple[str, ...]
    """Keys of the formula's own intermediates that bring it; none for one of its own lines."""


def inherited(shelf: Shelf) -> Mapping[str, tuple[Inherited, ...]]:
    """Return what each formula inherits, by its key: its own lines in their order, then the rest by code and name.

    What stays is told by the composition of the finished product: what boils away whole does not.
    """
    reckoning = shelf.reckoning
    found: dict[str, dict[str, Inherited]] = {key: {} for key in shelf.codes}
    within = {key: formulas_in(figures, shelf) for key, figures in reckoning.figures.items()}
    for key in shelf.codes:
        uses, inner = reckoning.graph.uses[key], within[key]
        for name in dict.fromkeys((*uses, *inner)):
            through = () if name in uses else tuple(use for use in uses if name in within[use])
            stays = Stays.NOTHING if name not in inner else Stays.WHOLE if inner[name] is None else Stays.DRAWN
            found[key][name] = Inherited(key=name, stays=stays, through=through)
    for material, reasons in shelf.holding().items():
        for (how, through), keys in reasons.items():
            for key in keys:
                composition = reckoning.figures[key].composition
                stays = Stays.WHOLE if material in composition.materials else Stays.NOTHING
                if material in composition.extracted and how in (TAKEN_OUT, MADE_WITH):
                    stays = Stays.DRAWN
                found[key][material] = Inherited(key=material, stays=stays, through=through)
    rank = {key: number for number, key in enumerate((*shelf.codes, *shelf.materials))}
    ordered = {}
    for key, items in found.items():
        lines = [shelf.book.key_of(line.material) for line in shelf.book.formulas[key].lines]
        here = items.keys() & rank.keys()
        names = dict.fromkeys((*(name for name in lines if name in here), *sorted(here, key=rank.__getitem__)))
        ordered[key] = tuple(items[name] for name in names)
    return ordered


def silent_in(shelf: Shelf) -> Mapping[str, tuple[str, ...]]:
    """Return each formula that holds what does not say what it contains → keys of that, of what has no file its name.

    Aromatic materials that list no contents, whatever sort of preparation they are in; materials of which only the name
    is written, or not even that.
    """
    materials, found = shelf.book.materials, {}
    bare = {key for key, material in materials.items() if material.is_bare}
    quiet = {key for key, material in materials.items() if is_silent(material, held_by(material))}
    for key in shelf.codes:
        figures = shelf.reckoning.figures[key]
        composition = figures.composition
        held = composition.materials | composition.extracted.keys()
        if silent := composition.unfiled | held & bare | figures.called.aromatic & quiet:
            found[key] = tuple(sorted(silent))
    return found


def incomplete(silent: Mapping[str, Sequence[str]], shelf: Shelf) -> str:
    """Return the sentence on what does not say what it contains; empty where all does."""
    keys = sorted({key for held in silent.values() for key in held}, key=lambda key: in_natural_order(shelf.name(key)))
    names = tuple(dict.fromkeys(shelf.name(key) for key in keys))
    return f"{says('allergens-incomplete', names=names, count=len(names)).words(shelf.signs)}." if names else ""


def contained_in(material: Material, listed: Sequence[ListedSubstance]) -> tuple[str, ...]:
    """Return the substances and fragrance allergens that a material is or lists, by each name, whatever its case once.

    A salt or a hydrate is found by its acid, its base or the form without water as well.
    """
    names = (
        *(part.name for part in listed),
        *(substance(part.base) for part in listed),
        *(held.row.label for held in held_by(material)),
        *(substance(told.substance) for told in recognised(material, names_of_tables())),
    )
    once: dict[str, str] = {}
    for name in names:
        once.setdefault(name.casefold(), name)
    return tuple(name for name in once.values() if name)
