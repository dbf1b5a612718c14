"""Which formula goes into which, as a list of codes in the order of making with ruled lines beside it.

What is made first stands above what it goes into.  From each intermediate one line leads out to a lane at the left,
down it, and with an arrow into every formula that uses it; a dot marks where it branches, a mere crossing has none.
One row a formula, so that letters keep their size however long a chain is, and titles stand beside their codes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from ... import show
from .lettering import em, fitted, marked, width_of

Node = tuple[str, str, str]
"""Code, title, address (empty where it has no page)."""
Edge = tuple[str, str]
"""Code of what goes in, code of what it goes into."""

NAME = "lineage"
MOST_ROWS = 60
"""More formulas in one picture are better read in the list."""
MOST_LANES = 8
"""More lanes leave too little room for the titles on a phone."""
COLUMN = 1820
"""Width of the narrowest column (a page 320 px wide) in the type of the picture, in hundredths of an em."""

_EM = 20  # all measures are twentieths of an em
_ROW = 32
_LINE = 26
_BASE = 22
_PORT = 10
_LANE = 14
_TIP = 8
_AFTER = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One formula's row."""

    node: Node
    """Code, title, address."""
    top: int
    """Where the row starts."""
    height: int
    """How high it is."""
    lines: tuple[str, ...]
    """What is written in it."""
    ins: Mapping[str, int]
    """Code of what goes in → height at which its arrow arrives."""
    out: int
    """Height at which its own line leaves."""


def lineage_pictures(
    nodes: Sequence[Node], edges: Iterable[Edge], *, here: str = "", name: str = NAME
) -> tuple[Markup, ...]:
    """Return one picture for each group of formulas that hang together, in the order of their first formula.

    A formula that neither goes into another nor takes one is left out.  Where a group is too large or its formulas go
    into each other in a ring, a sentence says so.  `here` is the code of the page's own formula: it is no link.
    """
    by_code = {node[0]: node for node in nodes}
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


def order_of(group: Sequence[str], uses: Mapping[str, Sequence[str]], users: Mapping[str, Sequence[str]]) -> list[str]:
    """Return a group in an order of making: whatever is used stands before its users, as near to the first as can be.

    From each final product down to what it takes, without recursion.  Formulas in a ring come in no order.
    """
    order: dict[str, None] = {}
    for product in [*(code for code in group if not users[code]), *group]:
        waiting = [(product, iter(uses[product]))]
        entered = {product}
        while waiting:
            code, inner = waiting[-1]
            following = next((code for code in inner if code not in order and code not in entered), None)
            if following is None:
                order[code] = None
                waiting.pop()
            else:
                entered.add(following)
                waiting.append((following, iter(uses[following])))
    return list(order)


def lanes_of(spans: Mapping[str, tuple[int, int]]) -> dict[str, int]:
    """Return the lane of each line, 0 nearest to the codes; a short line lies inside a long one.

    A lane is free again in the row where its line ends, because lines leave a row below those that arrive.
    """
    lanes: dict[str, int] = {}
    taken: list[list[tuple[int, int]]] = []
    for code, (start, end) in sorted(spans.items(), key=lambda span: (span[1][1] - span[1][0], span[1])):
        free = (
            number
            for number, lane in enumerate(taken)
            if all(end <= other_start or other_end <= start for other_start, other_end in lane)
        )
        lanes[code] = next(free, len(taken))
        if lanes[code] == len(taken):
            taken.append([])
        taken[lanes[code]].append((start, end))
    return lanes


def _picture(
    group: list[str],
    by_code: Mapping[str, Node],
    uses: Mapping[str, list[str]],
    users: Mapping[str, list[str]],
    here: str,
    name: str,
) -> Markup:
    first = f"{by_code[group[0]][0]} {by_code[group[0]][1]}"
    if len(group) > MOST_ROWS:
        return _words(f"{first} and {len(group) - 1} others hang together: too many for a picture, see the list.")
    order = order_of(group, uses, users)
    row_of = {code: number for number, code in enumerate(order)}
    if any(row_of[inner] >= row_of[code] for code in order for inner in uses[code]):
        return _words(f"{first} and others go into each other in a ring: no picture until that is put right.")
    spans = {code: (row_of[code], max(row_of[user] for user in users[code])) for code in order if users[code]}
    lanes = lanes_of(spans)
    count = max(lanes.values()) + 1
    if count > MOST_LANES:
        return _words(f"{first} and {len(group) - 1} others are too closely knit for a picture, see the list.")
    gutter = _LANE * count + 2 * _TIP
    rows = _rows([by_code[code] for code in order], uses, users, lanes, COLUMN - (gutter + _AFTER) * 5)
    height = rows[-1].top + rows[-1].height
    return Markup(
        '<svg class="picture lineage" role="group" aria-labelledby="{name}" aria-describedby="{name}-text" '
        'width="100%" height="{height}"><title id="{name}">{title}</title><desc id="{name}-text">{text}</desc>'
        "{lines}{words}</svg>"
    ).format(
        name=name,
        height=_em(height),
        title=_title([by_code[code] for code in order], here, by_code),
        text=_described(order, uses, users),
        lines=_lines(rows, spans, lanes, order, users, gutter, height),
        words=Markup().join(_written(row, gutter + _AFTER, here) for row in rows),
    )


def _words(sentence: str) -> Markup:
    return Markup('<p class="picture">{}</p>').format(sentence)


def _title(nodes: Sequence[Node], here: str, by_code: Mapping[str, Node]) -> str:
    if here:
        return f"What goes into {by_code[here][1]}, and what it goes into"
    return f"How {len(nodes)} formulas go into each other, {nodes[0][0]} to {nodes[-1][0]}"


def _described(order: Sequence[str], uses: Mapping[str, list[str]], users: Mapping[str, list[str]]) -> str:
    """Return the picture in words: into what the first few intermediates go."""
    inner = [code for code in order if users[code]]
    told = [f"{code} goes into {_and(users[code])}" for code in inner[:6]]
    more = f"; {len(inner) - 6} more lead on" if len(inner) > 6 else ""
    return f"What is made first stands above what it goes into: {'; '.join(told)}{more}. The list has them all."


def _and(codes: Sequence[str]) -> str:
    if len(codes) > 6:
        return f"{', '.join(codes[:5])} and {len(codes) - 5} more"
    return show.listing(codes)


def _rows(
    nodes: Sequence[Node],
    uses: Mapping[str, list[str]],
    users: Mapping[str, list[str]],
    lanes: Mapping[str, int],
    room: int,
) -> list[_Row]:
    """Return the rows, each high enough for its words and its arrows."""
    rows, top = [], 0
    for node in nodes:
        code, title, _ = node
        lines = tuple(
            fitted(title, room, 2, before=code) if width_of(code) < room else fitted(f"{code} {title}", room, 3)
        )
        # The nearest lane arrives uppermost: it ends there and is not crossed by those from further out.
        inner = sorted(uses[code], key=lambda used: lanes[used])
        ports = len(inner) + bool(users[code])
        height = max(_ROW + _LINE * (len(lines) - 1), _PORT * (ports - 1) + _ROW - _PORT)
        start = top + (height - _PORT * (ports - 1)) // 2
        rows.append(
            _Row(
                node=node,
                top=top,
                height=height,
                lines=lines,
                ins={used: start + _PORT * number for number, used in enumerate(inner)},
                out=start + _PORT * len(inner),
            )
        )
        top += height
    return rows


def _lines(
    rows: Sequence[_Row],
    spans: Mapping[str, tuple[int, int]],
    lanes: Mapping[str, int],
    order: Sequence[str],
    users: Mapping[str, list[str]],
    gutter: int,
    height: int,
) -> Markup:
    """Return lanes with their branches, dots where they branch, arrows where they arrive."""
    ruled, dots, tips = [], [], []
    row_of = dict(zip(order, rows, strict=True))
    for code, (_, last) in spans.items():
        lane = gutter - 2 * _TIP - _LANE * lanes[code] - _TIP // 2
        end = rows[last].ins[code]
        ruled.append(f"M{gutter} {row_of[code].out}H{lane}V{end}H{gutter - _TIP}")
        for user in users[code]:
            at = row_of[user].ins[code]
            tips.append(f"M{gutter - _TIP} {at - 4}l{_TIP} 4l-{_TIP} 4z")
            if at != end:
                ruled.append(f"M{lane} {at}H{gutter - _TIP}")
                dots.append(f"M{lane} {at}h0")
    return Markup(
        '<svg width="{}" height="{}" viewBox="0 0 {} {}"><path d="{}"/>{}<path class="tips" d="{}"/></svg>'
    ).format(
        _em(gutter),
        _em(height),
        gutter,
        height,
        "".join(ruled),
        Markup('<path class="dots" d="{}"/>').format("".join(dots)) if dots else "",
        "".join(tips),
    )


def _written(row: _Row, left: int, here: str) -> Markup:
    """Return code and title of a row, as a link where there is a page to lead to."""
    code, _, href = row.node
    first = row.top + (row.height - _LINE * (len(row.lines) - 1) - _ROW) // 2 + _BASE
    inner = Markup()
    for number, line in enumerate(row.lines):
        words = marked(line, code, "n") if not number else escape(line)
        inner += Markup('<tspan x="{}" dy="{}">{}</tspan>').format(_em(left), _em(_LINE), words) if number else words
    text = Markup('<text x="{}" y="{}"{}>{}</text>').format(
        _em(left), _em(first), Markup(' class="here"') if code == here else "", inner
    )
    return Markup('<a href="{}">{}</a>').format(href, text) if href and code != here else text


def _em(measure: int) -> str:
    return em(measure * 10 // _EM)
