"""One formula to hand on: as one file of HTML, or as sheets in one PDF, its intermediates behind it.

Enters: a checked book and a formula's key.  What leaves is made of a book that holds nothing else: no other formula,
and nothing of the keeper's, which `edition_for_others` takes out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from ..language import speaking
from ..reckon.blends import Blend
from ..reckon.first import with_below
from ..source import part_of
from ..wording.saying import Saying, says
from .checking import Checked, edition_for_others
from .loose import PrintedAlone
from .publishing import in_sentences

HANDED_ON = "formula"
"""What the file calls itself, so that it is known again and may be written over."""


class CannotHandOn(Exception):
    """Nothing was handed on; the text is a sentence for the user."""

    def __init__(self, told: Saying) -> None:
        super().__init__(str(told))
        self.says = told


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """A formula with what it is made of, and nothing else of its book."""

    checked: Checked
    """A book of these formulas and materials alone, without what is the keeper's."""
    key: str
    """The formula."""
    behind: tuple[str, ...]
    """Its intermediates, users before used."""


def handed(checked: Checked, key: str) -> Handed:
    """Return what a formula takes with it when it is handed on.  Raises CannotHandOn, and NotForOthers."""
    barred = checked.review.barred.get(key)
    if barred is not None:
        formula = checked.book.formulas[key]
        raise CannotHandOn(says("hand-on-barred", code=formula.code or key, why=barred.says))
    keys = with_below(checked.reckoning, (key,))
    lines = [line for name in keys for line in checked.reckoning.figures[name].amounts.lines]
    waters = {line.blend.water for line in lines if isinstance(line.blend, Blend)}
    book = part_of(checked.book, {*keys, *waters, *(line.key for line in lines if line.key)})
    return Handed(checked=edition_for_others(replace(checked, book=book)), key=key, behind=tuple(keys[1:]))


def hand_on_page(given: Handed, target: Path) -> None:
    """Write one file of HTML.  Raises CannotPublish and FaultyTheme."""
    from ..look import load_theme
    from ..pages.alone import page_alone
    from ..press.alone import write_alone

    checked = given.checked
    with in_sentences(target):
        page = page_alone(checked.reckoning, checked.review, load_theme(checked.root), given.key, given.behind)
        write_alone(target, page, HANDED_ON)


def hand_on_sheets(given: Handed, target: Path) -> PrintedAlone:
    """Write the sheets of a formula and of its intermediates as one PDF.  Raises CannotPublish and FaultyTheme."""
    from ..binder import bindery_for, sheet_style, sheets_of
    from ..look import load_theme
    from .loose import print_alone

    checked, room = given.checked, given.checked.book.workroom
    with in_sentences(target), speaking(room.language):
        theme = load_theme(checked.root)
        bindery = bindery_for(checked.reckoning, checked.review, theme)
        leaves = [sheet.leaf for sheet in sheets_of(bindery, (given.key, *given.behind))]
        formula = checked.book.formulas[given.key]
        title = f"{formula.code or given.key} {formula.title}"
        elsewhere = frozenset(bindery.shelf.stems.values())
        style = sheet_style(theme, room)
        return print_alone(checked, leaves, style, target, HANDED_ON, title, duplex=room.duplex, elsewhere=elsewhere)
