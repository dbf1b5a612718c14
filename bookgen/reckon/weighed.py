"""What is really taken off the shelf: which materials a line stands for, and how much of each line is taken.

The one place that supplies, shopping list and intermediates ask.
"""

from __future__ import annotations

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known
from .amounts import LineFigure
from .batchline import Aliquot, BatchLine, Counted, Exact, Weighed
from .known import ZERO, add, times


def weighed_materials(figure: LineFigure, grams: Known) -> tuple[tuple[str, Known], ...]:
    """Return the keys of what is weighed for so many grams of a line, each with its grams; they add up to them.

    A line is one material; diluted ethanol is made on the spot from its material and water, by their shares by weight.

    Source: own arithmetic.
    """
    return tuple((key, times(grams, share)) for key, share in figure.takes)


def taken_materials(line: BatchLine) -> tuple[tuple[str, Known], ...]:
    """Return the same of a line as the instruments take it: of diluted ethanol the two weights that are printed.

    Source: own arithmetic.
    """
    if line.blended is None or len(line.figure.takes) == 1:
        return weighed_materials(line.figure, taken_grams(line))
    (strong, _), (water, _) = line.figure.takes
    return (strong, line.blended.strong_g), (water, line.blended.water_g)


def taken_grams(line: BatchLine) -> Known:
    """Return the grams that a line takes off the shelf, as the instruments take them.

    Printed weights; of drops the larger of what is printed and what falls, count × drop mass, so that neither is more
    than is there.  A line that is thinned takes what its stock is made of, all of it, and the line that thins it takes
    the stock's diluent in addition to its own weight.  A line that cannot be measured stands there with its exact
    weight.

    Source: own arithmetic.
    """
    taken = _taken(line)
    return taken if line.spared is None else add((taken, line.spared.stocks_g))


def left_in_stocks(line: BatchLine) -> Fraction:
    """Return the grams of a line that stay behind in stocks: of what is thinned, and of what thins it.

    A stock is made whole and only an aliquot of it goes into the batch.

    Source: own arithmetic.
    """
    behind = ZERO if line.spared is None else line.spared.stocks_g - line.spared.grams
    if isinstance(line.metered, Aliquot):
        behind += line.metered.plan.stages[0].weigh_g - line.metered.brings
    return behind


def _taken(line: BatchLine) -> Known:
    match line.metered:
        case Aliquot(plan=plan):
            return plan.stages[0].weigh_g
        case Counted(off=off, printed=printed) if not isinstance(line.grams, Missing):
            return max(line.grams * (1 + off), printed)
        case Weighed(printed=printed) | Exact(printed=printed):
            return printed
        case _:
            return line.grams
