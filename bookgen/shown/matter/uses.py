"""What uses what: every intermediate, what it is made of and what is made of it."""

from __future__ import annotations

from ...model import Formula
from ..shelf import Shelf, at_root
from .among import lineage_of_book
from .passages import USES, title_of
from .records import UsesEntry, UsesShown


def uses_shown(shelf: Shelf) -> UsesShown:
    """Return the page; an intermediate is what a formula lists, or what says that it is an ingredient of others."""
    root = at_root(shelf)
    return UsesShown(
        frame=root.frame(),
        title=title_of(USES),
        picture=lineage_of_book(root),
        intermediates=tuple(_entry(key, root) for key in intermediates(root)),
    )


def intermediates(shelf: Shelf) -> tuple[str, ...]:
    """Return the keys of the intermediates, by code."""
    used_by, formulas = shelf.reckoning.graph.used_by, shelf.book.formulas
    return tuple(key for key in shelf.codes if used_by.get(key) or _for_others(formulas[key]))


def _for_others(formula: Formula) -> bool:
    return formula.use is not None and formula.use.intermediate


def _entry(key: str, root: Shelf) -> UsesEntry:
    book = root.book
    formula = book.formulas[key]
    listed = dict.fromkeys(book.key_of(line.material) or line.material for line in formula.lines)
    users = root.reckoning.graph.used_by.get(key, ())
    return UsesEntry(
        anchor=f"made-of-{root.stems[key]}",
        link=root.link(key),
        made_of=tuple(root.link(used) for used in listed),
        used_in=tuple(root.link(user) for user in root.by_code(users)),
    )
