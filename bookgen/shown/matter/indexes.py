"""The indexes at the back of the book: formulas by code, by purpose, by storage, and what does what.

The index of materials has a file of its own, `materials.py`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from ... import show
from ...findings import Missing
from ...language import noted, word
from ...model import Contact, Formula, StoragePlace
from ...reckon.figures import Figures
from ...reckon.functions import items_of
from ...reckon.storage import days_of
from ..formula import place_of, with_article
from ..shelf import Shelf, at_root, chapter_title
from .order import by_letter, in_index_order
from .passages import CODES, FUNCTIONS, PURPOSES, STORAGE, title_of
from .records import FormulaEntry, IndexHeading, IndexPart, IndexShown

_BETWEEN_PURPOSES = re.compile(r"(?<!\d),|,(?!\d)")
"""A comma that is no decimal comma."""
_NO_FORMULA = noted("This book holds no formula yet.")


def codes_shown(shelf: Shelf) -> IndexShown[IndexHeading]:
    """Return every formula under its code."""
    root = at_root(shelf)
    entries = (_entry(key, root, chapter_title(root.book.formulas[key].chapter)) for key in root.codes)
    parts = by_letter(entries, lambda entry: entry.link.code)
    return IndexShown(
        frame=root.frame(),
        title=title_of(CODES),
        says="",
        empty=word(_NO_FORMULA),
        parts=tuple(
            IndexPart(title=part.title, anchor=part.anchor, entries=(IndexHeading(words="", entries=part.entries),))
            for part in parts
        ),
    )


def purposes_shown(shelf: Shelf) -> IndexShown[IndexHeading]:
    """Return what formulas are for, below how they are used: each purpose as it is written between commas.

    Those without a use come after the others, those without a purpose at the end.
    """
    root = at_root(shelf)
    words: dict[str, str] = {}
    found: dict[str, dict[str, list[str]]] = {}
    without: list[str] = []
    for key in root.codes:
        formula = root.book.formulas[key]
        purposes = dict.fromkeys(purposes_of(formula.purpose))
        for as_written in purposes:
            words.setdefault(as_written.casefold(), show.written(as_written, root.signs))
        for purpose in dict.fromkeys(purpose.casefold() for purpose in purposes):
            found.setdefault(_way_of_use(formula), {}).setdefault(purpose, []).append(key)
        if not purposes:
            without.append(key)
    parts = [
        IndexPart(
            title=word(title),
            anchor=f"use-{number}",
            entries=tuple(
                IndexHeading(words=words[purpose], entries=_entries(found[title][purpose], root))
                for purpose in sorted(found[title], key=lambda purpose: in_index_order(words[purpose]))
            ),
        )
        for number, title in enumerate(sorted(found, key=_USES.index), 1)
    ]
    if without:
        rest = IndexHeading(words="", entries=_entries(without, root))
        parts.append(IndexPart(title=word("No purpose is written"), anchor="unwritten", entries=(rest,)))
    return IndexShown(
        frame=root.frame(), title=title_of(PURPOSES), says="", empty=word(_NO_FORMULA), parts=tuple(parts)
    )


_STAYS_ON, _RINSED_OFF = noted("What stays on"), noted("What is rinsed off")
_OTHERWISE = noted("What is used otherwise")
_FOR_OTHERS, _USE_UNKNOWN = noted("Ingredients of others"), noted("Use not written")
_USES = (_STAYS_ON, _RINSED_OFF, _OTHERWISE, _FOR_OTHERS, _USE_UNKNOWN)
"""The heads of the index of purposes, in their order."""


def _way_of_use(formula: Formula) -> str:
    """Return the head below which a formula's purposes stand."""
    use = formula.use
    if use is None:
        return _USE_UNKNOWN
    if use.intermediate:
        return _FOR_OTHERS
    return {Contact.LEAVE_ON: _STAYS_ON, Contact.RINSE_OFF: _RINSED_OFF, None: _OTHERWISE}[use.contact]


def functions_shown(shelf: Shelf) -> IndexShown[IndexHeading]:
    """Return what materials and ingredients do, each function as it stands between commas: materials, then formulas.

    A formula stands there with the ingredients that do it in it.
    """
    root, book = at_root(shelf), shelf.book
    words: dict[str, str] = {}
    materials: dict[str, list[str]] = {}
    formulas: dict[str, dict[str, list[str]]] = {}
    for key in root.materials:
        for item in _items(book.materials[key].function, words):
            materials.setdefault(item, []).append(key)
    for key in root.codes:
        for line in book.formulas[key].lines:
            for item in _items(line.function, words):
                formulas.setdefault(item, {}).setdefault(key, []).append(book.name_of(line.material))
    headings = [
        IndexHeading(
            words=as_written,
            entries=(
                *(
                    FormulaEntry(link=root.link(key), stamp="", note=word("material"))
                    for key in materials.get(item, ())
                ),
                *(_entry(key, root, ", ".join(dict.fromkeys(names))) for key, names in formulas.get(item, {}).items()),
            ),
        )
        for item, as_written in words.items()
    ]
    return IndexShown(
        frame=root.frame(),
        title=title_of(FUNCTIONS),
        says="",
        empty=word("No function is written in this book yet."),
        parts=by_letter(headings, lambda heading: heading.words),
    )


def _items(function: str, words: dict[str, str]) -> tuple[str, ...]:
    """Return the items of a function in one case, each once; how each is written first is kept."""
    items = dict.fromkeys(items_of(function))
    for item in items:
        words.setdefault(item, word(item))
    return tuple(items)


def purposes_of(written: str) -> tuple[str, ...]:
    """Return the purposes that a formula names, without the commas between them.

    >>> purposes_of("after-shave, cooling, 2,5 % in water")
    ('after-shave', 'cooling', '2,5 % in water')
    """
    return tuple(purpose for part in _BETWEEN_PURPOSES.split(written) if (purpose := part.strip(" .;")))


def storage_shown(shelf: Shelf) -> IndexShown[IndexHeading]:
    """Return where formulas are kept, and there what keeps shortest first; what is not known comes last."""
    root = at_root(shelf)
    places: dict[StoragePlace | None, dict[tuple[int, int], list[str]]] = {}
    for key in root.codes:
        figures = root.reckoning.figures[key]
        period = figures.storage.period
        length = _UNKNOWN if isinstance(period, Missing) else (days_of(period), period.months)
        places.setdefault(place_of(figures), {}).setdefault(length, []).append(key)
    parts = tuple(
        IndexPart(
            title=word("In {place}", place=with_article(place)) if place else word("Place not known"),
            anchor=f"place-{number}",
            entries=tuple(_of_length(lengths[length], root) for length in sorted(lengths)),
        )
        for number, (place, lengths) in enumerate(sorted(places.items(), key=lambda place: _rank(place[0])), 1)
    )
    return IndexShown(
        frame=root.frame(),
        title=title_of(STORAGE),
        says=word("The period counts from the day of making; of several limits it is the shortest."),
        empty=word(_NO_FORMULA),
        parts=parts,
    )


_UNKNOWN = (10**9, 0)
"""Stands for a period that is not known, behind all others."""


def _rank(place: StoragePlace | None) -> int:
    """Return the order of places: as the model lists them, from the coldest; not known comes last."""
    return len(StoragePlace) if place is None else list(StoragePlace).index(place)


def _of_length(keys: list[str], root: Shelf) -> IndexHeading:
    """Return the formulas of one period."""
    period = root.reckoning.figures[keys[0]].storage.period
    return IndexHeading(
        words=word("period not known") if isinstance(period, Missing) else show.period(period.days, period.months),
        entries=tuple(_entry(key, root, _why(root.reckoning.figures[key], root.signs)) for key in keys),
    )


def _why(figures: Figures, signs: show.Signs) -> str:
    """Return how a period comes about where it is not the one that the formula assigns; its page says all."""
    period, stored = figures.storage.period, figures.formula.storage
    if isinstance(period, Missing):
        return show.written(period.says.words(signs), signs)
    if stored is None or stored.period is None:
        return word("none assigned: reckoned")
    return "" if days_of(stored.period) == days_of(period) else word("by rule; the formula gives longer")


def _entries(keys: Iterable[str], root: Shelf) -> tuple[FormulaEntry, ...]:
    return tuple(_entry(key, root, "") for key in keys)


def _entry(key: str, root: Shelf, note: str) -> FormulaEntry:
    return FormulaEntry(link=root.link(key), stamp=root.stamp(key), note=note)
