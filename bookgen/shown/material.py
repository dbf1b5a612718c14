"""A material's page: hazards first, then what is known of it, then where it is used."""

from __future__ import annotations

from collections.abc import Iterator

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, turned_items, word
from ..language.substances import substance
from ..model import Content, Dissolves, DropperLine, Formula, Material, RequiredHlb, Solvent
from ..reckon.droppers import drop_mass
from ..reckon.heat import bears_of, where_asked
from ..reckon.recognised import names_of_tables, recognised
from ..reckon.strengths import content
from ..reference import spelt
from ..reference.dangers import dangers
from ..reference.heat import heat_limits
from ..reference.incompatible import incompatible
from ..wording.saying import says
from .amounts import amount_said
from .batches import lots_shown
from .body import pen_for, prose_of
from .cautions import hazards_of_material, not_known
from .drops import one_drop
from .figures import percent
from .matter.held import DILUTING, LISTED, MADE_WITH, TAKEN_OUT, THROUGH
from .phrases import Figure, Phrase, phrase
from .records import Caution, Fact, MaterialShown, TextPart, UsedIn
from .shelf import Shelf, Way


def material_shown(key: str, shelf: Shelf, picture: Way) -> MaterialShown:
    """Return a material's page."""
    material, signs = shelf.book.materials[key], shelf.signs
    pen = pen_for(material.body, (), shelf.way, picture, signs)
    parts = tuple(TextPart(title=section.title, text=prose_of(section, pen)) for section in material.body.sections)
    return MaterialShown(
        frame=shelf.frame(key),
        key=material.key or key,
        name=material.name or key,
        also=", ".join(material.also),
        function=show.sentence(turned_items(material.function)),
        hazards=tuple(
            Caution(text=show.written(sentence, signs))
            for sentence in (*hazards_of_material(material), *not_known(material))
        ),
        cautions=tuple(Caution(text=show.sentence(show.written(caution, signs))) for caution in material.cautions),
        facts=_facts(material, shelf),
        known=_known(material),
        parts=tuple(part for part in parts if part.text),
        source=tuple(show.written(source, signs) for source in material.source),
        used_in=_used_in(key, shelf),
        lots=lots_shown(key, shelf),
    )


def _facts(material: Material, shelf: Shelf) -> tuple[Fact, ...]:
    """Return what the file states; what it does not state is not mentioned."""
    facts, signs = [], shelf.signs
    if material.kind is not None:
        facts.append(Fact(term=word("Kind"), text=word(str(material.kind))))
    if material.pka:
        facts.append(Fact(term=word("pKa"), text=show.listing([show.written(pka.text, signs) for pka in material.pka])))
    if material.density is not None:
        facts.append(Fact(term=word("Density"), text=amount_said(material.density.text, signs)))
    for number, entry in enumerate(material.contains):
        figure = percent(f"contains-{number}", entry.share, signs)
        unit = "%vol" if entry.by_volume else "%"
        figure = Figure(text=show.plain(entry.share * 100, signs), value=figure.value, name=figure.name, unit=unit)
        ranged = entry.low is not None
        facts.append(
            Fact(
                term=word("Contains"), figures=() if ranged else (figure,), text=_what(material, number, figure, signs)
            )
        )
    for term, stated in ((noted("Loss on drying"), material.drying), (noted("Free water"), material.water)):
        if stated is not None:
            name = term.casefold().replace(" ", "-")
            facts.append(
                Fact(
                    term=word(term),
                    figures=(
                        Figure(
                            text=show.plain(stated.share * 100, signs),
                            unit="%",
                            name=name,
                            value=show.exact(stated.share * 100),
                        ),
                    ),
                )
            )
    if material.saponification is not None:
        facts.append(Fact(term=word("Saponification value"), text=show.written(material.saponification.text, signs)))
    for line in material.drops:
        facts.append(_drop(line, shelf))
    if solvents := tuple(_solvents(material, signs)):
        facts.append(Fact(term=word("Dissolves in"), text=", ".join(solvents)))
    if material.incompatible_with:
        words = (
            f"{other.name} ({show.written(other.because, signs)})" if other.because else other.name
            for other in material.incompatible_with
        )
        facts.append(Fact(term=word("Incompatible with"), text=", ".join(words)))
    if material.hlb is not None:
        facts.append(Fact(term=word("HLB"), text=show.plain(material.hlb, signs)))
    if material.required_hlb is not None:
        facts.append(Fact(term=word("Requires HLB"), text=", ".join(_required_hlb(material.required_hlb, signs))))
    for bears in sorted(bears_of(material, recognised(material, heat_limits().names)), key=lambda bears: bears.celsius):
        told = says("heat-known", most=bears.celsius, where=where_asked(bears), known=bears.known)
        facts.append(Fact(term=word("Bears heat up to"), text=told.words(signs)))
    if material.label:
        names = [
            part.name
            if part.share is None
            else f"{part.name} {show.with_unit(show.plain(part.share * 100, signs), '%')}"
            for part in material.label
        ]
        facts.append(Fact(term=word("On the label"), text=", ".join(names)))
    if material.issued:
        facts.append(Fact(term=word("Issued"), text=material.issued))
    return tuple(facts)


def _required_hlb(required: RequiredHlb, signs: show.Signs) -> Iterator[str]:
    """Yield what an oil requires, for each emulsion that its file has."""
    for value, how in ((required.oil_in_water, "o/w"), (required.water_in_oil, "w/o")):
        if value is not None:
            yield f"{show.plain(value, signs)} ({how})"


def _solvents(material: Material, signs: show.Signs) -> Iterator[str]:
    """Yield what it dissolves in, with how much 100 g of that dissolve where its file says so."""
    own = material.dissolves or Dissolves()
    written = (solvent for solvent in Solvent if own.in_100_g(solvent) is not None)
    for solvent in dict.fromkeys((*material.soluble, *written)):
        figure = own.in_100_g(solvent)
        name = word(str(solvent))
        yield (
            name
            if figure is None
            else word("{solvent} ({grams} in 100 g)", solvent=name, grams=amount_said(figure.text, signs))
        )


def _known(material: Material) -> tuple[Fact, ...]:
    """Return as which substances the tables have it or what it contains, each with the name that told."""
    found: dict[str, str] = {}
    for names in (names_of_tables(), dangers().names, incompatible().names):
        for told in recognised(material, names):
            same = spelt(told.name) == spelt(told.substance)
            known = substance(told.substance)
            words = known if same else word("{substance} (by {name})", substance=known, name=told.name)
            found.setdefault(spelt(told.substance), words)
    return (Fact(term=word("In the tables as"), text=show.listing(list(found.values()))),) if found else ()


def _used_in(key: str, shelf: Shelf) -> tuple[UsedIn, ...]:
    """Return the formulas that list the material with the amounts they write, then those it comes to otherwise."""
    found: list[UsedIn] = []
    for (how, through), users in shelf.holding().get(key, {}).items():
        brought = f" {word('and')} ".join(shelf.link(key).code for key in through)
        for user in users:
            listed = how in (LISTED, TAKEN_OUT)
            amounts = _amounts(key, shelf.book.formulas[user], shelf) if listed else []
            words = {
                THROUGH: word("through {codes}", codes=brought),
                DILUTING: word("to dilute another"),
                TAKEN_OUT: word("taken out again"),
                MADE_WITH: word("made with it through {codes}", codes=brought),
            }
            note = "; ".join((*amounts, words[how])) if how in words else "; ".join(amounts)
            share, at_most = _share(key, user, len(found), shelf)
            found.append(UsedIn(link=shelf.link(user), note=note, share=share, at_most=at_most))
    return tuple(found)


def _share(key: str, user: str, number: int, shelf: Shelf) -> tuple[Figure | None, bool]:
    """Return how much of a formula a material is, as the formula's page prints it, and whether that is at most so."""
    composition = shelf.reckoning.figures[user].composition
    if user in shelf.review.barred or isinstance(composition.shares, Missing) or key not in composition.shares:
        return None, False
    at_most = key in composition.at_most
    side = show.UP if at_most else show.NEAREST
    return percent(f"share-{number}", composition.shares[key], shelf.signs, side=side), at_most


def _amounts(key: str, formula: Formula, shelf: Shelf) -> list[str]:
    """Return what a formula writes of a material, line by line."""
    lines = (line for line in formula.lines if shelf.book.key_of(line.material) == key)
    return [amount_said(line.amount.text, shelf.signs) for line in lines if not isinstance(line.amount, Missing)]


def _what(material: Material, number: int, high: Figure, signs: show.Signs) -> str | Phrase:
    """Return what follows the figure of one content: the substance, and what the figure relates to; of a range all."""
    listed = material.contains[number]
    if listed.low is not None:
        low = Figure(
            text=show.plain(listed.low * 100, signs),
            value=show.exact(listed.low * 100),
            name=f"contains-{number}.low",
            unit="",
        )
        name = _substance(listed)
        return phrase("{low} to {high} {name}", low=low, high=high, name=name)
    weight = content(material, listed)
    if listed.by_volume and isinstance(weight, Fraction):
        by_weight = percent(f"contains-{number}.weight", weight, signs)
        return phrase("{name} at 20 °C, {weight} by weight", name=listed.substance, weight=by_weight)
    return _substance(listed)


def _substance(listed: Content) -> str:
    return (
        word("{substance}, of the dried material", substance=listed.substance) if listed.of_dried else listed.substance
    )


def _drop(line: DropperLine, shelf: Shelf) -> Fact:
    """Return one dropper's drop mass with its range and its origin."""
    drop = drop_mass(line, shelf.book.workroom.balances)
    term = word("One drop, {dropper}", dropper=line.dropper)
    if isinstance(drop, Missing):
        return Fact(term=term, text=word("not known: {why}", why=drop.says.words(shelf.signs)))
    return one_drop(term, f"{line.dropper}", drop, line, shelf.signs)
