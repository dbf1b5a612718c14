"""The site: every page of a book as bytes, by its path in the output folder.

Addresses are relative and nothing is requested from anywhere else, so the pages open from disk.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import TYPE_CHECKING
from urllib.parse import quote

from ..findings import Missing
from ..reckon.figures import Reckoning
from ..reckon.weighing import Weighing, weigh
from .contents import contents_shown
from .findings import findings_shown
from .formula import formula_shown
from .material import material_shown
from .shelf import Shelf, Way, shelf_of
from .themes import Theme

if TYPE_CHECKING:
    from ..review import Review

Weighings = Mapping[str, Weighing | Missing]
"""The batch as written of every formula, by its key."""

PICTURES = "pictures/"
FONTS = "fonts/"


def as_written(reckoning: Reckoning, today: date | None = None) -> Weighings:
    """Return every formula weighed for the batch that is written."""
    return {key: weigh(reckoning, key, obtain=None, today=today) for key in reckoning.figures}


def site_pages(
    reckoning: Reckoning, review: Review, theme: Theme, weighings: Weighings | None = None
) -> Iterator[tuple[str, bytes]]:
    """Yield path and content of every file of the site, one at a time so that a large book needs little memory."""
    shelf = shelf_of(reckoning, review)
    styles = theme.styles
    contents, findings = theme.template("pages/contents.html"), theme.template("pages/findings.html")
    yield "index.html", contents.render(page=contents_shown(shelf), styles=styles).encode()
    yield "findings.html", findings.render(page=findings_shown(shelf), styles=styles).encode()
    formula, material = theme.template("pages/formula.html"), theme.template("pages/material.html")
    picture = _picture(shelf)
    for key, figures in reckoning.figures.items():
        weighing = weigh(reckoning, key, obtain=None, today=None) if weighings is None else weighings[key]
        shown = formula_shown(figures, weighing, shelf, picture)
        yield f"formulas/{shelf.stems[key]}.html", formula.render(page=shown, styles=styles).encode()
    for key in shelf.book.materials:
        page = material_shown(key, shelf, picture)
        yield f"materials/{shelf.stems[key]}.html", material.render(page=page, styles=styles).encode()
    for path, content in shelf.book.files.items():
        yield PICTURES + path.removeprefix("formulas/"), content
    for name, file in theme.files("fonts", ".woff2", ".txt").items():
        yield FONTS + name, file.read_bytes()


def site_files(
    reckoning: Reckoning, review: Review, theme: Theme, weighings: Weighings | None = None
) -> dict[str, bytes]:
    """Return all files of the site by path."""
    return dict(site_pages(reckoning, review, theme, weighings))


def _picture(shelf: Shelf) -> Way:
    """Return the way from a page to a picture of the book; empty for one that the book does not hold."""

    def way(path: str) -> str:
        return f"{shelf.root}{PICTURES}{quote(path.removeprefix('formulas/'))}" if path in shelf.book.files else ""

    return way
