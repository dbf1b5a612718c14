"""The figures on a formula's sheet as one digest, to tell whether a figure changed or only words did.

Taken from the very record that the sheet is made of, so that no figure can be printed and forgotten here: the digits of
every shown number with its unit, the numbers of the amounts as written with the material they are of, the period, the
durations of the method.  The decimal sign is no matter, nor what a material is called.  An ingredient goes by the
first of its former names, so that another name is no other figure.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from hashlib import sha256

from ..model import Formula, Material
from ..reckon.figures import Figures, Reckoning
from ..reckon.weighing import weigh
from ..review import Review
from ..review.rule import Printed
from ..shown.formula import formula_shown
from ..shown.phrases import Duration, Figure, PeriodFigure, Phrase, Prose, pieces_of
from ..shown.records import FormulaShown
from ..shown.shelf import Shelf, shelf_of
from .digest import in_letters, printed_values

LENGTH = 8
"""Letters kept of the digest: of two states, one in 25,000 million pairs agrees by chance."""

_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")


def first_names(shelf: Shelf) -> dict[str, str]:
    """Return address of what was called otherwise before → the address by the first of its former names."""
    records: Mapping[str, Formula | Material] = {**shelf.book.materials, **shelf.book.formulas}
    return {
        shelf.way(key): f"sheet:{record.formerly[0] if isinstance(record, Formula) else record.formerly[0].casefold()}"
        for key, record in records.items()
        if record.formerly
    }


def figures_code(page: FormulaShown, called: Mapping[str, str]) -> str:
    """Return the digest of a page's figures; empty where its formula is barred, and prints no weights.

    `called` has the address that stands for another, as `first_names` returns them.
    """
    if page.stamp == "barred":
        return ""
    total = sha256("\0".join(_figures(page, called)).replace(",", ".").encode())
    return in_letters(total.digest())[:LENGTH]


def printed_by(reckoning: Reckoning) -> Printed:
    """Return what tells the digests of the figures that a formula's sheet prints, before anybody knows of errors.

    The one on record is by the first of former names, or by the present names: the first may have been given up on
    the way back to it.
    """
    shelf = shelf_of(reckoning, Review(findings=(), barred={}), sheets=True)
    called = first_names(shelf)

    def printed(figures: Figures) -> frozenset[str]:
        batch = weigh(reckoning, figures.key)
        page = formula_shown(figures, batch, shelf, lambda path: "", on_paper=True)
        return frozenset(figures_code(page, names) for names in ((called, {}) if called else ({},)))

    return printed


def _figures(page: FormulaShown, called: Mapping[str, str]) -> Iterator[str]:
    # What holds of every formula of the book is not printed on each of their sheets.
    page = replace(page, why=tuple(fact for fact in page.why if not fact.general))
    for shown in printed_values(page):
        if isinstance(shown, Figure | Phrase | Prose):
            for piece in pieces_of(shown):
                if isinstance(piece, Figure):
                    yield f"{piece.text} {piece.unit} "
                elif isinstance(piece, PeriodFigure):
                    yield f"  {piece.words}"
    for text in (page.intro, *(part.text for part in (*page.method, *page.parts)), page.cautions_text):
        yield from (piece.machine for piece in pieces_of(text) if isinstance(piece, Duration))
    table = page.table
    for row in (*(row for phase in table.phases for row in phase.rows), *table.aids):
        yield called.get(row.link.href, row.link.href) or row.link.words
        yield from _NUMBER.findall(row.written)
