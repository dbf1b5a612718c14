"""The bookmarks of a binder: one for each leaf, under its chapter's, and what it holds below (ISO 32000-1, 12.3.3)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from .objects import NULL, Name, Ref, words, write
from .pdffile import Writer


@dataclass(frozen=True, slots=True, kw_only=True)
class Bookmark:
    """What a leaf wants for a bookmark."""

    title: str
    """Its words."""
    chapter: str
    """The chapter it stands under, or empty."""
    divides: bool
    """Whether it is the chapter's own."""
    goal: Any
    """Where it leads, a destination."""
    below: tuple[tuple[str, Any], ...] = ()
    """Words and goals of what the leaf holds."""


@dataclass(slots=True, kw_only=True)
class _Item:
    """A bookmark with those below it."""

    title: str
    """Its words."""
    goal: Any
    """Where it leads."""
    below: list[_Item] = field(default_factory=list)
    """Those below it."""


def top(page: Ref, box: Sequence[Any]) -> list[Any]:
    """The destination "top of the page, zoom as it is"; `box` is the page's media box."""
    return [page, Name("XYZ"), box[0], box[3], NULL]


def outline(writer: Writer, marks: Sequence[Bookmark]) -> Ref:
    """Write the bookmarks of the leaves in their order; a chapter's leads to its divider, else to its first leaf."""
    items: list[_Item] = []
    chapter: _Item | None = None
    for mark in marks:
        below = [_Item(title=title, goal=goal) for title, goal in mark.below]
        item = _Item(title=mark.title, goal=mark.goal, below=below)
        if mark.divides:
            chapter = _Item(title=mark.chapter or mark.title, goal=mark.goal)
            items.append(chapter)
        elif not mark.chapter:
            chapter = None
            items.append(item)
        else:
            if chapter is None or chapter.title != mark.chapter:
                chapter = _Item(title=mark.chapter, goal=mark.goal)
                items.append(chapter)
            chapter.below.append(item)
    root = Ref(writer.number())
    ends = _write_row(writer, root, items)
    writer.put(root.number, write({"Type": Name("Outlines"), **ends, "Count": _count(items)}))
    return root


def _write_row(writer: Writer, parent: Ref, items: Sequence[_Item]) -> dict[str, Ref]:
    """Write bookmarks that stand side by side; return the entries that lead to them from above."""
    if not items:
        return {}
    places = [Ref(writer.number()) for _ in items]
    for at, item in enumerate(items):
        entry: dict[str, Any] = {"Title": words(item.title), "Parent": parent, "Dest": item.goal}
        if at:
            entry["Prev"] = places[at - 1]
        if at + 1 < len(items):
            entry["Next"] = places[at + 1]
        entry.update(_write_row(writer, places[at], item.below))
        if item.below:
            entry["Count"] = _count(item.below)
        writer.put(places[at].number, write(entry))
    return {"First": places[0], "Last": places[-1]}


def _count(items: list[_Item]) -> int:
    """How many bookmarks are seen where all are open (ISO 32000-1, table 153: Count)."""
    return len(items) + sum(_count(item.below) for item in items)
