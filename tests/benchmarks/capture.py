"""Shown records for the floor, captured from the tool's own pages of a book."""

from __future__ import annotations

import pickle
import sys
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

from markupsafe import Markup

from bookgen.look.markup import printed
from bookgen.look.themes import load_theme
from bookgen.pages import site
from bookgen.pages.following import followed
from bookgen.pages.packed import page_scripts
from bookgen.pipeline import check_book
from bookgen.reckon.weighing import weigh
from bookgen.shown.formula import formula_shown
from bookgen.shown.material import material_shown
from bookgen.shown.phrases import Data, Figure, Phrase, Prose
from bookgen.shown.records import BarPicture, LineagePicture
from bookgen.shown.search.page import TERMS, search_terms
from bookgen.shown.shelf import shelf_of

EACH = 100
"""One formula in so many is captured; with the book's pattern of four, every kind of formula is among them."""


class Ready(Markup):
    """Pieces that are printed already: what they cost is the tool's, and in no floor."""

    figures: tuple[Figure, ...] = ()
    """What a template asks of a text."""


def ready(shown: Any) -> Any:
    """Return a shown record with its pieces printed."""
    match shown:
        case tuple():
            return tuple(map(ready, shown))
        case Figure():
            return shown
        case Phrase() | Prose() | Data() | BarPicture() | LineagePicture():
            return Ready(printed(shown)) if shown else shown
        case _ if is_dataclass(shown):
            return replace(shown, **{one.name: ready(getattr(shown, one.name)) for one in fields(shown)})  # type: ignore[type-var]
        case _:
            return shown


def capture(book: Path, samples: Path) -> None:
    """Write the records that the templates of a book's site receive, and what stands in it without a template."""
    checked = check_book(book)
    theme = load_theme(book)
    shelf = shelf_of(checked.reckoning, checked.review)
    keys = list(checked.book.formulas)
    sampled = [key for number, key in enumerate(keys) if (number // 4) % (EACH // 4) == 0]

    def picture(path: str) -> str:
        return ""

    root = tuple(site.ROOT_PAGES)
    kinds: list[tuple[str, list[str], list[Any]]] = [
        *(
            (
                f"pages/{name}.html",
                [path],
                [ready(site._SHOWN[name](replace(shelf, pages=root, here=path)))],
            )
            for path, name in site.ROOT_PAGES.items()
        ),
        (
            "pages/formula.html",
            [f"formulas/{shelf.stems[key]}.html" for key in keys],
            [
                ready(followed(formula_shown(checked.reckoning.figures[key], batch, shelf, picture), batch, shelf))
                for key in sampled
                for batch in (weigh(checked.reckoning, key),)
            ],
        ),
        (
            "pages/material.html",
            [f"materials/{shelf.stems[key]}.html" for key in checked.book.materials],
            [ready(material_shown(key, shelf, picture)) for key in checked.book.materials],
        ),
    ]
    fixed = {f"fonts/{name}": path.read_bytes() for name, path in theme.files("fonts", ".woff2", ".txt").items()}
    fixed[TERMS] = search_terms(shelf)
    scripts = page_scripts(theme)
    captured = {"kinds": kinds, "fixed": fixed, "styles": theme.styles, "scripts": scripts}
    samples.write_bytes(pickle.dumps(captured))


if __name__ == "__main__":
    capture(Path(sys.argv[1]), Path(sys.argv[2]))
