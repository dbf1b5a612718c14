"""What is wider than the sheet: places to break in words that nobody would break, and tables that are set closer.

Enters: the finished HTML of a leaf; `look/finished.py` tells why it is read.  Leaves: the same HTML; what fits is as it
was.  The layout engine breaks a long word by `overflow-wrap` only where no element begins or ends at it, so that the
places are put in here.
"""

from __future__ import annotations

import re
from itertools import zip_longest

from ..look.finished import columns_of, crowded, rows_of, with_tables, with_text
from ..model import Paper

LONG = 31
"""Letters of a word that is broken when it must be; names of substances are shorter or have hyphens."""

PIECE = 10
"""Letters between two places to break."""

LETTERS = {Paper.A5: 76, Paper.A4: 95, Paper.LETTER: 99}
"""Letters of the small type that stand side by side in the measure of each paper."""

BLANK = {Paper.A5: 11, Paper.A4: 16, Paper.LETTER: 16}
"""Letters that would stand in the ruled space at the end of a line of ingredients."""

_BREAK = "\u200b"
_BETWEEN_BREAKS = re.compile(rf"[-\s\u00ad{_BREAK}]")
_LETTER = rf"(?:&[#\w]+;|[^\s&<>{_BREAK}])"
_LONG_WORD = re.compile(rf"(?:{_LETTER}{_BREAK}?){{{LONG},}}")
_LETTERS = re.compile(_LETTER)
_BEFORE_NAME = 4
"""Letters of small type that stand free before a name: the rule of its phase."""
_BETWEEN = 1.3
"""Letters between two columns of ingredients."""
_NAME = 1.15
"""How much wider a letter of a name is than one of the small type."""
_KEPT = re.compile(r'(?<=\w)(?=<span class="kept">)')
"""Where a long word runs into what is kept in one piece, such as an amount with the word before it."""


def fitting(html: str, paper: Paper) -> str:
    """Return the HTML of a leaf with what would run off the sheet made to fit.

    >>> fitting("<p>short</p><p><i>" + "Q" * 40 + "</i></p>", Paper.A5).count("\\u200b")
    3
    """
    html = with_tables(html.replace("<wbr>", _BREAK), "text", lambda table: _closer(table, LETTERS[paper]))
    html = with_tables(html, "ingredients", lambda table: _crowded(table, LETTERS[paper] - BLANK[paper]))
    return with_text(_KEPT.sub(_BREAK, html), lambda text: _LONG_WORD.sub(_broken, text))


def _broken(found: re.Match[str]) -> str:
    """Return a long word with places to break."""
    letters = _LETTERS.findall(found[0])
    pieces = ("".join(letters[at : at + PIECE]) for at in range(0, len(letters), PIECE))
    return f'<span class="long">{_BREAK.join(pieces)}</span>'


def _closer(table: str, letters: int) -> str:
    """Return a table of a text, marked as crowded when its longest words do not stand side by side."""
    columns = zip_longest(*(map(_longest_word, row) for row in rows_of(table)), fillvalue=0)
    wanted = sum(min(max(column), PIECE if max(column) >= LONG else LONG) + 2 for column in columns)
    return crowded(table, "text") if wanted > letters else table


def _crowded(table: str, letters: int) -> str:
    """Return a table of ingredients, marked as crowded when its widest cells do not stand side by side."""
    wanted: dict[str, float] = {}
    for kind, words in columns_of(table):
        parts = [words] if kind.startswith("num") else _BETWEEN_BREAKS.split(words)  # figures stay in one line
        longest = max((len(_LETTERS.findall(part)) for part in parts), default=0)
        wide = longest * _NAME + _BEFORE_NAME if kind == "name" else longest
        wanted[kind] = max(wanted.get(kind, 0), wide)
    return crowded(table, "ingredients") if sum(wanted.values()) + _BETWEEN * len(wanted) > letters else table


def _longest_word(words: str) -> int:
    """Return the letters of the longest word of a cell."""
    return max((len(_LETTERS.findall(word)) for word in words.split()), default=0)
