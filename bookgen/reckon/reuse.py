"""Which formulas have to be reckoned anew after a change, and which figures still stand.

Enters: the book as it was reckoned and as it is.  Leaves: the keys of formulas whose figures may be others now.  A
record that reading left untouched is the very same object, so that identity tells what changed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from ..model import Body, Book, Formula, Material, Workroom
from .densities import is_water
from .graph import Graph, graph_of
from .standing import alcohol_of


def graph_again(book: Book, earlier: Book, graph: Graph) -> Graph:
    """Return the graph of a book: the earlier one where the same names stand for the same, and lines call the same."""
    same = book.formulas.keys() == earlier.formulas.keys() and book.materials.keys() == earlier.materials.keys()
    if not same or book.naming != earlier.naming:
        return graph_of(book)
    for key, formula in book.formulas.items():
        then = earlier.formulas[key]
        if formula is not then and _called(formula, book) != _called(then, earlier):
            return graph_of(book)
    return graph


def _called(formula: Formula, book: Book) -> list[str]:
    return list(dict.fromkeys(book.key_of(line.material) for line in formula.lines))


def stale(book: Book, graph: Graph, earlier: Book, earlier_graph: Graph) -> frozenset[str]:
    """Return the formulas whose figures may be others than they were.

    These are the formulas that changed, those with a line whose name stands for another record now, those above them,
    and those on or above a circle.  Everything is, where balances, accepted error or periods changed.  Users are left
    alone where only words changed in which they have no part, such as a method or a caution.
    """
    if _instruments(book.workroom) != _instruments(earlier.workroom):
        return frozenset(book.formulas)
    found = set(graph.bound | (earlier_graph.bound & book.formulas.keys()))
    for name, now, then in _changed(book, earlier):
        if now is not None and then is not None and _as_ingredient(now) == _as_ingredient(then):
            continue
        found.update(earlier_graph.used_by.get(earlier.key_of(name), ()))
        found.update(graph.used_by.get(book.key_of(name), ()))
        if isinstance(now, Formula):
            found.add(book.key_of(name))
    for name in book.naming.unfiled.keys() ^ earlier.naming.unfiled.keys():
        found.update(earlier_graph.used_by.get(name, ()))
        found.update(graph.used_by.get(name, ()))
    if _waters(book) != _waters(earlier):
        found.update(key for key, formula in book.formulas.items() if any(alcohol_of(line) for line in formula.lines))
    found &= book.formulas.keys()
    waiting = list(found)
    for key in waiting:  # grows while it is walked
        above = [user for user in graph.used_by.get(key, ()) if user not in found]
        found.update(above)
        waiting.extend(above)
    changed = {key for key, formula in book.formulas.items() if earlier.formulas.get(key) is not formula}
    return frozenset(found | changed)


AT_ONCE = 20
"""Formulas that are reckoned anew in one go, at most, where some are wanted before the others."""


def not_wanted_first(
    anew: frozenset[str], first: Collection[str], book: Book, graph: Graph, earlier: Book
) -> frozenset[str]:
    """Return which of the formulas to be reckoned anew can wait: neither wanted first nor in what is.

    None can where formulas or materials came or went, or where all take but a moment.
    """
    same = book.formulas.keys() == earlier.formulas.keys() and book.materials.keys() == earlier.materials.keys()
    if not first or len(anew) <= AT_ONCE or not same:
        return frozenset()
    waiting = list(first)
    for key in waiting:  # grows while it is walked
        waiting.extend(used for used in graph.uses.get(key, ()) if used not in waiting)
    return anew.difference(waiting)


Item = Formula | Material


def _changed(book: Book, earlier: Book) -> Iterator[tuple[str, Item | None, Item | None]]:
    """Yield the names, in lower case, that stand for another record than they did, with the records now and then."""
    now, then = _named(book), _named(earlier)
    for name in now.keys() | then.keys():
        if now.get(name) is not then.get(name):
            yield name, now.get(name), then.get(name)


def _as_ingredient(item: Item) -> str:
    """Return as text, places included, what the figures and findings of its users can rest on."""
    if isinstance(item, Material):
        return repr(replace(item, body=Body(), hazards=(), cautions=(), source=()))
    words = replace(item, body=Body(), hazards=(), cautions=(), source=(), purpose="", appearance="", equipment=())
    return repr(replace(words, changes=()))


def _named(book: Book) -> dict[str, Formula | Material]:
    """Return every name that a line may use with what it stands for."""
    by_name = {name: book.materials[key] for name, key in book.naming.names.items()}
    return {**by_name, **book.materials, **book.formulas}


def _instruments(workroom: Workroom) -> tuple[object, ...]:
    """Return what figures rest on in the workroom."""
    return workroom.balances, workroom.accepted_error, workroom.periods, workroom.limits


def _waters(book: Book) -> list[tuple[str, int]]:
    """Return the materials that are nothing but water, each with its identity: one of them dilutes ethanol."""
    return [(key, id(material)) for key, material in book.materials.items() if is_water(material)]
