"""Lettering of pictures: how wide words are and where they break, reckoned without a browser.

Widths are hundredths of an em.  They leave room for readers who set letters and words further apart.
"""

from __future__ import annotations

from functools import lru_cache
from unicodedata import east_asian_width

from markupsafe import escape

from ... import show

_WIDTHS = {
    20: "\u202f \u00a0",
    25: "|',.:;ijl",
    30: "I!f()[]{}-",
    35: "tr/\\",
    43: '*?sz"',
    48: "xcvyJY\u2013",
    51: "aegk0123456789#$+<=>^_~FLX",
    55: "bhnouSETAZV",
    58: "dpqCPRK",
    62: "DGB&",
    66: "HNUOQ",
    74: "wM",
    84: "mW%@",
    95: "\u2026\u2014",
}
_WIDTH = {sign: width for width, signs in _WIDTHS.items() for sign in signs}
"""Advance of a letter of Source Sans 3 at weight 400, read from the font, in hundredths of an em, rounded up."""
_OTHER = 62
_HEAVY = 5
"""What a letter of the weight of numbers and codes takes more, at most, in hundredths of its width."""
_LETTER, _WORD = 12, 16
"""What a reader may set letters and words further apart by, in hundredths of an em (WCAG 2.2, 1.4.12)."""
_SPACE = _WIDTH[" "] + _LETTER + _WORD
MORE = "\u2026"

Word = tuple[str, int]
"""Letters that stay together, and their width."""


@lru_cache(maxsize=4096)
def width_of(text: str) -> int:
    """Return the width of a text in hundredths of an em, set as wide as a reader may set it.

    >>> width_of("W-01")
    264
    """
    return sum(_letter(sign) + _LETTER for sign in text) + _WORD * text.count(" ")


def _letter(sign: str) -> int:
    return _WIDTH.get(sign) or (108 if east_asian_width(sign) in "WF" else _OTHER)


def _heavy(text: str) -> list[Word]:
    """Return a number or code as one word, with the wider space beside it; nothing for none."""
    return [(text, width_of(text) * (100 + _HEAVY) // 100 + _SPACE)] if text else []


@lru_cache(maxsize=4096)
def _whole_words(text: str) -> tuple[Word, ...]:
    words = " ".join(text.split()).replace(" %", f"{show.NBSP}%").split(" ") if text.strip() else ()
    return tuple((word, width_of(word)) for word in words)


def words_of(text: str, room: int) -> list[Word]:
    """Return the words of a text, those wider than the room cut into pieces that fit; `85 %` is one word."""
    found: list[Word] = []
    for word, width in _whole_words(text):
        if width <= room:
            found.append((word, width))
            continue
        start, width = 0, 0
        for at, sign in enumerate(word):
            wide = width_of(sign)
            if width + wide > room and at > start:
                found.append((word[start:at], width))
                start, width = at, 0
            width += wide
        found.append((word[start:], width))
    return found


def lines_of(words: list[Word], room: int) -> list[list[Word]]:
    """Return the words in lines, each filled as far as the room goes."""
    lines: list[list[Word]] = []
    left = -1
    for word in words:
        if lines and word[1] + _SPACE <= left:
            lines[-1].append(word)
            left -= word[1] + _SPACE
        else:
            lines.append([word])
            left = room - word[1]
    return lines


def _joined(words: list[Word], foot: list[Word], room: int) -> list[Word]:
    """Return the words with what stands after them, tied to the last one where both fit: it is not left alone."""
    if not words or not foot or words[-1][1] + _SPACE + foot[0][1] > room:
        return [*words, *foot]
    return [*words[:-1], (f"{words[-1][0]} {foot[0][0]}", words[-1][1] + _SPACE + foot[0][1])]


def in_one_line(name: str, mark: str) -> int:
    """Return the width of a name and what stands beside it, all in one line."""
    return width_of(name) + sum(width + _SPACE for _, width in _heavy(mark))


def fitted(name: str, room: int, most: int, *, before: str = "", after: str = "") -> list[str]:
    """Return a name in at most so many lines, with what stands before or after it; shortened by `…` where it must be.

    What stands before or after is never cut.
    """
    head, foot = _heavy(before), _heavy(after)
    alone = (*head, *_whole_words(name), *foot)
    if sum(width for _, width in alone) + _SPACE * (len(alone) - 1) <= room:
        return [" ".join(word for word, _ in alone)] if alone else []
    text, cut = name, min(len(name), most * room // 25)
    if cut < len(name):
        text = name[:cut].rstrip() + MORE
    while True:
        lines = lines_of([*head, *_joined(words_of(text, room), foot, room)], room)
        if len(lines) <= most or cut == 0:
            return [" ".join(word for word, _ in line) for line in lines]
        cut -= 1
        text = name[:cut].rstrip() + MORE


def marked(line: str, mark: str, kind: str) -> str:
    """Return a line as SVG text, the mark at its start or end set apart by a class and a wider space."""
    span = f'<tspan class="{kind}">{_escaped(mark)}</tspan>'
    if mark and line == mark:
        return span
    if mark and line.startswith(f"{mark} "):
        return f"{span}{show.NBSP}{_escaped(line.removeprefix(mark))}"
    if mark and line.endswith(f" {mark}"):
        return f"{_escaped(line.removesuffix(mark))}{show.NBSP}{span}"
    return _escaped(line)


@lru_cache(maxsize=4096)
def _escaped(text: str) -> str:
    return str(escape(text))


@lru_cache(maxsize=4096)
def em(tenths: int) -> str:
    """Return tenths of an em as a length.

    >>> em(12), em(140), em(-4)
    ('1.2em', '14em', '-.4em')
    """
    sign, size = ("-" if tenths < 0 else ""), abs(tenths)
    whole, part = divmod(size, 10)
    return f"{sign}{whole or ('' if part else '0')}{f'.{part}' if part else ''}em"


@lru_cache(maxsize=4096)
def of_hundred(tenths: int) -> str:
    """Return tenths of a percent as a length of the column.

    >>> of_hundred(1000), of_hundred(5), of_hundred(0)
    ('100%', '.5%', '0%')
    """
    return em(tenths).removesuffix("em") + "%"
