"""What is really taken off the shelf: which materials a line stands for, and how much of each line is taken.

The one place that supplies, shopping list and intermediates ask.
"""

from __future__ import annotations

from fractions import Fraction

from ..findings import Missing
from ..model import Known
from .amounts import LineFigure
from .known import ZERO, add, times
from .metering import Evaluation, Metered
from .scale import Measure


def weighed_materials(figure: LineFigure, grams: Known) -> tuple[tuple[str, Known], ...]:
    """Return the keys of what is weighed for so many grams of a line, each with its grams; they add up to them.

    A line is one material; diluted ethanol is made on the spot from its material and water, by their shares by weight.

    Source: own arithmetic.
    """
    return tuple((key, times(grams, share)) for key, share in figure.takes)


def taken_materials(figure: LineFigure, metered: Metered, taken: Known) -> tuple[tuple[str, Known], ...]:
    """Return the same of a line as the instruments take it: of diluted ethanol the two weights that are printed.

    Source: own arithmetic.
    """
    if metered.strong_g is None or metered.water_g is None or len(figure.takes) == 1:
        return weighed_materials(figure, taken)
    (strong, _), (water, _) = figure.takes
    return (strong, metered.strong_g), (water, metered.water_g)


def taken_grams(evaluation: Evaluation) -> tuple[Known, ...]:
    """Return the grams that each line takes off the shelf, as the instruments take them.

    Printed weights; of drops the larger of what is printed and what falls, count × drop mass, so that neither is more
    than is there.  A line that is thinned takes what its stock is made of, all of it, and the line that thins it takes
    the stock's diluent in addition to its own weight.  A line that cannot be measured stands there with its exact
    weight.

    Source: own arithmetic.
    """
    found = [_taken(one) for one in evaluation.lines]
    for one in evaluation.lines:
        if one.plan is not None and one.diluent is not None and not isinstance(one.metered, Missing):
            thinned = sum((stage.diluent_g for stage in one.plan.stages), ZERO)
            found[one.diluent] = add((found[one.diluent], thinned))
    return tuple(found)


def left_in_stocks(evaluation: Evaluation) -> tuple[Fraction, ...]:
    """Return the grams of each line that stay behind in stocks: of what is thinned, and of what thins it.

    A stock is made whole and only an aliquot of it goes into the batch.

    Source: own arithmetic.
    """
    found = [ZERO] * len(evaluation.lines)
    for number, one in enumerate(evaluation.lines):
        if one.plan is None or one.diluent is None or isinstance(one.metered, Missing):
            continue
        brings = one.metered / one.plan.factor
        found[number] += one.plan.stages[0].weigh_g - brings
        found[one.diluent] += sum((stage.diluent_g for stage in one.plan.stages), ZERO) - (one.metered - brings)
    return tuple(found)


def _taken(metered: Metered) -> Known:
    if metered.plan is not None and not isinstance(metered.metered, Missing):
        return metered.plan.stages[0].weigh_g
    if metered.drop_error is not None:
        falls = times(metered.grams, 1 + metered.drop_error)
        if isinstance(falls, Missing) or isinstance(metered.metered, Missing):
            return falls
        return max(falls, metered.metered)
    if metered.measure is Measure.NONE or isinstance(metered.metered, Missing):
        return metered.grams
    return metered.metered
