"""The contents of the book: its other pages, its chapters with titles, leaders and codes, the materials by name."""

from __future__ import annotations

from ... import show
from ..findings import findings_words
from ..formula import use_of
from ..records import Link
from ..shelf import Shelf, at_root
from .passages import CONTENTS, FINDINGS, MATTER
from .records import ChapterShown, ContentsEntry, ContentsShown, MatterShown


def contents_shown(shelf: Shelf, *, sheets: bool = False) -> ContentsShown:
    """Return the contents, with links as the site's first page or the binder's sheets need them."""
    root = shelf if sheets else at_root(shelf)
    book = shelf.book
    findings = "" if book.for_others else findings_words(shelf.review.findings) or "no findings"
    return ContentsShown(
        frame=root.frame(),
        keeper=book.workroom.keeper,
        matter=tuple(
            MatterShown(
                link=Link(words=page.title, href=page.path),
                says=f"for the keeper: {findings}" if page.path == FINDINGS else page.says,
            )
            for page in MATTER
            if page.path in shelf.pages and page.path != CONTENTS
        ),
        chapters=tuple(
            ChapterShown(
                title=chapter.title,
                anchor=chapter.anchor,
                entries=tuple(_listed_formula(key, root) for key in chapter.keys),
            )
            for chapter in shelf.chapters
        ),
        materials=tuple(
            ContentsEntry(link=root.link(key), note=book.materials[key].function, stamp="") for key in shelf.materials
        ),
        counts=f"{show.counted(len(shelf.codes), 'formula')}, {show.counted(len(book.materials), 'material')}",
        findings=findings,
    )


def _listed_formula(key: str, root: Shelf) -> ContentsEntry:
    formula = root.book.formulas[key]
    note = show.written(formula.purpose, root.signs) or use_of(formula)
    return ContentsEntry(link=root.link(key), note=show.sentence(note), stamp=root.stamp(key))
