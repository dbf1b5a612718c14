"""Lettering of pictures: how wide words are and where they break, reckoned without a browser.

Widths are hundredths of an em.  They are on the wide side, so that a word never reaches further than was reckoned.
"""

from __future__ import annotations

from unicodedata import east_asian_width

from markupsafe import Markup, escape

from ... import show

_WIDTHS = {
    25: "\u202f \u00a0|',.:;ijl",
    35: "I!f()[]{}-tr/\\",
    46: 'sz*?xcvyJ"',
    52: "aegk0123456789#$+<=>^_~\u2013LFSEX",
    58: "bdhnopquPTACRVYZB",
    67: "DGHKNUOQ&",
    86: "mwMW%@",
    100: "\u2026\u2014",
}
_WIDTH = {sign: width for width, signs in _WIDTHS.items() for sign in signs}
"""Advance of a letter of Source Sans 3 at weight 400 to 600, read from the font, in hundredths of an em."""
_OTHER = 62
_SPACE = 25
MORE = "\u2026"

Word = tuple[str, int]
"""Letters that stay together, and their width."""


def width_of(text: str) -> int:
    """Return the width of a text in hundredths of an em.

    >>> width_of("W-01")
    225
    """
    return sum(_WIDTH.get(sign) or (108 if east_asian_width(sign) in "WF" else _OTHER) for sign in text)


def words_of(text: str, room: int) -> list[Word]:
    """Return the words of a text, those wider than the room cut into pieces that fit."""
    found: list[Word] = []
    for word in text.split():
        start = width = 0
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


def fitted(name: str, room: int, most: int, *, before: str = "", after: str = "") -> list[str]:
    """Return a name in at most so many lines, with what stands before or after it; shortened by `…` where it must be.

    What stands before or after is never cut.
    """
    head = [(before, width_of(before) + _SPACE)] if before else []
    foot = [(after, width_of(after) + _SPACE)] if after else []
    text, cut = name, min(len(name), most * room // 25)
    if cut < len(name):
        text = name[:cut].rstrip() + MORE
    while True:
        lines = lines_of([*head, *_joined(words_of(text, room), foot, room)], room)
        if len(lines) <= most or cut == 0:
            return [" ".join(word for word, _ in line) for line in lines]
        cut -= 1
        text = name[:cut].rstrip() + MORE


def marked(line: str, mark: str, kind: str) -> Markup:
    """Return a line as SVG text, the mark at its start or end set apart by a class and a wider space."""
    span = Markup('<tspan class="{}">{}</tspan>').format(kind, mark)
    if mark and line == mark:
        return span
    if mark and line.startswith(f"{mark} "):
        return span + escape(f"{show.NBSP}{line.removeprefix(mark)}")
    if mark and line.endswith(f" {mark}"):
        return escape(f"{line.removesuffix(mark)}{show.NBSP}") + span
    return escape(line)


def em(tenths: int) -> str:
    """Return tenths of an em as a length.

    >>> em(12), em(140), em(-4)
    ('1.2em', '14em', '-.4em')
    """
    sign, size = ("-" if tenths < 0 else ""), abs(tenths)
    whole, part = divmod(size, 10)
    return f"{sign}{whole or ('' if part else '0')}{f'.{part}' if part else ''}em"


def of_hundred(tenths: int) -> str:
    """Return tenths of a percent as a length of the column.

    >>> of_hundred(1000), of_hundred(5), of_hundred(0)
    ('100%', '.5%', '0%')
    """
    return em(tenths).removesuffix("em") + "%"
