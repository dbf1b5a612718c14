"""One formula as one file to hand on: fonts and pictures in it, its intermediates behind it, no way that leads nowhere.

Enters: the figures of a book from which what is the keeper's was taken out.  Leaves: the bytes of an HTML file.  The
formula itself follows the batch; the intermediates stand behind it as they are written.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from dataclasses import dataclass, replace
from posixpath import splitext
from typing import TYPE_CHECKING

from markupsafe import Markup

from ..findings import Missing
from ..language import speaking, word
from ..look.finished import dead_end, named_apart
from ..look.policy import not_run
from ..look.templates import ThemeFault
from ..look.themes import Theme
from ..reckon.figures import Reckoning
from ..reckon.weighing import weigh
from ..shown.formula import formula_shown
from ..shown.records import FormulaShown, LineagePicture
from ..shown.shelf import Shelf, shelf_of
from .following import followed
from .packed import page_scripts

if TYPE_CHECKING:
    from ..review import Review

TEMPLATE = "pages/formula.html"
_ANCHOR = "code-"
"""What stands before a code in the name of a place, so that no place of a page itself is called so."""
_KINDS = {".png": "png", ".jpg": "jpeg", ".jpeg": "jpeg", ".gif": "gif", ".webp": "webp"}
"""Ending of a picture → what it is called as data."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alone:
    """What a page needs that stands alone, or behind one that does."""

    behind: tuple[Markup, ...] = ()
    """The pages behind it."""
    anchor: str = ""
    """The place of a page that stands behind another; empty for the first."""
    back: str = ""
    """Words that lead from it back to the first."""


def page_alone(reckoning: Reckoning, review: Review, theme: Theme, key: str, behind: Iterable[str]) -> bytes:
    """Return a formula's page as one file, and behind it those of its intermediates, in that order.

    Raises ThemeFault where a template of the book's own leads out of the file.
    """
    behind = tuple(behind)
    shelf = shelf_of(reckoning, review)
    anchors = {other: f"#{_ANCHOR}{shelf.stems[other]}" for other in behind} | {key: "#text"}
    shelf = replace(shelf, way=lambda name: anchors.get(shelf.book.key_of(name), ""), root="", neighbours={})
    with speaking(shelf.book.workroom.language):
        scripts = page_scripts(theme, alone=True)

        def made(shown: FormulaShown, alone: Alone) -> str:
            return theme.render(TEMPLATE, light=True, page=shown, styles=theme.styles, scripts=scripts, alone=alone)

        first = _shown(shelf, key)
        back = word("Back to {code} {title}", code=first.code, title=first.title)
        pages = []
        for other in behind:
            anchor = anchors[other].removeprefix("#")
            html = made(replace(_shown(shelf, other), following=None), Alone(anchor=anchor, back=back))
            if "<html" in html.lower():
                raise ThemeFault(theme.shown(TEMPLATE), 1, "take over from the theme what it extends, to hand it on")
            inner = named_apart(html, f"{anchor}-")
            pages.append(Markup(inner.replace(f"{anchor}-{anchor}", anchor, 1)))
        html = made(first, Alone(behind=tuple(pages)))
    for name, file in theme.files("fonts", ".woff2").items():
        html = html.replace(f'url("fonts/{name}")', f'url("{_data("font/woff2", file.read_bytes())}")')
    lost, out = not_run(html), dead_end(html)
    if lost or out:
        raise ThemeFault(theme.shown(TEMPLATE), 0, lost or f"`{out}` leads out of the file that is handed on")
    return html.encode()


def _shown(shelf: Shelf, key: str) -> FormulaShown:
    """Return a formula's page without what only the site has: ways to other pages, the drawing of what uses what."""
    weighing = weigh(shelf.reckoning, key)
    shown = formula_shown(shelf.reckoning.figures[key], weighing, shelf, lambda path: _picture(shelf, path))
    frame = replace(shown.frame, found="", chapter_href="")
    page = replace(shown, frame=frame, standing=LineagePicture())
    return page if isinstance(weighing, Missing) else followed(page, weighing, shelf)


def _picture(shelf: Shelf, path: str) -> str:
    content = shelf.book.files.get(path)
    return "" if content is None else _data(f"image/{_KINDS[splitext(path)[1].lower()]}", content)


def _data(kind: str, content: bytes) -> str:
    return f"data:{kind};base64,{b64encode(content).decode()}"
