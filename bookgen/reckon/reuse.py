"""Which formulas have to be reckoned anew after a change, and which figures still stand.

Enters: the book as it was reckoned and as it is.  Leaves: the keys of formulas whose figures may be others now.  A
record that reading left untouched is the very same object, so that identity tells what changed.
"""

from __future__ import annotations

from ..model import Book, Formula, Material, Workroom
from .densities import is_water
from .graph import Graph
from .standing import alcohol_of


def stale(book: Book, graph: Graph, earlier: Book, earlier_graph: Graph) -> frozenset[str]:
    """Return the formulas whose figures may be others than they were.

    These are the formulas that changed, those with a line whose name stands for another record now, those above them,
    and those on or above a circle.  Everything is, where balances, accepted error or periods changed.
    """
    if _instruments(book.workroom) != _instruments(earlier.workroom):
        return frozenset(book.formulas)
    found = {key for key, formula in book.formulas.items() if earlier.formulas.get(key) is not formula}
    found |= graph.bound | (earlier_graph.bound & book.formulas.keys())
    for name in changed_names(book, earlier):
        found.update(earlier_graph.used_by.get(earlier.key_of(name), ()))
        found.update(graph.used_by.get(book.key_of(name), ()))
    if _waters(book) != _waters(earlier):
        found.update(key for key, one in book.formulas.items() if any(alcohol_of(line) for line in one.lines))
    found &= book.formulas.keys()
    waiting = list(found)
    for key in waiting:  # grows while it is walked
        above = [user for user in graph.used_by.get(key, ()) if user not in found]
        found.update(above)
        waiting.extend(above)
    return frozenset(found)


def changed_names(book: Book, earlier: Book) -> set[str]:
    """Return the names, in lower case, that stand for another record than they did, or for none."""
    now, then = _named(book), _named(earlier)
    return {name for name in now.keys() | then.keys() if now.get(name) is not then.get(name)}


def _named(book: Book) -> dict[str, Formula | Material]:
    """Return every name that a line may use with what it stands for."""
    by_stem = {stem: book.formulas[key] for stem, key in book.stems.items()}
    return {**by_stem, **book.materials, **book.formulas}


def _instruments(workroom: Workroom) -> tuple[object, ...]:
    """Return what figures rest on in the workroom."""
    return workroom.balances, workroom.accepted_error, workroom.periods


def _waters(book: Book) -> list[tuple[str, int]]:
    """Return the materials that are nothing but water, each with its identity: one of them dilutes ethanol."""
    return [(key, id(one)) for key, one in book.materials.items() if is_water(one)]
