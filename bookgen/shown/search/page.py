"""The page to search with, and the file that holds what can be found.

The file is a classic script, because a page opened from disk may load nothing else.  It is one constant: no text
stands in it twice, functions and the values that narrow a search are numbers into lists, and a formula names its
ingredients by their numbers, so that their synonyms are written once in the book.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from io import BytesIO

from ... import show
from ...language import word
from ...reference.allergens import allergens
from ..matter.inherited import Inherited, Stays, incomplete, silent_in
from ..shelf import Shelf, at_root, in_natural_order
from .records import SearchEntry, SearchShown
from .terms import FACETS, entries_of, orders

PAGE = "search.html"
TERMS = "search-terms.js"
CONSTANT = "bookTerms"
"""The name under which the page's script finds what the file holds."""


def search_shown(shelf: Shelf) -> SearchShown:
    """Return the page; what it searches stands in a file of its own, beside it."""
    book = shelf.book
    root, silent = at_root(shelf), silent_in(shelf)
    formulas, materials = show.counted(len(book.formulas), "formula"), show.counted(len(book.materials), "material")
    return SearchShown(
        frame=root.frame(),
        facets=tuple(replace(facet, title=word(facet.title)) for facet in FACETS),
        terms=TERMS,
        counts=word("{formulas} and {materials}", formulas=formulas, materials=materials),
        incomplete=incomplete(silent, shelf),
        silent_in=tuple(root.link(key) for key in silent),
    )


def search_terms(shelf: Shelf) -> bytes:
    """Return the file of a book."""
    return terms_file(entries_of(shelf), tuple(allergens().names) if silent_in(shelf) else ())


def terms_file(entries: Sequence[SearchEntry], scents: Sequence[str] = ()) -> bytes:
    """Return the file of these entries, and of the names by which fragrance allergens are asked for.

    An entry is a list: title, code, name of its page's file (empty when it is the code), numbers of the values that
    narrow to it, numbers of its functions, what it is made with, its synonyms, what it contains, hazards, cautions,
    text.  What it is made with is the number of an entry where that is one of its own lines and stays in it, else that
    number, what of it stays (`Stays`), and the numbers of the intermediates that bring it.  Values are numbered through
    all facets.  `<` is written as an escape, so that no text of a keeper ends a script.
    """
    numbers = {entry.key: number for number, entry in enumerate(entries)}
    functions = sorted({function for entry in entries for function in entry.functions}, key=_in_order)
    function_numbers = {function: number for number, function in enumerate(functions)}
    facets: list[tuple[str, list[str]]] = []
    value_numbers: dict[tuple[int, str], int] = {}
    for at, (facet, order) in enumerate(zip(FACETS, orders(), strict=True)):
        values = _values(entries, at, order)
        for value in values:
            value_numbers[at, value.casefold()] = len(value_numbers)
        facets.append((facet.name, values))
    written = (
        [
            entry.title,
            entry.code,
            "" if entry.stem == entry.code else entry.stem,
            [value_numbers[at, value.casefold()] for at, values in enumerate(entry.facets) for value in values],
            [function_numbers[function] for function in entry.functions],
            [_held(item, numbers) for item in entry.holds if item.key in numbers],
            entry.also,
            entry.contains,
            "\n".join(entry.hazards),
            "\n".join(entry.cautions),
            entry.text,
        ]
        for entry in entries
    )
    file = BytesIO()  # which grows in its place, where joined pieces would stand in memory twice
    file.writelines(_script(facets, functions, written, scents))
    return file.getvalue()


def _script(facets: object, functions: object, written: Iterable[object], scents: Sequence[str]) -> Iterator[bytes]:
    """Yield the file, entry by entry: as one text it would stand in memory several times."""
    yield f'const {CONSTANT}={{"facets":'.encode() + _json(facets)
    yield b',"functions":' + _json(functions)
    yield b',"entries":['
    for number, entry in enumerate(written):
        yield b"," * (number > 0) + _json(entry)
    yield b'],"allergens":' + _json(list(scents)) + b"};\n"


def _json(value: object) -> bytes:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c").encode()


def _held(item: Inherited, numbers: Mapping[str, int]) -> int | list[int]:
    number = numbers[item.key]
    if item.stays is Stays.WHOLE and not item.through:
        return number
    return [number, item.stays, *(numbers[key] for key in item.through)]


def _values(entries: Sequence[SearchEntry], at: int, order: Sequence[str]) -> list[str]:
    """Return the values of one facet that occur, each once whatever its case, in their order or the alphabet's."""
    found: dict[str, str] = {}
    for entry in entries:
        for value in entry.facets[at]:
            found.setdefault(value.casefold(), value)
    rank = {value: number for number, value in enumerate(order)}
    return sorted(found.values(), key=lambda value: (rank.get(value, len(rank)), _in_order(value)))


def _in_order(text: str) -> tuple[object, ...]:
    """Sort key in natural order, and among texts that differ in case alone always the same one first."""
    return in_natural_order(text), text
