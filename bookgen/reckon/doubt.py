"""Doubt: what measuring a line may be off at the worst, and which lines of a batch are beyond their accepted error.

Enters: a batch, line by line.  Leaves: errors as shares, the lines in doubt.
"""

from __future__ import annotations

from ..findings import Missing
from ..fraction import Fraction
from .batchline import Aliquot, BatchLine, Counted, OnlyCounted, Unshown, Weighed
from .known import ZERO
from .metering import Evaluation


def doubtful_lines(evaluation: Evaluation) -> tuple[BatchLine, ...]:
    """Return the lines that are not known to be within their accepted error, or not measured at all."""
    return tuple(line for line in evaluation.lines if is_doubtful(line))


def is_doubtful(line: BatchLine) -> bool:
    """Tell whether a line is not known to be within its accepted error; one that is added little by little until it is
    right, or taken out again, is not judged."""
    if line.figure.is_about or not line.figure.counts or _is_surely_within(line) or not _is_judged(line):
        return False
    off = measuring_error(line)
    return off is None or off > line.row.error


def _is_surely_within(line: BatchLine) -> bool:
    """Tell whether a line is weighed from 1.5 times the least weighable quantity on: half a step of rounding and one of
    weighing, which no line exceeds that stands by itself."""
    metered, alone = line.metered, line.spared is None and line.row.strong is None and not line.figure.is_fill
    if not alone or not isinstance(metered, Weighed) or isinstance(line.grams, Missing):
        return False
    # (portions + ½) × step ≤ error × grams in whole numbers, because this is asked of every line of every batch.
    step, error, grams = metered.step, line.row.error, line.grams
    off = (2 * metered.portions + 1) * step.numerator * error.denominator * grams.denominator
    return off <= 2 * error.numerator * grams.numerator * step.denominator


def _is_judged(line: BatchLine) -> bool:
    """Tell whether a line's measuring can be judged: not by volume, not without a balance, not of unknown weight."""
    match line.metered:
        case OnlyCounted(coarse=coarse):
            return coarse
        case Weighed() | Counted() | Aliquot() | Unshown():
            return isinstance(line.grams, Missing) or line.grams > 0
        case _:
            return False


def measuring_error(line: BatchLine) -> Fraction | None:
    """Return what a line may be off at the worst, as a share of its exact weight: what is printed, and measured wrong.

    Weighed: the printed weight, and one step of the balance either way for each portion, as a weighing by difference is
    two readings, each half a step off at most; the fill's printed weight takes up the rounding of all others.  Counted
    in drops: so many of the lightest or of the heaviest drops.  Taken from a stock: every weighing one step wrong to
    the worse side.  Diluted ethanol is as sure as its strong part.  Not known for what is less than the balance shows.

    Source: T04-01 and T04-03 (University of North Carolina: sensitivity ÷ quantity is the error of a weighing).
    """
    exact, metered = line.grams, line.metered
    if isinstance(metered, Weighed) and isinstance(exact, Fraction) and line.spared is None and line.row.strong is None:
        off, over = metered.portions * metered.step, metered.printed - exact  # the usual case, in few steps
        return max(over + off, min(off - over, exact)) / exact if exact.numerator > 0 else None
    between = line.between
    if isinstance(exact, Missing) or isinstance(between, Missing) or exact <= 0:
        return None
    low, high = between
    if line.row.strong is not None and line.blended is not None and line.step is not None:
        off = line.portions * line.step
        exact, strong = exact * line.row.strong, line.blended.strong_g
        low, high = max(strong - off, ZERO), strong + off
    elif not isinstance(metered, (Weighed, Counted, Aliquot)):
        return None
    return max(high - exact, exact - low) / exact
