"""What a formula makes, and what each of its lines stands for in grams.

Enters: a formula, the book, and the figures of its intermediates (for strengths and densities).
Leaves: `Amounts`: what it makes and a `LineFigure` for each line, exact, for the amount that the formula makes.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..findings import Missing
from ..model import Basis, Known, Line
from .droppers import DropMass


@dataclass(frozen=True, slots=True, kw_only=True)
class MakesFigure:
    """What the written amounts make up, processing aids aside: the basis of calculation."""

    unit: str
    """`g` for a formula by weight, `mL` for one by volume."""
    amount: Known
    """In `unit`."""
    grams: Known
    """The same in grams, through the product's density where the formula is by volume."""
    ml: Known
    """The same in millilitres, through the product's density where the formula is by weight."""
    origin: str
    """Where the figure comes from: `written`, `fill`, `assumed` (100 g) or `sum`."""
    about: Fraction | None = None
    """The written figure, where it is only about what the formula makes."""
    total: Known
    """The sum of all lines that count, in grams, the fill included; by volume usually not known."""
    short: Known
    """What is missing to `amount` in grams, negative when the lines go beyond it; 0 with a fill that fits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFigure:
    """One line, for the amount that the formula makes."""

    index: int
    """Its number in the formula, from 0."""
    line: Line
    """The line as written."""
    phase: str
    """Letter of its phase; empty without phases."""
    key: str
    """Key of the material or formula in the book; empty when there is none."""
    name: str
    """Name of the material or title of the formula; the written name when there is none."""
    is_formula: bool
    """True when the line calls an intermediate."""
    is_fill: bool
    """True for the line that is made up to the total."""
    is_about: bool
    """True when the amount is only usual (`q.s. to pH … (about …)`)."""
    counts: bool
    """True when the line counts to what the formula makes; False for a processing aid."""
    grams: Known
    """Grams that count (for a processing aid: that are taken)."""
    low: Known
    """The least that `grams` can be: drops vary."""
    high: Known
    """The most that `grams` can be."""
    ml: Known | None
    """Millilitres, where the line is written by volume."""
    weighed: Known
    """Grams to weigh: as `grams`, more where the loss by evaporation is added."""
    percent: Known
    """Share of what the formula makes, 1 = all; of the basis named in `percent_of`."""
    percent_of: Basis
    """What `percent` relates to."""
    drop: DropMass | Missing
    """Drop mass with the dropper that the line or the material names first."""
    by_drops: bool
    """True when the line is written in drops."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """The topic's figures for one formula."""

    makes: MakesFigure
    """What it makes."""
    lines: tuple[LineFigure, ...]
    """Its lines, in order."""
    part_g: Known | None
    """Grams of one part; None where no line is in parts."""
