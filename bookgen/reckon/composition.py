"""What the finished product is made of: intermediates expanded, processing aids out, evaporation and `left:` in.

Shares are by weight of the finished product, 1 = all.  Yield changes no composition.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..findings import Missing
from ..model import Known


@dataclass(frozen=True, slots=True, kw_only=True)
class Composition:
    """The topic's figures for one formula."""

    shares: Mapping[str, Known] | Missing
    """Material key → share of the finished product, largest first; Missing when it cannot be known."""
    at_most: frozenset[str]
    """Materials whose share is an upper limit (`left: at most …`)."""
    materials: frozenset[str]
    """Every material that the finished product holds, whether or not its share is known."""
    handled: frozenset[str]
    """Every material that is weighed in anywhere on the way, processing aids included."""
