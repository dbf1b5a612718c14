"""The index of materials: each with the formulas that hold it, also through an intermediate; other names lead to it.

Substances and fragrance allergens that materials contain stand among them, with the formulas that carry them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ... import show
from ...language import noted, word
from ...model import Material
from ...reckon.contents import listings
from ..records import Link
from ..shelf import Shelf, at_root
from .held import Reason
from .inherited import Stays, contained_in, incomplete, inherited, silent_in
from .order import by_letter
from .passages import MATERIALS, title_of
from .records import Cited, IndexShown, MaterialEntry

Names = Mapping[str, tuple[str, tuple[str, ...]]]
"""A name in one case → as written first, and the keys of the materials that it concerns, by name."""

_CARRIED = {Stays.WHOLE: noted("in"), Stays.DRAWN: noted("made with")}
"""What of a material is in a formula → how a substance comes into it, before the material's name."""


def materials_shown(shelf: Shelf) -> IndexShown[MaterialEntry]:
    """Return every material under each of its names, and every substance that a material is known to contain."""
    root = at_root(shelf)
    others, carried = other_names(root), _carried(root)
    entries = [*_materials(root, others, carried)]
    named = {entry.link.words.casefold() for entry in entries}
    for name in dict.fromkeys((*others, *carried)):
        if name not in named:
            words, keys = others.get(name) or (carried[name][0], ())
            entries.append(
                MaterialEntry(
                    anchor="",
                    link=Link(words=words, href=""),
                    cited=carried[name][1] if name in carried else (),
                    see=_see(keys, root),
                )
            )
    return IndexShown(
        frame=root.frame(),
        title=title_of(MATERIALS),
        says=incomplete(silent_in(root), root),
        empty=word("This book holds no material yet."),
        parts=by_letter(entries, lambda entry: entry.link.words),
    )


def _materials(
    root: Shelf, others: Names, carried: Mapping[str, tuple[str, tuple[Cited, ...]]]
) -> Iterator[MaterialEntry]:
    """Yield the materials; one whose name is another's synonym leads to that other as well."""
    used = root.holding()
    told: set[str] = set()
    for key in root.materials:
        name = root.name(key).casefold()
        first = name not in told
        _, also = others.get(name, ("", ())) if first else ("", ())
        _, substance = carried.get(name, ("", ())) if first else ("", ())
        told.add(name)
        yield MaterialEntry(
            anchor=_anchor(key, root),
            link=root.link(key),
            cited=(*_cited(used.get(key, {}), root), *substance),
            see=_see(tuple(other for other in also if other != key), root),
        )


def other_names(shelf: Shelf) -> Names:
    """Return each synonym and label name in one case → as written first, and the materials that bear it, by name."""
    found: dict[str, tuple[str, tuple[str, ...]]] = {}
    for key in shelf.materials:
        for name in dict.fromkeys(_others(shelf.book.materials[key])):
            words, keys = found.get(name.casefold(), (name, ()))
            found[name.casefold()] = (words, keys if key in keys else (*keys, key))
    return found


def _carried(root: Shelf) -> Mapping[str, tuple[str, tuple[Cited, ...]]]:
    """Return each substance in one case → as written first, and the formulas that carry it, by material and way.

    A substance that a material is called is left out there: the material's own names lead to it.
    """
    lists, ways = listings(root.book), _ways(root)
    found: dict[str, tuple[str, tuple[Cited, ...]]] = {}
    for key in root.materials:
        material = root.book.materials[key]
        called = {material.name.casefold(), *(name.casefold() for name in _others(material))}
        for name in contained_in(material, lists.get(key, ())):
            if name.casefold() not in called and key in ways:
                words, cited = found.get(name.casefold(), (name, ()))
                found[name.casefold()] = (words, (*cited, *ways[key]))
    return found


def _ways(root: Shelf) -> Mapping[str, tuple[Cited, ...]]:
    """Return each material → the formulas that what it contains is in, those that list it first; others left out."""
    found: dict[str, dict[tuple[Stays, tuple[str, ...]], list[str]]] = {}
    for formula, items in inherited(root).items():
        for item in items:
            if item.stays in _CARRIED and item.key in root.book.materials:
                found.setdefault(item.key, {}).setdefault((item.stays, item.through), []).append(formula)
    return {
        key: tuple(
            Cited(
                how=word(_CARRIED[stays]),
                through=tuple(root.link(name) for name in through),
                formulas=tuple(root.link(formula) for formula in ways[stays, through]),
                of=root.link(key),
            )
            for stays, through in sorted(ways, key=lambda way: (way[0], len(way[1]), way[1]))
        )
        for key, ways in found.items()
    }


def _others(material: Material) -> Iterator[str]:
    """Yield a material's synonyms and label names that are not its own name."""
    for name in (*material.also, *(part.name for part in material.label)):
        if name.strip() and name.casefold() != material.name.casefold():
            yield name.strip()


def _cited(reasons: Mapping[Reason, Sequence[str]], root: Shelf) -> tuple[Cited, ...]:
    """Return where a material is used: first where it is listed, then through which intermediates it comes."""
    return tuple(
        Cited(
            how=word(how),
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
