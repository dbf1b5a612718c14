"""One line at one batch: as written, its figure, and how it is metered, in the form that its way of measuring has.

`metering.evaluate` makes them; who prints or judges a line matches on the form of its `metered`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known, Line
from ..swift import swift
from .amounts import LineFigure
from .known import ZERO
from .plans import Plan, aliquot_range
from .scale import ScaleRow
from .ways import Measure, Piece

Interval = tuple[Fraction, Fraction]
"""The least and the most that a figure can be."""


# ── The forms: one for each way of measuring ──────────────────────────────────────────────────────────────────────


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """Weighed in whole steps of a balance; the fill too, as what the others leave."""

    printed: Fraction
    """Grams, a multiple of the step."""
    balance: str
    """The balance."""
    step: Fraction
    """Its step in grams."""
    portions: int
    """In how many portions."""
    coarse: bool
    """True where it is weighed beyond its accepted error, for want of a better way."""
    beside: int | None
    """Whole drops that stand beside the weight, where the balance is surer than the dropper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exact:
    """To be weighed where no balance is stated: the exact weight, which nothing rounds."""

    printed: Fraction
    """Grams."""
    step: ClassVar[None] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """Counted in whole drops."""

    drops: int
    """How many."""
    off: Fraction
    """(whole drops × drop mass − exact) ÷ exact."""
    dropper: str
    """The dropper."""
    printed: Fraction
    """Grams: whole drops times the drop mass, rounded to `step`."""
    step: Fraction | None
    """Grams that `printed` is a multiple of; None where no balance is stated."""
    low: Fraction
    """Grams of the lightest drop."""
    high: Fraction
    """Grams of the heaviest drop."""
    coarse: bool
    """True where it is counted beyond its accepted error, for want of a better way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnlyCounted:
    """Counted in whole drops of which nobody knows what they weigh."""

    drops: int
    """How many."""
    off: Fraction
    """(whole drops − exact drops) ÷ exact drops."""
    dropper: str
    """The dropper; empty where the line names none."""
    printed: Missing
    """Why there is no weight."""
    coarse: bool
    """True where it is counted beyond its accepted error, for want of a better way."""
    step: ClassVar[None] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Aliquot:
    """Taken as an aliquot of a stock that is made of it first."""

    printed: Fraction
    """Grams of the stock, a multiple of the balance's step."""
    plan: Plan
    """The stock."""
    thinned: Measure
    """`dilute` in a liquid, `triturate` with a powder."""
    diluent: int
    """Number of the line that thins the stock."""

    @property
    def step(self) -> Fraction:
        """The step of the balance, in grams."""
        return self.plan.step

    @property
    def brings(self) -> Fraction:
        """Grams of the material in the aliquot."""
        return self.printed / self.plan.factor


@dataclass(frozen=True, slots=True, kw_only=True)
class ByVolume:
    """Measured by volume, as its weight is not known."""

    printed: Missing
    """Why there is no weight."""
    step: ClassVar[None] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unshown:
    """Less than the balance shows, and than half a drop: its exact weight stands there, and nothing measures it."""

    printed: Missing
    """Why there is no printed weight."""
    balance: str
    """The balance of a fill that is so little; empty for any other line."""
    step: Fraction | None
    """The step of that balance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnknownAmount:
    """Of unknown weight: nothing is measured; a fill is made up to the whole."""

    printed: Missing
    """Why the weight is not known."""
    step: ClassVar[None] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Nothing:
    """Nothing to measure: the other lines leave nothing for it, or too little by far; its formula is in error."""

    printed: Fraction
    """Grams, 0 or below."""
    step: ClassVar[None] = None


Metered = Weighed | Exact | Counted | OnlyCounted | Aliquot | ByVolume | Unshown | UnknownAmount | Nothing
"""What the instruments can really give of a line, by its way of measuring."""


# ── What else a line may have, however it is measured ─────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Spared:
    """What of a line goes into stocks of others: it is weighed with so much less as their aliquots bring of it."""

    grams: Fraction
    """Grams that the aliquots bring."""
    less: Fraction
    """By how much these may be less, as the aliquots and their stocks are weighed."""
    more: Fraction
    """By how much they may be more."""
    stocks_g: Fraction
    """Grams that the stocks take, all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blended:
    """The two weights of diluted ethanol; they add up to what is printed."""

    strong_g: Fraction
    """Grams of the strong one, in whole steps."""
    water_g: Fraction
    """Grams of water, the rest."""


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class BatchLine:
    """One line at one batch."""

    row: ScaleRow
    """How it follows the batch."""
    piece: Piece
    """The way of measuring that the scale table has for this batch."""
    grams: Known
    """Exact grams of this batch."""
    ml: Known | None
    """Exact millilitres, where written by volume."""
    loss: Known | None
    """Exact grams that evaporate of it; None where nothing does."""
    drops_exact: Fraction | None
    """Drops before rounding, where a drop mass is known, or drops alone are."""
    metered: Metered
    """What the instruments can really give."""
    spared: Spared | None = None
    """What goes into stocks of others; None where nothing does."""
    blended: Blended | None = None
    """Of diluted ethanol the two weights; None for any other line, and where the weight is not known."""

    @property
    def figure(self) -> LineFigure:
        """Its figure, for the amount that the formula makes."""
        return self.row.figure

    @property
    def written(self) -> Line:
        """The line as written."""
        return self.row.figure.line

    @property
    def index(self) -> int:
        """Its number in the formula."""
        return self.row.figure.index

    @property
    def printed(self) -> Known:
        """Grams printed, of what is thinned those of its stock; or why there are none."""
        return self.metered.printed

    @property
    def step(self) -> Fraction | None:
        """Grams that `printed` is a multiple of."""
        return self.metered.step

    @property
    def drops(self) -> int | None:
        """Whole drops, where it is counted."""
        return self.metered.drops if isinstance(self.metered, (Counted, OnlyCounted)) else None

    @property
    def drops_told(self) -> int | None:
        """Whole drops that are told: counted, or beside a weight."""
        return self.metered.beside if isinstance(self.metered, Weighed) else self.drops

    @property
    def portions(self) -> int:
        """In how many portions it is weighed."""
        return self.metered.portions if isinstance(self.metered, Weighed) else 1

    @property
    def with_(self) -> str:
        """The balance or the dropper; empty when there is none."""
        match self.metered:
            case Weighed(balance=name) | Unshown(balance=name) | Counted(dropper=name) | OnlyCounted(dropper=name):
                return name
            case Aliquot(plan=plan):
                return plan.with_
            case _:
                return ""

    @property
    def is_unshown(self) -> bool:
        """True where the weight is known, and less than the balance shows."""
        return isinstance(self.metered, Unshown)

    @property
    def is_coarse(self) -> bool:
        """True where it is measured beyond its accepted error, for want of a better way, or shows on no balance."""
        match self.metered:
            case Weighed(coarse=coarse) | Counted(coarse=coarse) | OnlyCounted(coarse=coarse):
                return coarse
            case Unshown():
                return self.figure.counts
            case _:
                return False

    @property
    def measure(self) -> Measure:
        """The way of measuring, as machine readers are told it."""
        match self.metered:
            case Counted() | OnlyCounted():
                return Measure.DROPS
            case Aliquot(thinned=thinned):
                return thinned
            case ByVolume():
                return Measure.VOLUME
            case _ if self.figure.is_fill:
                return Measure.FILL
            case Weighed() | Exact():
                return Measure.WEIGH
            case _:
                return Measure.NONE

    @property
    def between(self) -> Interval | Missing:
        """The least and the most that is really taken: every weighing a step wrong to one side, or so many of the
        lightest and of the heaviest drops; exact where nothing is known of it.

        The exact weight lies between them.  Of what is less than the balance shows, nobody knows how much is taken.
        """
        exact = self.grams
        if isinstance(exact, Missing):
            return exact
        match self.metered:
            case Unshown(printed=why):
                return why
            case Weighed(printed=weight, step=step, portions=portions):
                off = step if portions == 1 else portions * step
                low, high = weight - off, weight + off
                if self.spared is None and not self.figure.is_fill:  # rounded by half a step: the exact one is between
                    return (low if low.numerator > 0 else ZERO), high
                if self.spared is not None:
                    low += self.spared.grams - self.spared.less
                    high += self.spared.grams + self.spared.more
                low, high = max(low, ZERO), max(high, ZERO)
            case Counted(drops=drops, low=light, high=heavy):
                low, high = drops * light, drops * heavy
            case Aliquot(printed=aliquot, plan=plan):
                low, high = aliquot_range(aliquot, plan)
            case _:
                return exact, exact
        return min(low, exact), max(high, exact)
