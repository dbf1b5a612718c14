"""From what goes in to what comes out: yield and evaporation.

weigh in all = to obtain ÷ yield ÷ (1 − evaporated ÷ makes), exact.  Yield loses product of unchanged composition
(in the vessel, in the filter); evaporation changes the composition.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import Formula, Known
from ..wording.saying import says
from .amounts import Amounts, LineFigure, MakesFigure
from .known import ONE, ZERO, add, less, over, times


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """What one batch loses on the way, in the formula's own unit."""

    yield_: Fraction
    """Share that comes out, above 0 to 1."""
    evaporated: Known
    """Share of what the formula makes that evaporates and is not made up."""
    added: Known
    """Share of what the formula makes that is weighed in addition because it evaporates (`added: yes`)."""
    start: Known
    """Weigh in all per unit to obtain."""
    scale: Known
    """Factor on the written amounts per unit to obtain: written amount × scale × batch = what is weighed."""
    as_written: Known
    """What comes out when the written amounts are taken once."""


def flow(formula: Formula, amounts: Amounts) -> Flow:
    """Return what has to be weighed in, so that the wanted amount comes out.

    Weigh in all = to obtain ÷ yield ÷ (1 − evaporated ÷ makes), exact.  Yield is product of unchanged composition that
    stays behind, in the vessel or in the filter; evaporation changes the composition.  What evaporates and is made up
    again, or is weighed in addition, does not change what comes out.  Every line is its written amount × weigh in all ÷
    makes.  Without a wish the batch is the one written: weigh in all is what the formula makes.

    Source: own arithmetic on the definition of yield (weight that comes out ÷ weight that went in).
    """
    makes = amounts.makes
    yield_ = ONE if formula.yield_ is None else formula.yield_.share
    counted = [line for line in amounts.lines if line.counts]
    evaporated = _of_makes(
        add(
            evaporated_g(line)
            for line in counted
            if line.line.evaporates is not None and not line.line.made_up and not line.line.added
        ),
        makes,
    )
    added = _of_makes(add(less(line.weighed, line.grams) for line in counted if line.line.added), makes)
    comes_out = times(less(ONE, evaporated), yield_)
    if not isinstance(comes_out, Missing) and comes_out <= 0:
        comes_out = Missing(says=says("nothing-comes-out"), reported=True)
    if isinstance(makes.amount, Fraction) and makes.amount <= 0:
        comes_out = Missing(says=says("nothing-made"), reported=True)
    return Flow(
        yield_=yield_,
        evaporated=evaporated,
        added=added,
        start=over(add((ONE, added)), comes_out),
        scale=over(over(ONE, comes_out), makes.amount),
        as_written=times(makes.amount, comes_out),
    )


def lost_g(figure: LineFigure) -> Known:
    """Return the grams of one line that evaporate from what is weighed, for the amount that the formula makes.

    `added: yes` weighs in more than is written; what it weighs in addition is what goes.
    """
    return less(figure.weighed, figure.grams) if figure.line.added else evaporated_g(figure)


def evaporated_g(figure: LineFigure) -> Known:
    """Return the grams of one line that evaporate, for the amount that the formula makes.

    It is written in grams, or as a share of the line.  If it is not replaced, less comes out, and the finished product
    is what remains; if it is replaced at the end (`made up`), weights and composition are as if nothing had evaporated.

    Source: own arithmetic.
    """
    loss = figure.line.evaporates
    if loss is None:
        return ZERO
    return loss.grams if loss.grams is not None else times(figure.grams, loss.share or ZERO)


def _of_makes(grams: Known, makes: MakesFigure) -> Known:
    """Return grams as a share of what the formula makes; nothing is nothing, whatever it makes."""
    if grams == 0:
        return ZERO
    if isinstance(makes.grams, Missing) and makes.unit == "g":
        return makes.grams
    if isinstance(makes.grams, Missing):
        return Missing(
            says=says("evaporation-needs-density"),
            reported=makes.grams.reported,
            cause="missing-product-density",
        )
    return over(grams, makes.grams) if makes.grams else ZERO
