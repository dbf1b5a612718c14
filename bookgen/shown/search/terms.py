"""What a formula or material can be found by: its names, what it is for, how it is kept, and its text as read.

Markup never counts: of the body only the words that a reader sees are taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from ... import show
from ...language import noted, turned_items, word
from ...model import METHOD, Body, Formula, Kind, Material, MaterialKind, Person, Site, Status, StoragePlace
from ...reckon.contents import Listings, listings
from ...reckon.figures import Figures
from ...written import lines_of, plain_text
from ..cautions import handled_in_order, hazards_of, hazards_of_material
from ..formula import CAUTIONS, place_of
from ..matter.indexes import purposes_of
from ..matter.inherited import Inherited, contained_in, inherited
from ..shelf import Shelf, chapter_title
from .records import Facet, SearchEntry

FACETS = (
    Facet(name="purpose", title=noted("Purpose")),
    Facet(name="chapter", title=noted("Chapter")),
    Facet(name="kind", title=noted("Kind")),
    Facet(name="use", title=noted("Use")),
    Facet(name="kept", title=noted("Kept in")),
    Facet(name="status", title=noted("Status")),
)
"""What narrows a search, in the order of an entry's facets."""

MATERIALS = noted("Materials")
"""The chapter that stands for all materials."""
BARRED = noted("barred")
INTERMEDIATE = noted("intermediate")

_STANDING_HEADS = frozenset({METHOD, CAUTIONS, "notes"})
"""Headings that most formulas have; to search for them finds nothing."""


def entries_of(shelf: Shelf) -> tuple[SearchEntry, ...]:
    """Return the formulas by code, then the materials by name."""
    holds, lists = inherited(shelf), listings(shelf.book)
    return (
        *(formula_entry(key, shelf, holds[key]) for key in shelf.codes),
        *(material_entry(key, shelf, lists) for key in shelf.materials),
    )


def formula_entry(key: str, shelf: Shelf, holds: tuple[Inherited, ...]) -> SearchEntry:
    """Return what one formula can be found by; what it inherits stands with the materials and intermediates."""
    book, figures = shelf.book, shelf.reckoning.figures[key]
    formula = figures.formula
    hazards = hazards_of(figures, shelf, handled_in_order(figures, shelf))
    strange = (word("{name} (no file yet)", name=book.name_of(name)) for name in sorted(figures.composition.unfiled))
    return SearchEntry(
        key=key,
        title=formula.title or formula.code or key,
        code=formula.code or key,
        stem=shelf.stems[key],
        also=formula.formerly,
        holds=holds,
        contains=(),
        hazards=_once(hazard.text for hazard in hazards if not hazard.who),
        cautions=_once(map(show.sentence, (*formula.cautions, *(asked.text for asked in figures.limits.words)))),
        functions=_once(turned_items(line.function) for line in formula.lines),
        facets=(
            tuple(show.written(purpose, shelf.signs) for purpose in purposes_of(formula.purpose)),
            (chapter_title(formula.chapter),),
            (word(str(formula.kind)),) if formula.kind else (),
            _uses(formula),
            _kept(figures),
            tuple(map(word, (str(formula.status), *((BARRED,) if key in shelf.review.barred else ())))),
        ),
        text=_lines(chain(_text_of_body(formula.body), _text_of_formula(formula), strange)),
    )


def material_entry(key: str, shelf: Shelf, lists: Listings) -> SearchEntry:
    """Return what one material can be found by."""
    material: Material = shelf.book.materials[key]
    name = material.name or key
    names = _once((*material.also, *material.formerly, *(part.name for part in material.label)))
    called = {name.casefold(), *(other.casefold() for other in names)}
    return SearchEntry(
        key=key,
        title=name,
        code="",
        stem=shelf.stems[key],
        also=tuple(other for other in names if other.casefold() != name.casefold()),
        holds=(),
        contains=tuple(part for part in contained_in(material, lists.get(key, ())) if part.casefold() not in called),
        hazards=_once(hazards_of_material(material)),
        cautions=_once(map(show.sentence, material.cautions)),
        functions=_once((turned_items(material.function),)),
        facets=((), (word(MATERIALS),), (word(str(material.kind)),) if material.kind else (), (), (), ()),
        text=_lines(chain(_text_of_body(material.body), material.source)),
    )


def orders() -> tuple[tuple[str, ...], ...]:
    """Return, for each facet, the order in which its values are offered where the alphabet does not give it."""
    ordered: tuple[tuple[str, ...], ...] = (
        (),
        (),
        (*Kind, *MaterialKind),
        ("leave-on", "rinse-off", *Site, *Person, INTERMEDIATE),
        tuple(StoragePlace),
        (*Status, BARRED),
    )
    return tuple(tuple(word(str(value)) for value in values) for values in ordered)


def _uses(formula: Formula) -> tuple[str, ...]:
    use = formula.use
    if use is None:
        return ()
    if use.intermediate:
        return (word(INTERMEDIATE),)
    return tuple(word(str(site)) for site in (*((use.contact,) if use.contact else ()), *use.sites, *use.persons))


def _kept(figures: Figures) -> tuple[str, ...]:
    """Return the place where it is kept, without its article."""
    place = place_of(figures)
    return () if place is None else (word(str(place)),)


def _text_of_formula(formula: Formula) -> Iterator[str]:
    """Yield what the keeper wrote about it outside the body."""
    for phase in formula.ingredients:
        yield phase.instruction
        for line in phase.lines:
            yield line.note
    yield formula.appearance
    yield from formula.equipment
    yield formula.container
    if formula.storage is not None:
        yield formula.storage.container
        yield formula.storage.because
    yield from formula.source
    for change in formula.changes:
        yield change.text


def _text_of_body(body: Body) -> Iterator[str]:
    """Yield the paragraphs, cells and lines of code of a body, and the headings that say something."""
    for section in body.sections:
        if section.title.casefold() not in _STANDING_HEADS:
            yield section.title
        yield from map(plain_text, lines_of(section.blocks))


def _lines(texts: Iterable[str]) -> str:
    """Return the texts as lines, each once: what is written twice is found once."""
    return "\n".join(_once(" ".join(text.split()) for text in texts))


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    """Return each text once, in the order of reading; empty ones are left out."""
    return tuple(dict.fromkeys(text for text in texts if text))
