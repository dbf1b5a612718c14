"""The contents of the book: its other pages, its chapters with titles, leaders and codes, the materials by name."""

from __future__ import annotations

from collections.abc import Iterable

from ... import show
from ...language import noted, turned_items, word
from ..findings import findings_words
from ..formula import use_of
from ..records import Link
from ..shelf import Shelf, at_root
from .passages import CONTENTS, FINDINGS, MATTER
from .records import ChapterShown, ContentsEntry, ContentsShown, MatterShown

_STAMPS = {
    noted("draft"): noted("not yet made"),
    noted("trial"): noted("made, not yet approved"),
    noted("withdrawn"): noted("no longer made"),
    noted("barred"): noted("it has an error, and no weights are printed"),
}
"""Stamp → what it means."""


def contents_shown(shelf: Shelf, *, sheets: bool = False) -> ContentsShown:
    """Return the contents, with links as the site's first page or the binder's sheets need them."""
    root = shelf if sheets else at_root(shelf)
    book = shelf.book
    findings = "" if book.for_others else findings_words(shelf.review.findings) or word("no findings")
    return ContentsShown(
        frame=root.frame(),
        keeper=book.workroom.keeper,
        matter=tuple(
            MatterShown(
                link=Link(words=word(page.title), href=page.path),
                says=word("for the keeper: {findings}", findings=findings)
                if page.path == FINDINGS
                else word(page.says),
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
            ContentsEntry(link=root.link(key), note=turned_items(book.materials[key].function), stamp="")
            for key in shelf.materials
        ),
        counts=f"{show.counted(len(shelf.codes), 'formula')}, {show.counted(len(book.materials), 'material')}",
        findings=findings,
        stamps="" if sheets else _stamps_told(map(root.stamp, shelf.codes)),
    )


def _stamps_told(stamps: Iterable[str]) -> str:
    """Return what the stamps mean, each once, in the order of a formula's life; empty where there is none."""
    met = frozenset(stamps)
    return show.sentence("; ".join(f"{word(stamp)}: {word(means)}" for stamp, means in _STAMPS.items() if stamp in met))


def _listed_formula(key: str, root: Shelf) -> ContentsEntry:
    formula = root.book.formulas[key]
    note = show.written(formula.purpose, root.signs) or use_of(formula)
    return ContentsEntry(link=root.link(key), note=show.sentence(note), stamp=root.stamp(key))
