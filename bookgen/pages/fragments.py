"""Fragments: what the theme's templates print below a row and in a cell, with holes for what follows the batch.

Enters: a theme.  Leaves: HTML by name, once for tables without a column for volumes and once for those with one, in
which `<slot name="…">` is a hole; of a list two items stand there.  The script of a formula's page fills the holes, so
that a book's own templates print another batch as they print the one that is written.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from markupsafe import Markup

from ..look.templates import ThemeFault, told
from ..look.themes import Theme

PARTS = "pages/parts.html"
"""The template whose macros are asked."""


def hole(name: str) -> Markup:
    """Return the mark of a hole.

    >>> str(hole("pad"))
    '<slot name="pad"></slot>'
    """
    return Markup('<slot name="{}"></slot>').format(name)


def fragments(theme: Theme) -> dict[str, list[str]]:
    """Return every fragment by its name.

    Raises ThemeFault where a book's own template lacks a macro that the script needs.
    """
    with told(theme.shown, own=theme.book is not None):
        macros = theme.template(PARTS, light=True).module
    cell, measured, plan, note = (_macro(theme, macros, name) for name in ("cell", "measured", "plan", "note"))
    stock = {name: hole(name) for name in ("summary", "error", "left", "direct")} | {
        "steps": [hole("steps"), hole("steps")]
    }
    figure = {"figure": hole("figure"), "pad": "", "word": ""}
    found: dict[str, list[str]] = {}
    with told(theme.shown, own=theme.book is not None):
        for has_ml in (False, True):
            table = {"has_ml": has_ml, "weighed": True}
            made = {
                "number": cell(figure),
                "padded": cell(figure | {"pad": hole("pad")}),
                "word": cell({"figure": None, "pad": "", "word": hole("word")}),
                "how": measured([{"words": hole("words"), "much": False, "stands_for": ""}]),
                "much": measured([{"words": hole("words"), "much": True, "stands_for": ""}]),
                "plan": note(plan(stock, fold=True), table, follows=True),
                "note": note(hole("words"), table, follows=True),
            }
            for name, html in made.items():
                found.setdefault(name, []).append(str(html).strip())
    return found


def _macro(theme: Theme, macros: object, name: str) -> Callable[..., Any]:
    """Return a macro of the parts; a fault names the one that a book's own file lacks."""
    found: Callable[..., Any] | None = getattr(macros, name, None)
    if found is None:
        words = (
            f"there is no macro `{name}` here, with which the page prints another batch; take it over from the theme"
        )
        raise ThemeFault(theme.shown(PARTS), 0, words)
    return found
