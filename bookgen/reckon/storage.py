"""Storage: the kind of preparation from its composition, the published period, the use-by date and its reason.

Enters: a formula, its composition, the published periods in `reference/storage.yaml`.  Leaves: `StorageFigure`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..findings import Missing
from ..model import Known, Period, StoragePlace


class Preparation(StrEnum):
    """The kind of preparation, by what could spoil in it."""

    WATER = "water that can spoil, unpreserved"
    PRESERVED = "water with a preservative; effect not tested"
    ALCOHOL = "water with enough alcohol"
    NO_WATER = "no water"


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodRule:
    """A longest period, and who says so."""

    period: Period
    """The longest period."""
    place: StoragePlace | None
    """Where it has to be kept for that; None when the rule names none."""
    words: str
    """The rule in a sentence, with its source; says when it is borrowed or the keeper's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageFigure:
    """The topic's figures for one formula."""

    preparation: Preparation | Missing
    """What kind it is."""
    water: Known
    """Free water, share of the product."""
    alcohol: Known
    """Ethanol, share of the product by weight."""
    preservatives: tuple[str, ...]
    """Names of the lines or materials that are called preservatives."""
    brings_water: bool
    """True when water is among the ingredients, whether or not its share is known."""
    rule: PeriodRule | Missing
    """The period that the rule gives."""
    limits: tuple[PeriodRule, ...]
    """Every limit on the period, shortest first: the assigned period, the rule, the intermediates'."""
    period: Period | Missing
    """The shortest of them."""
    reason: str
    """Why that period, in words."""
