"""One batch of one formula: what is weighed, what is made first, until when it may be used.

Enters: the reckoning of a book, a formula, what to obtain, today.  Leaves: `Weighing`, or a `Missing` that says why not.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ..findings import Missing
from ..model import AmountLink, Formula, Known, Obtain
from .figures import Figures
from .scale import Evaluation


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeFirst:
    """An intermediate to be made before."""

    key: str
    """Key of the formula."""
    needed_g: Known
    """Exact grams needed."""
    obtain_g: Known
    """Grams to obtain: the sum of the metered lines that call for it, rounded up to the balance's step."""
    obtain_ml: Known
    """The same in millilitres, through its density."""
    evaluation: Evaluation | None
    """Its own lines for that; None when its batch is not known."""
    start_g: Known
    """Weigh in all, in grams."""
    start_ml: Known
    """Volume in all, for a formula by volume."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkAmount:
    """What an amount link of the method prints at this batch."""

    link: AmountLink
    """The link."""
    rows: tuple[int, ...]
    """Lines that it sums; empty when it leads to nothing."""
    grams: Known
    """Metered grams of all, or of the portion."""
    step: Fraction | None
    """Coarsest step among them, for the digits shown; None when not metered."""
    drops: int | None
    """Whole drops, when it is one counted line."""
    ml: Known | None
    """Millilitres, when it is one line measured by volume."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """Formula × batch × instruments."""

    formula: Formula
    """The formula."""
    figures: Figures
    """What no batch changes."""
    obtain: Obtain | None
    """The batch as asked for; None for the one written."""
    obtain_g: Known
    """To obtain, in grams."""
    obtain_ml: Known
    """To obtain, in millilitres."""
    evaluation: Evaluation
    """The lines."""
    make_first: tuple[MakeFirst, ...]
    """Intermediates, users before used."""
    links: tuple[LinkAmount, ...]
    """What each amount link of the body prints, in the order of reading."""
    containers_full: int | None
    """How many containers the batch fills; None when none were named."""
    left_over: Known | None
    """What is left beside them, in the formula's unit; None when none were named."""
    use_by: date | Missing
    """The last day of use, up to and including."""
    use_by_reason: str
    """Why that day."""
