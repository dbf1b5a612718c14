"""A table of materials or amounts is brought into a book: new files only, after what it becomes was shown.

Enters: the folder and the bytes of a CSV file.  Leaves: `BringPlan`, which is written as a whole, or `CannotBring`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from .model import DecimalSign
from .pipeline import must_be_book
from .source import read_book
from .source.bringing import AMOUNT_HEADS, Brought, columns_of, holds_amounts, materials_of
from .source.bringing_formulas import formulas_of
from .source.foreign import MOST_ROWS, CannotBring, Foreign, read_foreign
from .source.old_units import Accepted
from .source.writing import write_new
from .wording.saying import says


@dataclass(frozen=True, slots=True, kw_only=True)
class BringPlan:
    """What a table was found to be, and what it becomes."""

    table: Foreign
    """The table as it was read."""
    brought: Brought
    """The files, and what was not understood."""


MOST_BYTES = 20_000_000
"""Bytes of the largest file that is read."""


def plan(
    root: Path,
    file: Path,
    decimal: str | None = None,
    taken: Sequence[str] = (),
    accepted: Accepted = Accepted(),  # noqa: B008
) -> BringPlan:
    """Return what the table in a file becomes; nothing is written.

    `decimal` is `comma` or `point` where the user said so, `taken` what columns are, as `HEAD=KEY, UNIT`,
    `accepted` which old units are to be turned.  Raises NoBook, CannotBring and OSError.
    """
    must_be_book(root)
    with file.open("rb") as opened:
        content = opened.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        raise CannotBring(says("table-too-long", most=MOST_ROWS))
    table = read_foreign(content, decimal)
    book = read_book(root)
    if book.unread:
        raise CannotBring(says("unread-first", path=book.unread[0]))
    comma = book.workroom.decimal is DecimalSign.COMMA
    if holds_amounts(table, taken):
        columns = columns_of(table, taken, AMOUNT_HEADS)
        return BringPlan(table=table, brought=formulas_of(table, columns, book, comma, accepted))
    return BringPlan(table=table, brought=materials_of(table, book, comma, taken))


def bring(root: Path, planned: BringPlan) -> tuple[str, ...]:
    """Write the files of a plan, all of them or none; return their paths.  Raises AlreadyThere, and CannotAdd."""
    write_new(root, planned.brought.files)
    return tuple(planned.brought.files)
