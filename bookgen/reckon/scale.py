"""The scale table: every batch-dependent figure of a formula, and its one evaluator.

A row says how a line follows the batch: an exact coefficient and, for ranges of the batch, the way of measuring.
Pages, terminal, JSON (and later the browser) print what `evaluate` returns; there is no second implementation.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from ..model import Known


class Measure(StrEnum):
    """How a line is measured at the bench."""

    WEIGH = "weigh"
    DROPS = "drops"
    DILUTE = "dilute"
    TRITURATE = "triturate"
    VOLUME = "volume"
    FILL = "fill"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One way of measuring, for a range of the batch; both ends belong to it, the first match wins."""

    from_: Fraction
    """Smallest batch, in the table's unit."""
    to: Fraction | None
    """Largest batch; None without end."""
    measure: Measure
    """The way."""
    with_: str = ""
    """Balance or dropper; empty when there is none."""
    step: Fraction | None = None
    """Grams that the printed weight is a multiple of; None when no balance is stated."""
    portion: Fraction | None = None
    """Most grams that the balance holds at once; None when it never limits in this range."""
    drop: Fraction | None = None
    """Grams per drop, where the line can be counted."""
    low: Fraction | None = None
    """Lowest grams per drop."""
    high: Fraction | None = None
    """Highest grams per drop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the formula."""

    index: int
    """The line's number in the formula."""
    per: Known
    """Grams per unit to obtain."""
    ml_per: Known | None
    """Millilitres per unit to obtain, where the line is written by volume."""
    in_total: bool
    """True when its printed weight counts to the printed total."""
    is_fill: bool
    """True for the line metered last, as what is left of weigh in all."""
    low_per: Known
    """The least grams per unit to obtain: drops vary."""
    high_per: Known
    """The most grams per unit to obtain."""
    pieces: tuple[Piece, ...]
    """In the order of matching."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleTable:
    """Everything of a formula that follows the batch."""

    unit: str
    """Unit of the batch to obtain: g or mL."""
    start: Known
    """Weigh in all per unit to obtain, in the same unit."""
    start_g: Known
    """Weigh in all in grams per unit to obtain."""
    rows: tuple[Row, ...]
    """One for each line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Metered:
    """One line at one batch: what the instruments can really give."""

    index: int
    """The line's number in the formula."""
    grams: Known
    """Exact grams of this batch."""
    low: Known
    """The least that is really taken."""
    high: Known
    """The most that is really taken."""
    metered: Known
    """Grams printed: whole steps of the balance, or whole drops times the drop mass to the finest step."""
    ml: Known | None
    """Exact millilitres, where written by volume."""
    measure: Measure
    """The way of measuring."""
    with_: str
    """Balance or dropper; empty when there is none."""
    step: Fraction | None
    """Grams that `metered` is a multiple of."""
    portions: int
    """In how many portions it is weighed."""
    drops: int | None
    """Whole drops, where counted."""
    drops_exact: Fraction | None
    """Drops before rounding, where a drop mass is known."""
    drop_error: Fraction | None
    """(whole drops × drop mass − exact) ÷ exact, where counted."""
    next_batch: Fraction | None
    """Where it cannot be measured: the next batch that can, in the table's unit; None when there is none."""
    next_way: str
    """How it is measured there: `3 drops` or `weighed`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """A scale table at one batch."""

    obtain: Fraction
    """The batch to obtain, in the table's unit."""
    start: Known
    """Weigh in all, exact, in the table's unit."""
    start_g: Known
    """Weigh in all in grams, exact."""
    lines: tuple[Metered, ...]
    """One for each line."""
    printed_total: Known
    """Sum of the printed weights that count, in grams."""
