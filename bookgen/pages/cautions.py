"""Hazards before anything else, cautions for the user, and the usual ones that a file left out.

The usual hazards and cautions are common practice, no source; each is printed only where the formula's and the
materials' own sentences do not already say it.  None of them says that something is allowed or safe.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from .. import show
from ..findings import Missing
from ..model import Contact, Kind, Material, MaterialKind, Person, Site
from ..reckon.figures import Figures
from ..reckon.storage import Preparation
from .shelf import Shelf
from .shown import Caution

_AROMATIC = ("aroma", "scent", "fragrance", "perfume")
_SKIN = frozenset((Kind.COSMETIC, Kind.MEDICINE))


def handled_in_order(figures: Figures, shelf: Shelf) -> Mapping[str, tuple[str, ...]]:
    """Return the materials weighed in anywhere on the way → titles of the intermediates that bring them.

    Those of the formula's own lines come first, in their order and with no intermediate; the others by name.
    """
    handled = figures.composition.handled
    found: dict[str, tuple[str, ...]] = {}
    for line in figures.amounts.lines:
        if not line.is_formula and line.key in handled:
            found.setdefault(line.key, ())
    inner = {
        key: shelf.reckoning.figures[key].composition.handled
        for key in shelf.reckoning.graph.uses.get(figures.key, ())
        if key in shelf.reckoning.figures
    }
    for key in sorted(handled - found.keys(), key=shelf.name):
        found[key] = tuple(shelf.name(one) for one, materials in inner.items() if key in materials)
    return found


def hazards_of(figures: Figures, shelf: Shelf, materials: Mapping[str, tuple[str, ...]]) -> tuple[Caution, ...]:
    """Return the dangers in making a formula: its own, the materials' by name, the usual ones left out."""
    listed = [(key, shelf.book.materials[key]) for key in materials if key in shelf.book.materials]
    names = {
        key: material.name + (f" (in {', '.join(materials[key])})" if materials[key] else "")
        for key, material in listed
    }
    told: dict[str, list[str]] = {}
    for key, material in listed:
        for sentence in material.hazards:
            told.setdefault(show.sentence(sentence), []).append(names[key])
    own = [Caution(text=show.sentence(sentence)) for sentence in figures.formula.hazards]
    theirs = _by_material(told)
    return (*own, *theirs, *_usual_hazards([(names[key], one) for key, one in listed], figures))


def _usual_hazards(materials: Iterable[tuple[str, Material]], figures: Figures) -> Iterable[Caution]:
    """The hazards of the trade that the materials' files do not mention."""
    dusty, oils, caustic = [], [], []
    for name, material in materials:
        said = " ".join(material.hazards).casefold()
        if material.kind is MaterialKind.POWDER and not any(word in said for word in ("dust", "breathe", "mask")):
            dusty.append(name)
        if material.function.casefold().startswith(_AROMATIC) and "undiluted" not in said:
            oils.append(name)
        if any("hydroxide" in one.substance.casefold() for one in material.contains) and "caustic" not in said:
            caustic.append(name)
    if caustic:
        yield Caution(
            text="Caustic: goggles and gloves; it goes into the water, never water onto it.", who=_listing(caustic)
        )
    if oils:
        yield Caution(
            text="Undiluted aromatic materials irritate skin and eyes: gloves, and keep them from children.",
            who=_listing(oils),
        )
    if dusty:
        yield Caution(
            text="Powders raise dust: weigh out of the draught, scoop low, do not breathe it in.", who=_listing(dusty)
        )
    if figures.storage.preparation is Preparation.ALCOHOL:
        yield Caution(text="Alcohol burns: no flame and no hot plate near it.")


def cautions_of(figures: Figures, shelf: Shelf, materials: Mapping[str, tuple[str, ...]]) -> tuple[Caution, ...]:
    """Return the cautions for use: the formula's own, of the materials it holds, the usual ones."""
    formula = figures.formula
    held = figures.composition.materials
    told: dict[str, list[str]] = {}
    for key in [one for one in materials if one in held]:
        material = shelf.book.materials.get(key)
        for sentence in material.cautions if material else ():
            told.setdefault(show.sentence(sentence), []).append(material.name if material else key)
    own = [Caution(text=show.sentence(sentence)) for sentence in formula.cautions]
    theirs = _by_material(told)
    return (*own, *theirs, *_usual_cautions(figures))


def _usual_cautions(figures: Figures) -> Iterable[Caution]:
    """The cautions of the trade that follow from what the preparation is and for whom it is meant."""
    formula, use = figures.formula, figures.formula.use
    if formula.kind is Kind.MEDICINE and not (use and use.intermediate):
        yield Caution(text="A medicine: this page gives no dose and no advice; a pharmacist or doctor does.")
    if not isinstance(figures.storage.preparation, Missing):
        if figures.storage.preparation is Preparation.WATER:
            yield Caution(
                text="Water without a preservative: it can spoil without a sign. Clean hands, keep it cold, "
                "and throw it away on the use-by date even if it still looks good."
            )
        elif figures.storage.preparation is Preparation.PRESERVED:
            yield Caution(text="It contains a preservative; its effect was not tested.")
    if formula.kind not in _SKIN or use is None or use.intermediate:
        return
    said = []
    if use.contact is not None and formula.kind is Kind.COSMETIC:
        said.append("Before first use try a little on the inside of the arm and wait a day.")
    away = [
        words
        for site, words in ((Site.EYES, "out of the eyes"), (Site.BROKEN_SKIN, "off broken skin"))
        if site not in use.sites
    ]
    if away:
        said.append(f"Keep it {' and '.join(away)}.")
    if use.contact is Contact.LEAVE_ON or formula.kind is Kind.MEDICINE:
        ask = list(_not_meant_for(frozenset(use.persons)))
        if ask:
            said.append(f"Not meant for {' or '.join(ask)} without professional advice.")
    if said:
        yield Caution(text=" ".join(said))


def _not_meant_for(persons: frozenset[Person]) -> Iterable[str]:
    """Return whom the formula does not name among those that the trade asks about first."""
    if Person.CHILDREN not in persons and Person.SMALL_CHILDREN not in persons:
        yield "children"
    elif Person.SMALL_CHILDREN not in persons:
        yield "children under three"
    if Person.PREGNANCY not in persons:
        yield "use in pregnancy"


def _by_material(told: Mapping[str, Sequence[str]]) -> list[Caution]:
    """Return sentences → the materials that say them, as one entry for each set of materials."""
    entries: dict[str, list[str]] = {}
    for sentence, names in told.items():
        entries.setdefault(_listing(names), []).append(sentence)
    return [Caution(text=" ".join(sentences), who=who) for who, sentences in entries.items()]


def _listing(names: Iterable[str]) -> str:
    """Return names as a list in words, each once, in order."""
    return ", ".join(dict.fromkeys(names))
