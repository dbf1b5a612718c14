"""The edition for others: a book without what is the keeper's alone.

Enters: a book.  Leaves: the same book without batch records, lots with their prices and suppliers, sections headed
`For the keeper`, pictures that only these show, findings, and what is on record of the binder.  Whatever is made of it
cannot hold any of that, because it is not there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import chain
from typing import Any

from ..model import AmountLink, Body, Book, Filed, Formula, Material, Section, TimeLink
from ..written import WrittenHeading, addresses_of, lines_of, plain_text, walked
from .naming import naming_of

KEEPERS = "for the keeper"
"""How the heading of a section begins that is the keeper's alone, in lower case."""

PRIVATE = frozenset({"lots"})
"""Keys of a file that are the keeper's alone."""


def is_keepers(title: str) -> bool:
    """Tell whether a heading is of the keeper's own text; what follows the three words makes no difference.

    >>> [is_keepers(title) for title in ("For the keeper", "For the keeper: prices", "Notes")]
    [True, True, False]
    """
    return " ".join(title.split()).casefold().startswith(KEEPERS)


def for_others(book: Book) -> Book:
    """Return the book as others may have it.

    Source: own choice (what is private by nature), no source.
    """
    formulas = {key: formula_for_others(formula) for key, formula in book.formulas.items()}
    materials = {key: _material(material) for key, material in book.materials.items()}
    return replace(_holding(book, formulas, materials), for_others=True)


def part_of(book: Book, keys: Iterable[str]) -> Book:
    """Return a book of these formulas and materials alone, by their keys; nothing else of it stays but the workroom."""
    kept = frozenset(keys)
    formulas = {key: formula for key, formula in book.formulas.items() if key in kept}
    materials = {key: material for key, material in book.materials.items() if key in kept}
    return replace(_holding(book, formulas, materials), naming=naming_of(formulas, materials, Filed()), unread=())


def bases_of(book: Book, keys: Iterable[str]) -> tuple[dict[str, None], dict[str, Formula]]:
    """Return these formulas with what trials among them are based on, trials of trials too: keys of present formulas,
    and earlier issues by `code@issue`."""
    present, earlier = dict.fromkeys(keys), dict[str, Formula]()
    waiting = [book.formulas[key] for key in present]
    for formula in waiting:  # grows while it is walked
        code, _, issue = formula.based_on.partition("@")
        if not code:
            continue
        base = book.key_of(code)
        if base in book.formulas and (not issue or book.formulas[base].issue == int(issue)):
            if base not in present:
                present[base] = None
                waiting.append(book.formulas[base])
            continue
        kept = next(
            (
                (key, other)
                for key, other in book.earlier.items()
                if other.issue == int(issue)
                and (book.key_of(other.code) or other.code.casefold()) == (base or code.casefold())
            ),
            None,
        )
        if kept is not None and kept[0] not in earlier:
            earlier[kept[0]] = kept[1]
            waiting.append(kept[1])
    return present, earlier


def _holding(book: Book, formulas: dict[str, Formula], materials: dict[str, Material]) -> Book:
    """Return a book of these with the pictures that they show; what was made, filed or found is not in it."""
    bodies = [*(formula.body for formula in formulas.values()), *(material.body for material in materials.values())]
    shown = {path for body in bodies for path in body.images.values()}
    return replace(
        book,
        formulas=formulas,
        materials=materials,
        batches={},
        earlier={},
        filed=Filed(),
        findings=(),
        files={path: content for path, content in book.files.items() if path in shown},
    )


def keepers_headings_within(book: Book) -> Iterator[tuple[str, str]]:
    """Yield path and heading of each text of the keeper's that is no section of its own: its end is not told."""
    records: list[Formula | Material] = [*book.formulas.values(), *book.materials.values()]
    for record in records:
        for section in record.body.sections:
            for block in walked(section.blocks):
                words = plain_text(block.words) if isinstance(block, WrittenHeading) else ""
                if is_keepers(words):
                    yield record.path, words


def formula_for_others(formula: Formula) -> Formula:
    """Return a formula without what is the keeper's."""
    body = _body(formula.body)
    return formula if body is formula.body else replace(formula, body=body)


def _material(material: Material) -> Material:
    body = _body(material.body)
    if body is material.body and not material.lots and not PRIVATE & set(material.places):
        return material
    return replace(
        material, body=body, lots=(), places=_public(material.places),
        unread=tuple(key for key in material.unread if key not in PRIVATE),
    )  # fmt: skip


def _public(places: Mapping[str, Any]) -> dict[str, Any]:
    return {key: place for key, place in places.items() if key not in PRIVATE}


def _body(body: Body) -> Body:
    """Return a text without the keeper's sections and the links in them, which stand in the order of reading."""
    if not any(is_keepers(section.title) for section in body.sections):
        return body
    sections: list[Section] = []
    amounts: list[AmountLink] = []
    times: list[TimeLink] = []
    addresses: set[str] = set()
    next_amount, next_time = iter(body.amounts), iter(body.times)
    for section in body.sections:
        kept = not is_keepers(section.title)
        if kept:
            sections.append(section)
        for address in chain.from_iterable(map(addresses_of, lines_of(section.blocks))):
            if kept:
                addresses.add(address)
            match address.partition(":")[0]:
                case "amount":
                    amounts += [link for link in (next(next_amount, None),) if link and kept]
                case "time":
                    times += [link for link in (next(next_time, None),) if link and kept]
    return Body(
        sections=tuple(sections),
        amounts=tuple(amounts),
        times=tuple(times),
        page_links={address: key for address, key in body.page_links.items() if address in addresses},
        images={address: path for address, path in body.images.items() if address in addresses},
    )
