"""How much hard capsules hold, read from `capsules.yaml`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ..fraction import Fraction
from ..model import CapsuleSize
from . import table_in


@dataclass(frozen=True, slots=True, kw_only=True)
class CapsuleRow:
    """One size."""

    size: CapsuleSize
    """Its name."""
    ml: Fraction
    """Millilitres that it holds."""
    least_ml: Fraction
    """The smallest figure that is printed for it."""


@cache
def capsule_sizes() -> Mapping[CapsuleSize, CapsuleRow]:
    """Return the table, the largest size first."""
    return {
        row.size: row
        for row in (
            CapsuleRow(size=CapsuleSize(entry["size"]), ml=Fraction(entry["mL"]), least_ml=Fraction(entry["least"]))
            for entry in table_in("capsules.yaml")["capsules"]
        )
    }
