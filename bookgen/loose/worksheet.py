"""A worksheet as leaves: the sheet to write on, and for a trainee the answers on paper of their own.

Of several formulas one sheet, side by side.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from markupsafe import Markup

from ..binder.fitting import fitting
from ..binder.records import Running
from ..binder.style import SIDES, headline, numbering, sheet_style
from ..language import noted, word
from ..leaf import Leaf, Style
from ..look.themes import Theme
from ..model import Paper
from ..shown.abreast import AbreastShown
from ..shown.worksheet import WorksheetShown, for_trainee

if TYPE_CHECKING:
    from ..model import Workroom


def worksheet_style(theme: Theme, room: Workroom, paper: Paper, *also: str) -> Style:
    """Return the style of a worksheet: that of the binder's sheets on that paper, with the room for writing.

    `also` names further style sheets.
    """
    narrow = ("worksheet-narrow",) if paper is Paper.A5 else ()
    sides = "worksheet-back" if room.duplex else "worksheet-single"
    return sheet_style(theme, replace(room, paper=paper, punch_marks=False), "worksheet", *narrow, sides, *also)


def worksheet_leaves(
    theme: Theme, room: Workroom, paper: Paper, sheet: WorksheetShown, *, trainee: bool = False, close: bool = False
) -> Iterator[Leaf]:
    """Yield the worksheet, set `close` or not; with `trainee` without amounts, and then the answers."""
    shown = for_trainee(sheet) if trainee else sheet
    yield _leaf(theme, room, paper, shown, "worksheet", noted("worksheet"), close=close)
    if trainee:
        yield _leaf(theme, room, paper, sheet, "worksheet-answers", noted("answers"))


def _leaf(
    theme: Theme,
    room: Workroom,
    paper: Paper,
    sheet: WorksheetShown,
    template: str,
    what: str,
    *,
    close: bool = False,
) -> Leaf:
    words = (sheet.code, word("issue {issue}", issue=sheet.issue), word(sheet.stamp) if sheet.stamp else "", word(what))
    running = Running(
        left=headline(room.title),
        right=headline(sheet.title),
        foot=" · ".join(part for part in words if part),
        mark=sheet.made,
    )
    html = theme.render(
        f"sheets/{template}.html",
        page=sheet,
        running=running,
        numbering=Markup(numbering(SIDES)) if room.duplex else "",
        close=close,
    )
    return Leaf(
        code=f"{sheet.code}-{what}",
        title=f"{sheet.code} {sheet.title}: {what}",
        chapter="",
        html=fitting(html, paper),
    )


ABREAST = "abreast"
"""The template and the style of a sheet with several formulas."""


def abreast_leaf(theme: Theme, room: Workroom, paper: Paper, sheet: AbreastShown) -> Leaf:
    """Return the worksheet of several formulas, side by side."""
    codes = ", ".join(column.code for column in sheet.columns)
    what = word("worksheet")
    running = Running(left=headline(room.title), right=headline(codes), foot=f"{codes} · {what}", mark=sheet.made)
    html = theme.render(
        f"sheets/{ABREAST}.html",
        page=sheet,
        running=running,
        numbering=Markup(numbering(SIDES)) if room.duplex else "",
    )
    return Leaf(code=f"{codes}-worksheet", title=f"{codes}: {what}", chapter="", html=fitting(html, paper))
