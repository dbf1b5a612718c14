"""A table that somebody else laid out: bytes of a CSV file in, rows of cells out, and how it was found to be written.

Nothing is guessed: what has two readings is refused with what to say instead.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from itertools import islice

from ..wording.saying import Saying, says

MOST_ROWS = 2000
"""Rows of the longest table that is taken in one go: each may become a file."""
DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_FIGURE = re.compile(r"([0-9]+)([.,])([0-9]+)(?:\s*[%A-Za-z°/].{0,20})?")
"""A cell that is a figure, with its unit if it has one; `1,3-butanediol` is none."""


class CannotBring(Exception):
    """Nothing was written; the text is a sentence for the user."""

    def __init__(self, told: Saying) -> None:
        super().__init__(str(told))
        self.says = told


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreign:
    """A table as it was found."""

    encoding: str
    """How its signs are written: UTF-8, UTF-16 or Windows-1252."""
    delimiter: str
    """What parts its cells, in words."""
    comma: bool
    """True where its decimal sign is the comma."""
    heads: tuple[str, ...]
    """The first row."""
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    """The others with their number, the heads being row 1; each has as many cells as there are heads."""
    told: tuple[Saying, ...]
    """Rows that are left out because they have more cells or fewer."""


def read_foreign(content: bytes, decimal: str | None = None) -> Foreign:
    """Return the table in a CSV file; `decimal` is `comma` or `point` where the user said so.  Raises CannotBring."""
    text, encoding = _decoded(content)
    try:
        delimiter = _delimiter(text)
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
        records = list(islice(reader, MOST_ROWS + 2))
    except csv.Error as reason:
        raise CannotBring(says("table-cut-off")) from reason
    if len(records) > MOST_ROWS + 1:
        raise CannotBring(says("table-too-long", most=MOST_ROWS))
    numbered = [
        (row, tuple(cell.strip() for cell in cells))
        for row, cells in enumerate(records, 1)
        if any(map(str.strip, cells))
    ]
    if len(numbered) < 2:
        raise CannotBring(says("table-empty"))
    heads = numbered[0][1]
    for head in heads:
        if head and [other.casefold() for other in heads].count(head.casefold()) > 1:
            raise CannotBring(says("table-heads-twice", head=head))
    told = [
        says("row-cells", row=row, cells=len(cells), heads=len(heads))
        for row, cells in numbered[1:]
        if len(cells) != len(heads)
    ]
    rows = tuple((row, cells) for row, cells in numbered[1:] if len(cells) == len(heads))
    comma = _comma([cell for _, cells in rows for cell in cells]) if decimal is None else decimal == "comma"
    return Foreign(
        encoding=encoding, delimiter=DELIMITERS[delimiter], comma=comma, heads=heads, rows=rows, told=tuple(told)
    )


def _decoded(content: bytes) -> tuple[str, str]:
    encodings = [("utf-8-sig", "UTF-8"), ("windows-1252", "Windows-1252")]
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encodings = [("utf-16", "UTF-16")]
    for codec, called in encodings:
        try:
            text = content.decode(codec)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        return text, called
    raise CannotBring(says("table-not-text"))


def _delimiter(text: str) -> str:
    """Return what parts the heads into most cells."""
    found: dict[int, list[str]] = {}
    for delimiter in DELIMITERS:
        first = next(csv.reader(io.StringIO(text.lstrip("\r\n"), newline=""), delimiter=delimiter), [])
        found.setdefault(len(first), []).append(delimiter)
    if not text.strip():
        raise CannotBring(says("table-empty"))
    most = max(found)
    if most < 2:
        raise CannotBring(says("table-one-column"))
    if len(found[most]) > 1:
        raise CannotBring(says("table-parted-twice", signs=tuple(DELIMITERS[sign] for sign in found[most])))
    return found[most][0]


def _comma(cells: list[str]) -> bool:
    """Return whether figures have a decimal comma.

    `1,250` alone may be either; `0,95` and `12,5` tell.  So does a point, which makes the comma part thousands.
    """
    sure: set[str] = set()
    open_cell = ""
    for cell in cells:
        match = _FIGURE.fullmatch(cell)
        if match is not None:
            whole, sign, decimals = match.groups()
            if len(decimals) == 3 and len(whole) <= 3 and whole != "0":
                open_cell = open_cell or (cell if sign == "," else "")
            else:
                sure.add(sign)
    if "," in sure and "." not in sure:
        return True
    if open_cell and "." not in sure:
        raise CannotBring(says("table-decimal", cell=open_cell))
    return False
