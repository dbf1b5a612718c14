"""Where the lines of a layered drawing run: one formula a layer, what is used above what uses it.

A line is a lane that leads down past the layers between; a formula that several others use sends one lane down, which
branches.  The formulas that wait for their lines stand side by side in each layer; no line crosses another when what
goes into a formula stands side by side just above it.  All orders are tried until one does so; where none does, or
there are too many to try, each formula goes to the median of its lines.

Source: drawing in layers, IEEE Transactions on Systems, Man and Cybernetics 11 (1981) 109; the median, Algorithmica 11
(1994) 379; both from memory.  The search is our own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from graphlib import TopologicalSorter
from itertools import combinations, pairwise

Links = Mapping[str, Sequence[str]]
"""Code → codes of what it uses, or of what uses it."""

TRIED = 4_000
"""Steps of the search before it gives up; a book's group takes some dozens."""


@dataclass(frozen=True, slots=True)
class Lane:
    """A line that leads down, with the formulas that it has yet to reach."""

    number: int
    """Tells it from others; a line that only turns into the next one straight below keeps its number."""
    source: str
    """Code of what it comes from."""
    targets: frozenset[str]
    """Codes of what it leads to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One formula and the lanes beside it."""

    code: str
    """The formula."""
    number: int
    """The lane in which it stands."""
    above: tuple[Lane, ...]
    """The lanes that come down to it and past it, from left to right."""
    row: tuple[int, ...]
    """Numbers of what stands beside each other in its height: lanes that pass, that end there and itself."""
    below: tuple[Lane, ...]
    """The lanes that lead on."""
    joins: tuple[int, ...]
    """Numbers of the lanes that go into it."""
    splits: Mapping[int, tuple[int, int]]
    """Number of a lane that has to pass on both sides → numbers of its left and its right part."""
    crossed: int
    """How many lanes its own lines cross."""


def layers_of(group: Sequence[str], uses: Links, users: Links) -> tuple[Layer, ...]:
    """Return the layers of formulas that hang together and form no ring: without a crossing wherever that can be.

    What nothing goes into comes first, then what takes only that, and so on; where lines cross so, any other order of
    making is tried.
    """
    search = _Search(group, uses, users)
    return search.without_crossing(by_depth=True) or search.without_crossing(by_depth=False) or search.by_median()


def places_of(layers: Sequence[Layer]) -> Mapping[int, int]:
    """Return the place of each lane from the right, 0 nearest to the words: the least that keeps all in their order."""
    right: dict[int, set[int]] = {}
    for layer in layers:
        for beside in (tuple(lane.number for lane in layer.above), layer.row):
            for number in beside:
                right.setdefault(number, set())
            for number, following in pairwise(beside):
                right[number].add(following)
    places: dict[int, int] = {}
    for number in TopologicalSorter(right).static_order():
        places[number] = max((places[other] + 1 for other in right[number]), default=0)
    return places


class _Search:
    """The search among the orders of one group."""

    def __init__(self, group: Sequence[str], uses: Links, users: Links) -> None:
        self.uses, self.users = uses, {code: frozenset(users[code]) for code in group}
        self.rank = {code: number for number, code in enumerate(group)}
        self.depth: dict[str, int] = {}
        for code in TopologicalSorter({code: uses[code] for code in group}).static_order():
            self.depth[code] = max((self.depth[used] + 1 for used in uses[code]), default=0)

    def without_crossing(self, *, by_depth: bool) -> tuple[Layer, ...]:
        """Return layers in which no line crosses another; none where there are none, or not within so many steps."""
        failed: set[object] = set()
        left = TRIED
        path: list[tuple[Layer, Iterator[Layer]]] = []
        placed: dict[str, None] = {}
        lanes: tuple[Lane, ...] = ()
        steps = self._steps(placed, lanes, by_depth)
        while len(placed) < len(self.rank):
            layer = next(steps, None)
            left -= 1
            if not left:
                return ()
            if layer is not None:
                placed[layer.code] = None
                path.append((layer, steps))
                lanes = layer.below
                seen = (frozenset(placed), tuple((lane.source, lane.targets) for lane in lanes))
                steps = iter(()) if seen in failed else self._steps(placed, lanes, by_depth)
                failed.add(seen)  # either it leads to the end, or it need not be tried again
            elif path:
                layer, steps = path.pop()
                del placed[layer.code]
            else:
                return ()
        return tuple(layer for layer, _ in path)

    def _steps(self, placed: Mapping[str, None], lanes: tuple[Lane, ...], by_depth: bool) -> Iterator[Layer]:
        """Yield what may stand in the next layer without a crossing."""
        ready = [code for code in self.rank if code not in placed and all(used in placed for used in self.uses[code])]
        least = min((self.depth[code] for code in ready), default=0)
        fresh = 3 * len(placed)  # each layer has up to three lanes of its own
        for code in ready:
            if not by_depth or self.depth[code] == least:
                yield from self._standing(code, lanes, fresh)

    def _standing(self, code: str, lanes: tuple[Lane, ...], fresh: int) -> Iterator[Layer]:
        """Yield the ways in which one formula may stand below these lanes."""
        own = Lane(fresh, code, self.users[code])
        at = [number for number, lane in enumerate(lanes) if code in lane.targets]
        if not at:
            for place in range(len(lanes), -1, -1):
                yield _layer(own, lanes, lanes[:place], lanes[place:])
            for place, lane in enumerate(lanes):
                for left, right in _halves(lane, fresh + 1):
                    yield _layer(own, lanes, (*lanes[:place], left), (right, *lanes[place + 1 :]), split=lane)
            return
        first, last = at[0], at[-1]
        if last - first + 1 != len(at) or any(len(lanes[number].targets) > 1 for number in at[1:-1]):
            return
        before, after = lanes[:first], lanes[last + 1 :]
        if len(at) == 1:
            lane = _less(lanes[first], code)
            if not lane.targets:
                yield _layer(Lane(lane.number, code, own.targets), lanes, before, after)
                return
            yield _layer(own, lanes, (*before, lane), after)
            yield _layer(own, lanes, before, (lane, *after))
            for left, right in _halves(lane, fresh + 1):
                yield _layer(own, lanes, (*before, left), (right, *after), split=lane)
            return
        # It stands straight below the last lane that ends here; two that both lead on have it between them.
        ends = [number for number in at if len(lanes[number].targets) == 1]
        if ends:
            own = Lane(lanes[ends[-1]].number, code, own.targets)
        parted = ends[-1] if ends else last
        nearer = tuple(_less(lane, code) for lane in lanes[first:parted])
        farther = tuple(_less(lane, code) for lane in lanes[parted + bool(ends) : last + 1])
        yield _layer(own, lanes, (*before, *nearer), (*farther, *after))

    def by_median(self) -> tuple[Layer, ...]:
        """Return layers by depth, each formula at the median of its lines, whatever they cross."""
        lanes: tuple[Lane, ...] = ()
        layers: list[Layer] = []
        for fresh, code in enumerate(sorted(self.rank, key=lambda code: (self.depth[code], self.rank[code]))):
            own = Lane(fresh, code, self.users[code])
            at = [number for number, lane in enumerate(lanes) if code in lane.targets]
            middle = at[len(at) // 2] if at else len(lanes)
            left = tuple(_less(lane, code) for lane in lanes[:middle])
            right = tuple(_less(lane, code) for lane in lanes[middle:])
            if at and not right[0].targets:
                own, right = Lane(right[0].number, code, own.targets), right[1:]
            layers.append(_layer(own, lanes, left, right))
            lanes = layers[-1].below
        return tuple(layers)


def _less(lane: Lane, code: str) -> Lane:
    return Lane(lane.number, lane.source, lane.targets - {code})


def _going(lanes: Iterable[Lane]) -> tuple[Lane, ...]:
    """Return the lanes that lead on to something."""
    return tuple(lane for lane in lanes if lane.targets)


def _halves(lane: Lane, fresh: int) -> Iterator[tuple[Lane, Lane]]:
    """Yield the ways to part a lane in two, with what either leads to."""
    targets = sorted(lane.targets)
    for count in range(1, len(targets)):
        for chosen in combinations(targets, count):
            left = frozenset(chosen)
            yield Lane(fresh, lane.source, left), Lane(fresh + 1, lane.source, lane.targets - left)


def _layer(
    own: Lane, above: tuple[Lane, ...], left: tuple[Lane, ...], right: tuple[Lane, ...], split: Lane | None = None
) -> Layer:
    """Return a layer: its formula between the lanes at its left and at its right, those that end there among them."""
    joins = [number for number, lane in enumerate(above) if own.source in lane.targets]
    at_left = {lane.number for lane in left}
    passing = ((number, lane.number in at_left) for number, lane in enumerate(above) if number not in joins)
    return Layer(
        code=own.source,
        number=own.number,
        above=above,
        row=tuple(lane.number for lane in (*left, own, *right)),
        below=_going((*left, own, *right)),
        joins=tuple(above[number].number for number in joins),
        splits={split.number: (left[-1].number, right[0].number)} if split else {},
        crossed=sum(
            bool(joins) and (joins[0] < number if beside_left else joins[-1] > number)
            for number, beside_left in passing
        ),
    )
