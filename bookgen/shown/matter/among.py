"""Where formulas stand among each other: nodes and edges of a picture, from the graph that the book is reckoned by."""

from __future__ import annotations

from ..records import LineagePicture
from ..shelf import Shelf, in_natural_order

MOST = 24
"""A formula among more than these is told by the lists of its page alone."""


def standing_of(key: str, shelf: Shelf) -> LineagePicture:
    """Return what goes into a formula, on every way, and what it goes into; nothing where either is missing."""
    graph = shelf.reckoning.graph
    users = graph.used_by.get(key, ())
    if key in graph.bound or not graph.uses.get(key) or not users:
        return LineagePicture()
    inner = [key]
    for part in inner:  # grows while it is walked
        inner += [other for other in graph.uses.get(part, ()) if other not in inner]
        if len(inner) + len(users) > MOST:
            return LineagePicture()
    chosen = {*inner, *users}
    nodes = tuple(shelf.link(key) for key in sorted(chosen, key=lambda key: in_natural_order(_code(key, shelf))))
    edges = ((_code(use, shelf), _code(user, shelf)) for user in chosen for use in graph.uses[user] if use in chosen)
    return LineagePicture(nodes=nodes, edges=tuple(sorted(edges)), here=_code(key, shelf))


def lineage_of_book(shelf: Shelf) -> LineagePicture:
    """Return how all formulas of the book go into each other, one picture for each group; empty where none does."""
    graph = shelf.reckoning.graph
    nodes = tuple(shelf.link(key) for chapter in shelf.chapters for key in chapter.keys)
    edges = ((_code(inner, shelf), _code(key, shelf)) for key, used in graph.uses.items() for inner in used)
    return LineagePicture(nodes=nodes, edges=tuple(edges))


def _code(key: str, shelf: Shelf) -> str:
    return shelf.link(key).code
