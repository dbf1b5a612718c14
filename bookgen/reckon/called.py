"""What the materials of a product are called by the function of a line or their own: aromatic, colourant.

Enters: a formula's lines and what its intermediates were found to hold.  Leaves: `Called`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from ..model import Book
from .amounts import Amounts
from .composition import Composition
from .densities import is_water
from .functions import AROMATIC, COLOURANT, items_among
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
        if line.key in done:
            is_aromatic, is_colourant = _called_so(line.line.function)
            whole = {key for key in inner[line.key].materials if not is_water(book.materials[key])}
            aromatic |= done[line.key].aromatic or (whole if is_aromatic else set())
            colourants |= done[line.key].colourants or (whole if is_colourant else set())
            continue
        own = book.materials.get(line.key)
        is_aromatic, is_colourant = _called_so(line.line.function, own.function if own else "")
        if is_aromatic:
            aromatic.add(line.key)
        if is_colourant:
            colourants.add(line.key)
    return Called(aromatic=key_set(aromatic), colourants=key_set(colourants))


@lru_cache(maxsize=4096)
def _called_so(*functions: str) -> tuple[bool, bool]:
    """Tell whether functions call something aromatic, and whether they call it a colourant."""
    items = items_among(*functions)
    return not items.isdisjoint(AROMATIC), not items.isdisjoint(COLOURANT)
