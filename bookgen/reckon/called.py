"""What the materials of a product are called by the function of a line or their own: aromatic, colourant.

Enters: a formula's lines and what its intermediates were found to hold.  Leaves: `Called`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..model import Book
from .amounts import Amounts
from .composition import Composition
from .densities import is_water
from .functions import AROMATIC, COLOURANT, items_of
from .keysets import key_set


@dataclass(frozen=True, slots=True, kw_only=True)
class Called:
    """The topic's figures for one formula."""

    aromatic: frozenset[str]
    """Keys of the materials that are called aromatic, of what has no file yet its name."""
    colourants: frozenset[str]
    """Keys of the materials that are called a colourant, of what has no file yet its name."""


def called(book: Book, amounts: Amounts, inner: Mapping[str, Composition], done: Mapping[str, Called]) -> Called:
    """Return which materials that give something to the product are called aromatic, and which a colourant.

    An intermediate brings its own; where it has none and its line is called so, all that it holds counts but water.

    Source: common practice, no source.
    """
    aromatic: set[str] = set()
    colourants: set[str] = set()
    for line in amounts.lines:
        if not line.gives:
            continue
        items = frozenset(items_of(line.line.function))
        if line.key in done:
            whole = {key for key in inner[line.key].materials if not is_water(book.materials[key])}
            aromatic |= done[line.key].aromatic or (whole if items & AROMATIC else set())
            colourants |= done[line.key].colourants or (whole if items & COLOURANT else set())
        else:
            own = book.materials.get(line.key)
            items = items.union(items_of(own.function) if own else ())
            aromatic |= {line.key} if items & AROMATIC else set()
            colourants |= {line.key} if items & COLOURANT else set()
    return Called(aromatic=key_set(aromatic), colourants=key_set(colourants))
