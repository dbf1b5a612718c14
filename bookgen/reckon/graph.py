"""Intermediates as a graph: which formula is an ingredient of which, in which order they are reckoned.

Enters: a book.  Leaves: `Graph`.  Walked without recursion, so a chain of any length is no trouble.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..model import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class Graph:
    """What uses what among formulas; all names are keys of `Book.formulas`."""

    order: tuple[str, ...]
    """Every formula, used before users; those on or above a cycle come last."""
    rank: Mapping[str, int]
    """Formula → its number in `order`."""
    uses: Mapping[str, tuple[str, ...]]
    """Formula → the formulas among its ingredients, each once, in the order of its lines."""
    used_by: Mapping[str, tuple[str, ...]]
    """Formula or material key → the formulas that have it among their ingredients, by key."""
    cycles: tuple[tuple[str, ...], ...]
    """Each cycle once, as a path that starts at its smallest key and does not repeat it at the end."""
    bound: frozenset[str]
    """Formulas on a cycle or above one: their composition cannot be known."""


def graph_of(book: Book) -> Graph:
    """Return the graph of a book's formulas and materials.

    Kahn's method orders what hangs on no cycle; what remains holds the cycles.
    """
    uses: dict[str, tuple[str, ...]] = {}
    used_by: dict[str, dict[str, None]] = {}
    for key, formula in book.formulas.items():
        found: dict[str, None] = {}
        for line in formula.lines:
            target = book.key_of(line.material)
            if target in book.formulas:
                found[target] = None
            if target:
                used_by.setdefault(target, {})[key] = None
        uses[key] = tuple(found)
    waiting = {key: len(used) for key, used in uses.items()}
    ready = sorted(key for key, count in waiting.items() if not count)
    order: list[str] = []
    for key in ready:  # grows while it is walked
        order.append(key)
        for user in used_by.get(key, ()):
            waiting[user] -= 1
            if not waiting[user]:
                ready.append(user)
    placed = set(order)
    bound = [key for key in uses if key not in placed]
    whole_order = (*order, *sorted(bound))
    return Graph(
        order=whole_order,
        rank={key: number for number, key in enumerate(whole_order)},
        uses=uses,
        used_by={key: tuple(sorted(users)) for key, users in used_by.items()},
        cycles=circles({key: tuple(used for used in uses[key] if used not in placed) for key in bound}),
        bound=frozenset(bound),
    )


def circles(uses: Mapping[str, tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Return one cycle through each knot of the graph, each formula in at most one of them."""
    found: list[tuple[str, ...]] = []
    done: set[str] = set()
    for start in sorted(uses):
        if start in done:
            continue
        path: list[str] = [start]
        on_path = {start: 0}
        branches = [iter(uses[start])]
        while branches:
            following = next((key for key in branches[-1] if key not in done), None)
            if following is None:
                branches.pop()
                left = path.pop()
                del on_path[left]
                done.add(left)
            elif following in on_path:
                cycle = path[on_path[following] :]
                if not done.intersection(cycle):
                    first = cycle.index(min(cycle))
                    found.append(tuple(cycle[first:] + cycle[:first]))
                done.update(cycle)
            else:
                on_path[following] = len(path)
                path.append(following)
                branches.append(iter(uses[following]))
    return tuple(sorted(found))
