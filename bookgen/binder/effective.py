"""The list of effective sheets: which leaf, in which issue, on how many sheets, with which check code is in force.

It stands in front of the binder and is made last, because it needs all others printed.
"""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from itertools import groupby

from .. import show
from ..model import Status
from .digest import check_code, in_letters
from .front import BEFORE_LIST, EFFECTIVE
from .leaves import Bindery
from .records import EffectiveGroup, EffectiveRow, EffectiveShown, Gone, LeafKind, Sheet

TITLE = "List of effective sheets"
FRONT_MATTER = "Front matter"


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


def effective_sheet(bindery: Bindery, rows: Sequence[EffectiveRow]) -> Sheet:
    """Return the list of these rows, which are in the order of the binder, as a leaf.

    Its own row cannot state how many sheets it takes or what it is checked by; its foot does.
    """
    shelf = bindery.shelf
    formulas = shelf.book.formulas
    gone = shelf.by_code(key for key, formula in formulas.items() if formula.status is Status.WITHDRAWN)
    at, sheets = len(BEFORE_LIST), sum(row.sheets for row in rows)
    rows = (*rows[:at], _own_row(bindery), *rows[at:])
    shown = EffectiveShown(
        frame=shelf.frame(),
        groups=tuple(
            EffectiveGroup(title=chapter or FRONT_MATTER, rows=tuple(found))
            for chapter, found in groupby(rows, key=lambda row: row.chapter)
        ),
        withdrawn=tuple(Gone(code=formulas[key].code or key, title=formulas[key].title) for key in gone),
        counts=f"{show.counted(len(rows), 'leaf', 'leaves')}, {show.counted(sheets, 'sheet')} without this list",
    )
    return bindery.front(shown, "effective", EFFECTIVE, TITLE)


def _own_row(bindery: Bindery) -> EffectiveRow:
    """Return the row of the list itself, which has no check code."""
    return EffectiveRow(
        code=bindery.codes[EFFECTIVE],
        title=TITLE,
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
