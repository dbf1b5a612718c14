"""Which formula goes into which: a list in an order of making, and beside it the lines from each down to its users.

What is made first stands above what it goes into.  Each row is a list item with its name as ordinary words, whole at
any width; its piece of the lines is as high as the row, so that the pieces meet.  Where lines run is for `layers.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from graphlib import CycleError

from markupsafe import Markup

from ... import show
from ...language import word
from ...shown.records import Link
from .layers import Layer, layers_of, places_of
from .lettering import em

Edge = tuple[str, str]
"""Code of what goes in, code of what it goes into."""

NAME = "lineage"
MOST_ROWS = 60
"""More formulas in one picture are better read in the list."""
MOST_LANES = 10
"""More lanes leave too little room for the titles on a phone."""

_LANE = 8  # all measures are tenths of an em
_MIDDLE = 9
_SPLIT = 3
_NODE = 2


def lineage_pictures(
    nodes: Sequence[Link], edges: Iterable[Edge], *, here: str = "", name: str = NAME
) -> tuple[Markup, ...]:
    """Return one picture for each group of formulas that hang together, in the order of their first formula.

    A formula that neither goes into another nor takes one is left out.  Where a group is too large or its formulas go
    into each other in a ring, a sentence says so.  `here` is the code of the page's own formula: it is no link.
    """
    by_code = {node.code: node for node in nodes}
    rank = {code: number for number, code in enumerate(by_code)}
    uses: dict[str, list[str]] = {code: [] for code in by_code}
    users: dict[str, list[str]] = {code: [] for code in by_code}
    for inner, outer in sorted(set(edges), key=lambda edge: (rank[edge[0]], rank[edge[1]])):
        uses[outer].append(inner)
        users[inner].append(outer)
    return tuple(
        _picture(group, by_code, uses, users, here, f"{name}-{number}")
        for number, group in enumerate(_groups(rank, uses, users), start=1)
    )


def _groups(rank: Mapping[str, int], uses: Mapping[str, list[str]], users: Mapping[str, list[str]]) -> list[list[str]]:
    """Return the groups of two or more that hang together, each in the order of the nodes."""
    seen: set[str] = set()
    groups = []
    for code in rank:
        if code in seen or not (uses[code] or users[code]):
            continue
        group = [code]
        seen.add(code)
        for member in group:  # grows while it is walked
            new = [other for other in (*uses[member], *users[member]) if other not in seen]
            group += dict.fromkeys(new)
            seen.update(new)
        groups.append(sorted(group, key=rank.__getitem__))
    return groups


def _picture(
    group: list[str],
    by_code: Mapping[str, Link],
    uses: Mapping[str, list[str]],
    users: Mapping[str, list[str]],
    here: str,
    name: str,
) -> Markup:
    first = f"{by_code[group[0]].code} {by_code[group[0]].words}"
    if len(group) > MOST_ROWS:
        return _words(
            word(
                "{first} and {count} others hang together: too many for a picture, see the list.",
                first=first,
                count=len(group) - 1,
            )
        )
    try:
        layers = layers_of(group, uses, users)
    except CycleError:
        return _words(
            word("{first} and others go into each other in a ring: no picture until that is put right.", first=first)
        )
    places = places_of(layers)
    lanes = max(places.values()) + 1
    if lanes > MOST_LANES:
        return _words(
            word(
                "{first} and {count} others are too closely knit for a picture, see the list.",
                first=first,
                count=len(group) - 1,
            )
        )
    across = {number: _LANE * (lanes - place) - _LANE // 2 for number, place in places.items()}
    tip = Markup(
        '<marker id="{}" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="7" markerHeight="7" orient="auto" '
        'markerUnits="userSpaceOnUse"><path d="M0 0l8 4-8 4z"/></marker>'
    ).format(name)
    rows = Markup().join(
        Markup('<li><svg aria-hidden="true">{}{}</svg>{}</li>').format(
            "" if number else tip, Markup("").join(_lines(layer, across, name)), _named(by_code[layer.code], here)
        )
        for number, layer in enumerate(layers)
    )
    return Markup('<ol class="lineage" style="--lanes:{}" aria-label="{}">{}</ol>').format(
        lanes,
        f"{_title([by_code[layer.code] for layer in layers], here, by_code)}. {_described(layers, users)}",
        rows,
    )


def _words(sentence: str) -> Markup:
    return Markup('<p class="picture">{}</p>').format(sentence)


def _title(nodes: Sequence[Link], here: str, by_code: Mapping[str, Link]) -> str:
    if here:
        return word("What goes into {name}, and what it goes into", name=by_code[here].words)
    return word(
        "How {count} formulas go into each other, {first} to {last}",
        count=len(nodes),
        first=nodes[0].code,
        last=nodes[-1].code,
    )


def _described(layers: Sequence[Layer], users: Mapping[str, list[str]]) -> str:
    """Return the picture in words: into what the first few intermediates go."""
    inner = [layer.code for layer in layers if users[layer.code]]
    told = [word("{code} goes into {users}", code=code, users=_and(users[code])) for code in inner[:6]]
    more = word("; {count} more lead on", count=len(inner) - 6) if len(inner) > 6 else ""
    return word("What is made first stands above what it goes into: {told}.", told="; ".join(told) + more)


def _and(codes: Sequence[str]) -> str:
    if len(codes) > 6:
        return word("{codes} and {count} more", codes=", ".join(codes[:5]), count=len(codes) - 5)
    return show.listing(codes)


def _lines(layer: Layer, across: Mapping[int, int], tip: str) -> Iterator[Markup]:
    """Yield a row's lines: lanes that pass, end and begin, what goes in from either side, dots where a lane branches.

    Its own place is a disc.  A lane that a line merely crosses has no dot.
    """
    own, below = layer.number, {lane.number for lane in layer.below}
    parts = {part for pair in layer.splits.values() for part in pair}
    for lane in layer.above:
        if lane.number in layer.splits:
            left, right = layer.splits[lane.number]
            yield _down(across[lane.number], None, _SPLIT)
            ends = (across[left], across[lane.number], across[right])
            yield _over(min(ends), max(ends), _SPLIT)
            if lane.number in layer.joins:
                yield _down(across[own], _SPLIT, _MIDDLE - _NODE, tip)
        elif lane.number == own:
            yield _down(across[own], None, _MIDDLE - _NODE, tip)
        elif lane.number in below:
            yield _down(across[lane.number], None, None)
        else:
            yield _down(across[lane.number], None, _MIDDLE)
    for lane in layer.below:
        if lane.number in parts:
            yield _down(across[lane.number], _SPLIT, None)
        elif lane.number == own:
            yield _down(across[own], _MIDDLE, None)
    joins = sorted(across[number] for number in layer.joins if number != own and number not in layer.splits)
    middle = across[own]
    if joins and joins[0] < middle:
        yield _over(joins[0], middle - _NODE, _MIDDLE, tip)
    if joins and joins[-1] > middle:
        yield _over(joins[-1], middle + _NODE, _MIDDLE, tip)
    for number in layer.joins:
        at = across[number]
        if at != middle and number not in layer.splits and (number in below or at not in (joins[0], joins[-1])):
            yield Markup('<circle cx="{}" cy="{}" r=".15em"/>').format(em(at), em(_MIDDLE))
    yield Markup('<circle class="node" cx="{}" cy="{}" r="{}"/>').format(em(middle), em(_MIDDLE), em(_NODE))


def _down(at: int, top: int | None, end: int | None, tip: str = "") -> Markup:
    """Return a line down a lane, from the top of the row or a height, to its end or a height."""
    return Markup('<line x1="{}" x2="{}"{} y2="{}"{}/>').format(
        em(at),
        em(at),
        "" if top is None else Markup(' y1="{}"').format(em(top)),
        "100%" if end is None else em(end),
        _tip(tip),
    )


def _over(start: int, end: int, height: int, tip: str = "") -> Markup:
    """Return a line from one lane to another."""
    return Markup('<line x1="{}" x2="{}" y1="{}" y2="{}"{}/>').format(
        em(start), em(end), em(height), em(height), _tip(tip)
    )


def _tip(name: str) -> Markup:
    return Markup(' marker-end="url(#{})"').format(name) if name else Markup()


def _named(node: Link, here: str) -> Markup:
    """Return code and title of a row, as a link where there is a page to lead to, with the stamp that it bears."""
    words = Markup('<b class="code">{}</b> {}').format(node.code, node.words)
    if node.code == here:
        named = Markup('<span class="here">{}</span>').format(words)
    else:
        named = Markup('<a href="{}">{}</a>').format(node.href, words) if node.href else words
    return (
        named + Markup(' <strong class="stamp {}">{}</strong>').format(node.stamp, word(node.stamp))
        if node.stamp
        else named
    )
