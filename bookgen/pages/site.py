"""The site: every page of a book as bytes, by its path in the output folder.

Addresses are relative and nothing is requested from anywhere else, so the pages open from disk.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import partial
from typing import TYPE_CHECKING
from urllib.parse import quote

from ..language import speaking
from ..look.policy import not_run
from ..look.styled import styled
from ..look.templates import ThemeFault
from ..look.themes import Theme
from ..reckon.figures import Reckoning
from ..reckon.weighing import weigh
from ..shown.accounts.anchors import PAGE
from ..shown.accounts.page import found_shown
from ..shown.batch import batch_shown, batches_shown
from ..shown.beside import beside_shown, trials_of
from ..shown.findings import findings_shown
from ..shown.formula import formula_shown
from ..shown.kept import earlier_shown, kept_shown
from ..shown.material import material_shown
from ..shown.matter.chapters import contents_shown
from ..shown.matter.indexes import codes_shown, functions_shown, purposes_shown, storage_shown
from ..shown.matter.materials import materials_shown
from ..shown.matter.passages import (
    BATCHES,
    CODES,
    CONTENTS,
    FINDINGS,
    FUNCTIONS,
    MATERIALS,
    ON_SHELF,
    PURPOSES,
    STORAGE,
    USES,
)
from ..shown.matter.uses import uses_shown
from ..shown.on_shelf import on_shelf_shown
from ..shown.search import page as search
from ..shown.search import possible
from ..shown.shelf import Pair, Shelf, Way, shelf_of
from .following import followed
from .packed import made_by_scripts, page_scripts

if TYPE_CHECKING:
    from ..review import Review

PICTURES = "pictures/"
FONTS = "fonts/"
ROOT_PAGES = {
    CONTENTS: "contents",
    CODES: "index-codes",
    MATERIALS: "index-materials",
    PURPOSES: "index-purposes",
    FUNCTIONS: "index-functions",
    STORAGE: "index-storage",
    USES: "uses",
    BATCHES: "batches",
    ON_SHELF: "shelf",
    search.PAGE: "search",
    possible.PAGE: "possible",
    PAGE: "found",
    FINDINGS: "findings",
}
"""Pages in the site's folder itself → the template that each is made with."""

KEEPERS = frozenset({BATCHES, ON_SHELF, FINDINGS})
"""Those that the edition for others does not have."""

_SHOWN: Mapping[str, Callable[[Shelf], object]] = {
    "contents": contents_shown,
    "index-codes": codes_shown,
    "index-materials": materials_shown,
    "index-purposes": purposes_shown,
    "index-functions": functions_shown,
    "index-storage": storage_shown,
    "uses": uses_shown,
    "batches": batches_shown,
    "shelf": on_shelf_shown,
    "search": search.search_shown,
    "possible": possible.possible_shown,
    "findings": findings_shown,
    "found": found_shown,
}
"""Template → what it is made of."""


class Files(Mapping[str, bytes]):
    """Files by path, each made when it is asked for, in the language of the book, so that a large book needs little
    memory."""

    def __init__(self, makers: Mapping[str, Callable[[], bytes]], language: str) -> None:
        self._makers = makers
        self._language = language

    def __getitem__(self, path: str) -> bytes:
        with speaking(self._language):
            return self._makers[path]()

    def __contains__(self, path: object) -> bool:
        return path in self._makers  # a mapping's own answer would make the file

    def __iter__(self) -> Iterator[str]:
        return iter(self._makers)

    def __len__(self) -> int:
        return len(self._makers)


def site_files(
    reckoning: Reckoning, review: Review, theme: Theme, *, named: bool = False, day: date | None = None
) -> Files:
    """Return all files of the site by path.  Templates that cannot be read are told at once, not page by page.

    The page of the shelf tells what is there on `day`; without one there is no such page.  Nothing else depends on it.
    `named`, every figure of a page carries its name and its exact value, so that it can be recomputed.
    """
    left_out = KEEPERS if reckoning.book.for_others else frozenset() if day is not None else frozenset({ON_SHELF})
    pages = {path: name for path, name in ROOT_PAGES.items() if path not in left_out}
    shelf = replace(shelf_of(reckoning, review), pages=tuple(pages), day=day)
    picture = _picture(shelf)
    with speaking(shelf.book.workroom.language):
        for name in ("formula", "material", "batch", "beside", *ROOT_PAGES.values()):
            theme.template(f"pages/{name}.html", light=not named)
        scripts = page_scripts(theme)
        made = made_by_scripts(theme)

    def page(name: str, shown: object) -> bytes:
        template = f"pages/{name}.html"
        html = theme.render_bytes(template, light=not named, page=shown, styles=theme.styles, scripts=scripts)
        if theme.is_shipped:
            html = styled(html, made)
        elif lost := not_run(html.decode()):
            raise ThemeFault(theme.shown(template), 0, lost)
        return html

    def root_page(path: str, name: str) -> bytes:
        return page(name, _SHOWN[name](replace(shelf, here=path)))

    def formula_page(key: str) -> bytes:
        weighing = weigh(reckoning, key)
        shown = formula_shown(reckoning.figures[key], weighing, shelf, picture)
        shown = replace(shown, kept=kept_shown(key, shelf), trials=trials_of(key, shelf))
        return page("formula", followed(shown, weighing, shelf))

    def issue_page(key: str, issue: int) -> bytes:
        return page("formula", earlier_shown(key, issue, shelf, picture))

    def beside_page(pair: Pair) -> bytes:
        return page("beside", beside_shown(pair, shelf))

    def material_page(key: str) -> bytes:
        return page("material", material_shown(key, shelf, picture))

    def batch_page(number: str) -> bytes:
        return page("batch", batch_shown(number, shelf, picture))

    makers: dict[str, Callable[[], bytes]] = {}
    for path, name in pages.items():
        makers[path] = partial(root_page, path, name)
    makers[search.TERMS] = partial(search.search_terms, shelf)
    for key in reckoning.figures:
        makers[f"formulas/{shelf.stems[key]}.html"] = partial(formula_page, key)
    for (key, issue), stem in shelf.issue_stems.items():
        makers[f"formulas/{stem}.html"] = partial(issue_page, key, issue)
    for pair, stem in shelf.beside_stems.items():
        makers[f"formulas/{stem}.html"] = partial(beside_page, pair)
    for key in shelf.book.materials:
        makers[f"materials/{shelf.stems[key]}.html"] = partial(material_page, key)
    for number, stem in shelf.batch_stems.items():
        makers[f"batches/{stem}.html"] = partial(batch_page, number)
    for path in shelf.book.files:
        makers[PICTURES + path.removeprefix("formulas/")] = partial(shelf.book.files.__getitem__, path)
    for name, file in theme.files("fonts", ".woff2", ".txt").items():
        makers[FONTS + name] = file.read_bytes
    return Files(makers, shelf.book.workroom.language)


def _picture(shelf: Shelf) -> Way:
    """Return the way from a page to a picture of the book; empty for one that the book does not hold."""

    def way(path: str) -> str:
        return f"{shelf.root}{PICTURES}{quote(path.removeprefix('formulas/'))}" if path in shelf.book.files else ""

    return way
