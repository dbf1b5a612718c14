"""The contents of the book: chapters, titles, leaders, codes; then the materials by name."""

from __future__ import annotations

from .. import show
from .findings import findings_words
from .formula import stamp_of
from .shelf import Shelf, at_root
from .shown import ChapterShown, ContentsShown, Listed


def contents_shown(shelf: Shelf, *, sheets: bool = False) -> ContentsShown:
    """Return the contents, with links as the site's first page or the binder's sheets need them."""
    root = shelf if sheets else at_root(shelf)
    book = shelf.book
    return ContentsShown(
        frame=root.frame(),
        keeper=book.workroom.keeper,
        chapters=tuple(
            ChapterShown(
                title=chapter.title,
                anchor=chapter.anchor,
                entries=tuple(_listed_formula(key, root) for key in chapter.keys),
            )
            for chapter in shelf.chapters
        ),
        materials=tuple(
            Listed(link=root.link(key), note=book.materials[key].function, stamp="") for key in shelf.materials
        ),
        counts=f"{show.counted(len(book.formulas), 'formula')}, {show.counted(len(book.materials), 'material')}",
        findings=findings_words(shelf.review.findings) or "no findings",
    )


def _listed_formula(key: str, root: Shelf) -> Listed:
    formula = root.book.formulas[key]
    stamp, _, _ = stamp_of(key, formula, root)
    return Listed(link=root.link(key), note=show.written(formula.purpose, root.signs), stamp=stamp)
