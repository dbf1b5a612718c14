"""What is printed for one batch: a worksheet, as one PDF of its own.  Decides nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from .checking import Checked
from .publishing import in_sentences

if TYPE_CHECKING:
    from ..leaf import Leaf, Style
    from ..model import Paper
    from ..reckon.weighing import Weighing

WORKSHEET = "worksheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedAlone:
    """What became of it."""

    written: str = ""
    """The PDF; empty where nothing could be printed."""
    problems: tuple[str, ...] = ()
    """What the press had to say, in sentences."""


def print_worksheet(
    checked: Checked, weighing: Weighing, target: Path, *, paper: Paper, today: date, trainee: bool = False
) -> PrintedAlone:
    """Write the worksheet of one batch.  Raises CannotPublish and FaultyTheme."""
    from ..binder.leaves import picture_within
    from ..look import load_theme
    from ..loose.worksheet import worksheet_leaves, worksheet_style
    from ..shown.shelf import shelf_of
    from ..shown.worksheet import worksheet_shown

    room = checked.book.workroom
    shelf = replace(shelf_of(checked.reckoning, checked.review), way=_nowhere)
    with in_sentences(target):
        theme = load_theme(checked.root)
        shown = worksheet_shown(weighing, shelf, picture_within(shelf), today)
        leaves = tuple(worksheet_leaves(theme, room, paper, shown, trainee=trainee))
        title = f"{shown.code} {shown.title}: {WORKSHEET} of {shown.made}"
        return _print(checked, leaves, worksheet_style(theme, room, paper), target, WORKSHEET, title)


def _nowhere(key: str) -> str:
    """No link leads out of a loose leaf."""
    return ""


def _print(checked: Checked, leaves: Sequence[Leaf], style: Style, target: Path, what: str, title: str) -> PrintedAlone:
    """Print leaves and write them as one file."""
    from ..press.alone import write_alone
    from ..press.bind import bind
    from ..press.cache import Cache, cache_folder
    from ..press.render import Press, PressError

    room = checked.book.workroom
    try:
        with Press(style, workers=1, cache=Cache(folder=cache_folder())) as press:
            pieces = press.print(leaves)
        bound = bind(pieces, title=title, lang=room.language, author=room.keeper, duplex=room.duplex)
    except PressError as reason:
        return PrintedAlone(problems=(str(reason),))
    write_alone(target, bound.pdf, what)
    said = (*(problem for piece in pieces for problem in piece.problems), *bound.problems)
    return PrintedAlone(written=str(target), problems=tuple(f"{problem.code}: {problem.sentence}" for problem in said))
