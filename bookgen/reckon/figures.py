"""`Figures`: everything about a formula that no batch changes, one field a topic; `Reckoning`: a whole book's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..model import Book, Formula
from .amounts import Amounts
from .composition import Composition
from .flow import Flow
from .graph import Graph
from .scale import ScaleTable
from .storage import StorageFigure


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """One formula, reckoned."""

    key: str
    """Key of the formula in the book."""
    formula: Formula
    """The formula."""
    amounts: Amounts
    """What it makes, and its lines."""
    flow: Flow
    """Yield and evaporation."""
    composition: Composition
    """What the product is made of."""
    storage: StorageFigure
    """Where and how long it keeps."""
    scale: ScaleTable
    """What follows the batch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoning:
    """A book, reckoned."""

    book: Book
    """The book."""
    graph: Graph
    """What uses what."""
    figures: Mapping[str, Figures]
    """By the formula's key, in the graph's order."""
