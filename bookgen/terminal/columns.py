"""Lines of text for the terminal: how wide they are, where they break, how columns stand side by side."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from textwrap import wrap

from ..findings import Finding

NARROWEST, WIDEST = 60, 110
"""Columns between which text is set, however wide the terminal is."""


def wrapped(text: str, indent: int, width: int) -> list[str]:
    """Return a text in lines as wide as the terminal, the later ones indented.

    Nothing is broken within a word, so that a code, a file's name or a strength can be copied whole.
    """
    columns = max(NARROWEST, min(width, WIDEST))
    return wrap(text, columns, subsequent_indent=" " * indent, break_long_words=False, break_on_hyphens=False)


def doubted(doubts: Sequence[Finding], width: int) -> list[str]:
    """Return findings that an answer is in doubt for, each a text of its own below a heading."""
    return [line for doubt in doubts for line in wrapped("  " + doubt.message, 6, width)]


def side_by_side(rows: Sequence[Sequence[str] | str], left: Collection[int]) -> list[str]:
    """Return rows in columns, those in `left` from the left, the others from the right; empty columns are left out.

    A row that is a text alone stands as it is.
    """
    cells = [row for row in rows if not isinstance(row, str)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(cells[0]))] if cells else []
    lines = []
    for row in rows:
        if isinstance(row, str):
            lines.append(row)
            continue
        set_ = [
            cell.ljust(size) if column in left else cell.rjust(size)
            for column, (cell, size) in enumerate(zip(row, widths, strict=True))
            if size
        ]
        lines.append(("  " + "  ".join(set_)).rstrip())
    return lines
