"""Shown records for the floor, captured from the tool's own pages of a book."""

from __future__ import annotations

import pickle
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from bookgen.look.themes import load_theme
from bookgen.pages import site
from bookgen.pages.following import followed
from bookgen.pages.packed import page_scripts
from bookgen.pipeline import check_book
from bookgen.reckon.weighing import weigh
from bookgen.shown.formula import formula_shown
from bookgen.shown.material import material_shown
from bookgen.shown.search.page import TERMS, search_terms
from bookgen.shown.shelf import shelf_of

from ..shared import DAY
from .ready import ready

EACH = 100
"""One formula in so many is captured; with the book's pattern of four, every kind of formula is among them."""


def capture(book: Path, samples: Path) -> None:
    """Write the records that the templates of a book's site receive, and what stands in it without a template."""
    checked = check_book(book)
    theme = load_theme(book)
    shelf = replace(shelf_of(checked.reckoning, checked.review), day=DAY)
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
