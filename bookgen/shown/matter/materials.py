"""The index of materials: each with the formulas that hold it, also through an intermediate; other names lead to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ... import show
from ...model import Material
from ..records import Link
from ..shelf import Shelf, at_root
from .held import Reason
from .order import by_letter
from .passages import MATERIALS, title_of
from .records import Cited, IndexShown, MaterialEntry


def materials_shown(shelf: Shelf) -> IndexShown[MaterialEntry]:
    """Return every material under each of its names."""
    root = at_root(shelf)
    entries = [*_materials(root)]
    named = {entry.link.words.casefold() for entry in entries}
    entries += [
        MaterialEntry(anchor="", link=Link(words=words, href=""), cited=(), see=_see(keys, root))
        for name, (words, keys) in other_names(root).items()
        if name not in named
    ]
    return IndexShown(
        frame=root.frame(),
        title=title_of(MATERIALS),
        says="",
        empty="This book holds no material yet.",
        parts=by_letter(entries, lambda entry: entry.link.words),
    )


def _materials(root: Shelf) -> Iterator[MaterialEntry]:
    """Yield the materials; one whose name is another's synonym leads to that other as well."""
    used, others = root.holding(), other_names(root)
    told: set[str] = set()
    for key in root.materials:
        name = root.name(key).casefold()
        _, also = others.get(name, ("", ())) if name not in told else ("", ())
        told.add(name)
        yield MaterialEntry(
            anchor=_anchor(key, root),
            link=root.link(key),
            cited=_cited(used.get(key, {}), root),
            see=_see(tuple(other for other in also if other != key), root),
        )


def other_names(shelf: Shelf) -> Mapping[str, tuple[str, tuple[str, ...]]]:
    """Return each synonym and label name in one case → as written first, and the materials that bear it, by name."""
    found: dict[str, tuple[str, tuple[str, ...]]] = {}
    for key in shelf.materials:
        for name in dict.fromkeys(_others(shelf.book.materials[key])):
            words, keys = found.get(name.casefold(), (name, ()))
            found[name.casefold()] = (words, keys if key in keys else (*keys, key))
    return found


def _others(material: Material) -> Iterator[str]:
    """Yield a material's synonyms and label names that are not its own name."""
    for name in (*material.also, *(part.name for part in material.label)):
        if name.strip() and name.casefold() != material.name.casefold():
            yield name.strip()


def _cited(reasons: Mapping[Reason, Sequence[str]], root: Shelf) -> tuple[Cited, ...]:
    """Return where a material is used: first where it is listed, then through which intermediates it comes."""
    return tuple(
        Cited(
            how=how,
            through=tuple(root.link(key) for key in through),
            formulas=tuple(root.link(key) for key in keys),
        )
        for (how, through), keys in reasons.items()
    )


def _see(keys: tuple[str, ...], root: Shelf) -> tuple[Link, ...]:
    """Return the way to the entries of materials, on the same page."""
    return tuple(Link(words=show.glued(root.name(key)), href=f"#{_anchor(key, root)}") for key in keys)


def _anchor(key: str, root: Shelf) -> str:
    return f"of-{root.stems[key]}"
