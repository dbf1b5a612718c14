"""Where the time goes: seconds of processor time for each stage of the tool, in a process of its own.

    python -m tests.benchmarks.stages BOOK

Beside the stages stands `markdown`, the same parsing and rendering that the floor holds, measured between them so that
a slow moment of the machine falls on both.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import Any

from markdown_it import MarkdownIt

from bookgen.findings import Missing
from bookgen.look.themes import load_theme
from bookgen.pages.following import followed
from bookgen.pages.packed import page_scripts
from bookgen.pipeline import without_collector
from bookgen.reckon.figures import Figures, reckon
from bookgen.reckon.weighing import Weighing, weigh
from bookgen.review import review
from bookgen.shown.formula import formula_shown
from bookgen.shown.material import material_shown
from bookgen.shown.records import FormulaShown
from bookgen.shown.shelf import Shelf, shelf_of
from bookgen.source import read_book


def page_of(figures: Figures, weighing: Weighing | Missing, shelf: Shelf) -> FormulaShown:
    """Return a formula's page with what its script needs."""
    return followed(formula_shown(figures, weighing, shelf, str), weighing, shelf)


def stages(book: Path) -> dict[str, float]:
    """Return the seconds of each stage."""
    spent: dict[str, float] = {}

    def timed(stage: str, work: Callable[[], Any]) -> Any:
        start = process_time()
        done = work()
        spent[stage] = spent.get(stage, 0.0) + process_time() - start
        return done

    bodies = [path.read_text().split("---\n", 2)[2] for path in sorted((book / "formulas").rglob("*.md"))]
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table")

    def half(which: int) -> None:
        for body in bodies[which::2]:
            markdown.render(body)

    with without_collector():
        read = timed("read", lambda: read_book(book))
        timed("markdown", lambda: half(0))
        reckoning = timed("reckon", lambda: reckon(read))
        found = timed("review", lambda: review(reckoning))
        weighings = timed("weigh", lambda: {key: weigh(reckoning, key) for key in reckoning.figures})
        timed("markdown", lambda: half(1))
        theme = load_theme(book)
        shelf = shelf_of(reckoning, found)
        figures = reckoning.figures.values()
        pages = timed("shown records", lambda: [page_of(one, weighings[one.key], shelf) for one in figures])
        others = timed("shown records", lambda: [material_shown(key, shelf, str) for key in read.materials])
        scripts = page_scripts(theme)
        formula, material = (theme.template(f"pages/{name}.html", light=True) for name in ("formula", "material"))
        around = {"styles": theme.styles, "scripts": scripts}
        timed("templates", lambda: [formula.render(page=page, **around).encode() for page in pages])
        timed("templates", lambda: [material.render(page=page, **around).encode() for page in others])
    return spent


if __name__ == "__main__":
    print(json.dumps(stages(Path(sys.argv[1]))))
