"""The composition as one bar, to scale, ruled into its parts, with names and percentages on leaders.

The parts come largest first.  Those whose middle lies in the left half of the bar are named above it, the first
highest, their words to the right of the leader; the others below it, the last lowest, their words to the left.  So no
leader crosses a word or another leader, each word has at least half the column, and any number of parts finds room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from markupsafe import Markup, escape

from ... import show
from ...fraction import Fraction
from ...language import word
from ...shown.records import Share
from .lettering import em, fitted, in_one_line, marked, of_hundred

NAME = "of"
"""What its parts are called by on the page; hatchings name it for each part, so it is short."""
MOST = 40
"""Parts with a leader of their own; a longer list keeps its last ones together on one."""
ALL = 1000
"""Width of the bar; all places along it are tenths of a percent."""
THIN = Fraction(1, 200)
"""A part below this is hardly wider than the line that rules it, on a phone."""
COLUMN = 2190
"""Width of the narrowest column (a page 320 px wide) in the type of a phone, in hundredths of an em."""

_GAP = 4  # all heights are tenths of an em
_LINE = 13
_ROW = 17
_BASE = 11
_BAR = 18
_FAN = 12
_APART = 20
_INSIDE = 15  # tenths of a percent

_PATTERNS = (
    (0, ""),
    (6, "M-1 7L7-1M-1 1L1-1M5 7L7 5"),
    (5, "M1.5 2.5h1"),
    (4, "M-1-1L5 5M-1 3L1 5M3-1L5 1"),
    (4, "M0 2H4"),
    (6, "M0 0L6 6M0 6L6 0"),
)
"""Side of the tile and what is drawn in it: plain paper, then hatchings; neighbours never have the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Label:
    """What stands at a leader."""

    name: str
    """The name."""
    number: str
    """The percentage as the table prints it, with its unit; empty for what is kept together."""
    start: int
    """Where its part starts along the bar."""
    end: int
    """Where its part ends."""

    @property
    def middle(self) -> int:
        """Where its part has its middle."""
        return (self.start + self.end) // 2


def composition_picture(title: str, shares: Sequence[Share], name: str = NAME) -> Markup:
    """Return the picture of a composition whose shares are all known, else nothing.  The shares add up to 100 %."""
    exact = [show.value_of(share.percent.figure.value) / 100 for share in shares if share.percent.figure]
    if not shares or len(exact) < len(shares):
        return Markup()
    edges = edges_of(exact)
    labels = _labels(shares, edges)
    above = [label for label in labels if label.middle * 2 <= ALL]
    below = labels[len(above) :]
    over, high = _side(above, 0, ALL // 2, up=True)
    under, low = _side(below, ALL // 2, ALL, up=False)
    note = word("To scale; a part below half a percent is no more than a line.") if min(exact) < THIN else ""
    # Text is escaped where it is put in; the rest is ours, and plain text is an order of magnitude faster than Markup.
    return Markup(
        '<figure class="picture"><svg class="parts" role="img" '
        f'aria-labelledby="{name}" aria-describedby="{name}-text" width="100%" height="{em(high + _BAR + low)}">'
        f'<title id="{name}">{escape(word("What goes into {name}", name=title))}</title>'
        f'<desc id="{name}-text">{escape(_described(shares))}</desc>'
        f"{over}{_bar(edges, high, name)}{_at(under, high + _BAR)}</svg>"
        f"{f'<figcaption>{note}</figcaption>' if note else ''}</figure>"
    )


def edges_of(shares: Sequence[Fraction]) -> list[int]:
    """Return where the bar is ruled: the running sums in tenths of a percent, half up, so that errors never add up.

    >>> edges_of([Fraction(2, 3), Fraction(1, 3)])
    [0, 667, 1000]
    """
    edges, sum_ = [0], Fraction(0)
    for share in shares:
        sum_ += share
        edges.append((2 * ALL * sum_.numerator + sum_.denominator) // (2 * sum_.denominator))
    return edges


def spread(wanted: Sequence[int], low: int, high: int) -> list[int]:
    """Return places in the same order, near the wanted ones, at least `_APART` from each other where there is room.

    Neighbours that would come too close share their shift: least squares under an order (pool adjacent violators).

    Source: the method is common practice, no source.

    >>> spread([500, 900, 990, 999], 500, 1000)
    [500, 900, 980, 1000]
    """
    count = len(wanted)
    apart = min(_APART, (high - low) // max(count - 1, 1))
    pools: list[tuple[int, int]] = []
    for number, place in enumerate(wanted):
        pool = (place - number * apart, 1)
        while pools and pools[-1][0] * pool[1] > pool[0] * pools[-1][1]:
            before = pools.pop()
            pool = (before[0] + pool[0], before[1] + pool[1])
        pools.append(pool)
    starts = [sum_ // size for sum_, size in pools for _ in range(size)]
    last = high - (count - 1) * apart
    return [min(max(start, low), last) + number * apart for number, start in enumerate(starts)]


def _labels(shares: Sequence[Share], edges: list[int]) -> list[_Label]:
    own = len(shares) if len(shares) <= MOST else MOST - 1
    labels = [
        _Label(
            name=share.link.words,
            number=_number(share),
            start=edges[at],
            end=edges[at + 1],
        )
        for at, share in enumerate(shares[:own])
    ]
    if own < len(shares):
        rest = word("{count} others, in the table", count=len(shares) - own)
        labels.append(_Label(name=rest, number="", start=edges[own], end=edges[-1]))
    return labels


def _number(share: Share) -> str:
    figure = share.percent.figure
    digits = show.with_unit(figure.text, "%") if figure else share.percent.word
    return f"{share.word} {digits}" if share.word else digits


def _described(shares: Sequence[Share]) -> str:
    """Return the picture in words: how many parts, and the largest of them."""
    listed = [f"{share.link.words} {_number(share)}" for share in shares[:3]]
    if len(shares) > len(listed):
        listed.append(word("{count} more", count=len(shares) - len(listed)))
    return word(
        "A bar of 100\u202f% by weight in {count} part, the largest first: {listed}. The table has them all."
        if len(shares) == 1
        else "A bar of 100\u202f% by weight in {count} parts, the largest first: {listed}. The table has them all.",
        count=len(shares),
        listed=show.listing(listed),
    )


def _side(labels: list[_Label], low: int, high: int, *, up: bool) -> tuple[str, int]:
    """Return the names and leaders of one side of the bar, and its height.

    A row's words reach from its leader to the far end of the column; the leaders of the rows beyond it pass on the
    other side.
    """
    if not labels:
        return "", 0
    feet = [_foot(label, up=up) for label in labels]
    places = spread(feet, low + _GAP, high - _GAP)
    texts, leaders = [], []
    top = 0 if up else _FAN
    rows = []
    for label, place in zip(labels, places, strict=True):
        room = COLUMN * (ALL - place if up else place) // ALL - _GAP * 10
        number = {"before" if up else "after": label.number}
        lines = fitted(label.name, room, 2, **number)
        texts.append(_text(lines, label.number, place, top + _BASE))
        rows.append((top, top + _ROW + _LINE * (len(lines) - 1)))
        top = rows[-1][1]
    height = top + _FAN if up else top
    for foot, place, (start, end) in zip(feet, places, rows, strict=True):
        if up:
            lower = f"V{height}" if place == foot else f"V{height - _FAN}L{foot} {height}"
            leaders.append(f"M{place} {start + 1}{lower}")
        else:
            upper = "" if place == foot else f"L{place} {_FAN}"
            leaders.append(f"M{foot} 0{upper}V{end - 2}")
    anchor = "" if up else ' text-anchor="end"'
    return (
        f'<svg class="leaders" height="{em(height)}" viewBox="0 0 {ALL} {height}" preserveAspectRatio="none">'
        f'<path d="{"".join(leaders)}"/></svg><svg x="{em(_GAP if up else -_GAP)}"{anchor}>{"".join(texts)}</svg>'
    ), height


def _foot(label: _Label, *, up: bool) -> int:
    """Return where a leader touches its part: in the middle, or as far aside as its words need for one line.

    Well inside the part all the same; a thin part is touched in its middle.
    """
    need = (in_one_line(label.name, label.number) + _GAP * 10) * ALL // COLUMN + 1
    inside = min(_INSIDE, (label.end - label.start) // 2)
    if up:
        return max(min(label.middle, ALL - need), label.start + inside)
    return min(max(label.middle, need), label.end - inside)


def _text(lines: list[str], number: str, place: int, base: int) -> str:
    first, *rest = (marked(line, number, "n") for line in lines)
    at = of_hundred(place)
    further = "".join(f'<tspan x="{at}" dy="{em(_LINE)}">{line}</tspan>' for line in rest)
    return f'<text x="{at}" y="{em(base)}">{first}{further}</text>'


def _at(body: str, top: int) -> str:
    return f'<svg y="{em(top)}">{body}</svg>' if body else ""


def _hatching(name: str, side: int, drawn: str) -> str:
    size = f'width="{side}" height="{side}"'
    return f'<pattern id="{name}" {size} patternUnits="userSpaceOnUse"><path d="{drawn}"/></pattern>'


def _bar(edges: list[int], top: int, name: str) -> str:
    """Return the bar: hatchings first, then the ruling over them."""
    drawn = [(start, end) for start, end in pairwise(edges) if end > start]
    used = range(1, min(len(drawn), len(_PATTERNS)))
    hatchings = "".join(_hatching(f"{name}-{kind}", *_PATTERNS[kind]) for kind in used)
    parts = "".join(
        f'<rect x="{of_hundred(start)}" width="{of_hundred(end - start)}" height="100%" '
        f'fill="url(#{name}-{number % len(_PATTERNS)})"/>'
        for number, (start, end) in enumerate(drawn)
        if number % len(_PATTERNS)
    )
    ruled = "".join(f"M{edge} 0V{_BAR}" for edge in dict.fromkeys(edges[1:-1]) if 0 < edge < ALL)
    return (
        f'<defs>{hatchings}</defs><svg class="bar" y="{em(top)}" height="{em(_BAR)}">{parts}'
        f'<svg viewBox="0 0 {ALL} {_BAR}" preserveAspectRatio="none">'
        f'<path d="M0 0H{ALL}V{_BAR}H0Z{ruled}"/></svg></svg>'
    )
