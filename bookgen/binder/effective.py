"""The list of effective sheets: which leaf, in which issue, on how many sheets, with which check code is in force.

It stands in front of the binder and is made last, because it needs all others printed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from hashlib import sha256
from itertools import groupby

from .. import show
from ..language import noted, word
from ..look.closeness import COLUMNS, SMALL
from ..model import FiledLeaf, Status
from .digest import check_code, in_letters
from .front import BEFORE_LIST, EFFECTIVE
from .leaves import Bindery
from .records import EffectiveGroup, EffectiveRow, EffectiveShown, Gone, LeafKind, Sheet

TITLE = noted("List of effective sheets")
FRONT_MATTER = noted("Front matter")


def row_of(sheet: Sheet, sides: int, style: str, *, duplex: bool) -> EffectiveRow:
    """Return a printed leaf's row; `style` is the digest of what all leaves share in looks."""
    return EffectiveRow(
        code=sheet.leaf.code,
        title=sheet.title,
        chapter=sheet.leaf.chapter,
        kind=sheet.kind,
        issue=sheet.issue,
        issued=sheet.issued,
        sheets=(sides + 1) // 2 if duplex else sides,
        check=check_code(sheet.content),
        content=sheet.content,
        look=look_of(sheet, style),
        figures=sheet.figures,
    )


def look_of(sheet: Sheet, style: str) -> str:
    """Return the digest of how a leaf is printed; `style` is the digest of what all leaves share in looks."""
    return in_letters(sha256(f"{style}\n{sheet.template}".encode()).digest())


def effective_sheets(bindery: Bindery, rows: Sequence[EffectiveRow]) -> tuple[Sheet, ...]:
    """Return the list of these rows, which are in the order of the binder, as leaves of one sheet each.

    A sheet of the list prints nothing of the others, so that a change of one leaf costs the sheet with its row.  The
    rows of its own sheets cannot state what these are checked by; their feet do.
    """
    at, sheets, own = len(BEFORE_LIST), tuple[tuple[EffectiveGroup, ...], ...](), 0
    while own < max(1, len(sheets)):
        own = max(1, len(sheets))
        listed = (*rows[:at], *(_own_row(bindery, number) for number in range(own)), *rows[at:])
        sheets = tuple(_sheets(bindery, listed))
    return tuple(_sheet(bindery, groups, number, last=number == own - 1) for number, groups in enumerate(sheets))


def is_list(leaf: FiledLeaf) -> bool:
    """Return whether a leaf on record is a sheet of the list."""
    own = {TITLE, word(TITLE)}  # what is on record may be in English, where the book's language was another
    return not leaf.chapter and any(leaf.title == title or leaf.title.startswith(f"{title}, ") for title in own)


def _title(number: int) -> str:
    return f"{word(TITLE)}, {number + 1}" if number else word(TITLE)


def _code(bindery: Bindery, number: int) -> str:
    return bindery.free_code(f"{EFFECTIVE}-{number + 1}") if number else bindery.codes[EFFECTIVE]


def _sheet(bindery: Bindery, groups: tuple[EffectiveGroup, ...], number: int, *, last: bool) -> Sheet:
    """Return one sheet of the list; the last one names the formulas that are withdrawn."""
    shelf = bindery.shelf
    formulas = shelf.book.formulas
    gone = shelf.by_code(key for key, formula in formulas.items() if last and formula.status is Status.WITHDRAWN)
    rows = [row for group in groups for row in group.rows]
    sheets = sum(row.sheets for row in rows)
    shown = EffectiveShown(
        frame=shelf.frame(),
        title=_title(number),
        groups=groups,
        withdrawn=tuple(Gone(code=formulas[key].code or key, title=formulas[key].title) for key in gone),
        counts=word(
            "{leaves}, {sheets} without this list" if last and not number else "{leaves} on this sheet of the list",
            leaves=show.counted(len(rows), "leaf", "leaves"),
            sheets=show.counted(sheets, "sheet"),
        ),
    )
    return bindery.front(shown, "effective", EFFECTIVE, _title(number), code=_code(bindery, number))


HEAD, LINE, GROUP, ROW = 20.0, 3.85, 8.4, 0.6
"""Heights of the heading of a sheet of the list, of a line, of a chapter's head, and of what is around a row, mm."""
FULL = 0.93
"""Part of a sheet that is filled by these heights."""
KEPT = 0.5
"""A chapter that does not fit begins a sheet where so much of the one before is filled."""


def _sheets(bindery: Bindery, rows: Sequence[EffectiveRow]) -> Iterator[tuple[EffectiveGroup, ...]]:
    """Yield what stands on each sheet: chapters together, and one that is too long over several.

    A chapter begins a sheet where it can, so that a row more moves the rows of its own chapter and, mostly, no others.
    """
    room = bindery.shelf.book.workroom
    column = COLUMNS[room.paper]
    full = column.height * (2 if room.duplex else 1) * FULL
    sheet: list[EffectiveGroup] = []
    used = HEAD
    for chapter, found in groupby(rows, key=lambda row: row.chapter):
        group = tuple(found)
        heights = [ROW + LINE * max(1, column.lines(row.title, SMALL, less=0.62 * column.width)) for row in group]
        if sheet and used + GROUP + sum(heights) > full and used > full * KEPT:
            yield tuple(sheet)
            sheet, used = [], HEAD
        held: list[EffectiveRow] = []
        used += GROUP
        for row, height in zip(group, heights, strict=True):
            if held and used + height > full:
                sheet.append(EffectiveGroup(title=chapter or word(FRONT_MATTER), rows=tuple(held)))
                yield tuple(sheet)
                sheet, held, used = [], [], HEAD + GROUP
            held.append(row)
            used += height
        sheet.append(EffectiveGroup(title=chapter or word(FRONT_MATTER), rows=tuple(held)))
    yield tuple(sheet)


def _own_row(bindery: Bindery, number: int) -> EffectiveRow:
    """Return the row of a sheet of the list itself, which has no check code."""
    return EffectiveRow(
        code=_code(bindery, number),
        title=_title(number),
        chapter="",
        kind=LeafKind.FRONT,
        issue="",
        issued="",
        sheets=0,
        check="",
        content="",
        look="",
        figures="",
    )
