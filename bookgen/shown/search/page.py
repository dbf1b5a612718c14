"""The page to search with, and the file that holds what can be found.

The file is a classic script, because a page opened from disk may load nothing else.  It is one constant: no text
stands in it twice, functions and the values that narrow a search are numbers into lists, and a formula names its
ingredients by their numbers, so that their synonyms are written once in the book.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from ... import show
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
    formulas, materials = show.counted(len(book.formulas), "formula"), show.counted(len(book.materials), "material")
    return SearchShown(
        frame=at_root(shelf).frame(),
        facets=FACETS,
        terms=TERMS,
        counts=f"{formulas} and {materials}",
    )


def search_terms(shelf: Shelf) -> bytes:
    """Return the file of a book."""
    return terms_file(entries_of(shelf))


def terms_file(entries: Sequence[SearchEntry]) -> bytes:
    """Return the file of these entries.

    An entry is a list: title, code, name of its page's file (empty when it is the code), numbers of the values that
    narrow to it, numbers of its functions, numbers of the entries it uses, its synonyms, its text.  Values are numbered
    through all facets.  `<` is written as an escape, so that no text of a keeper ends a script.
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
    written = [
        [
            entry.title,
            entry.code,
            "" if entry.stem == entry.code else entry.stem,
            [value_numbers[at, value.casefold()] for at, values in enumerate(entry.facets) for value in values],
            [function_numbers[function] for function in entry.functions],
            [numbers[key] for key in entry.uses if key in numbers],
            entry.also,
            entry.text,
        ]
        for entry in entries
    ]
    whole = {"facets": facets, "functions": functions, "entries": written}
    text = json.dumps(whole, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
    return f"const {CONSTANT}={text};\n".encode()


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
