"""One share of a whole as a bar on an axis: how much of the column's width it takes, beside the figure that says it."""

from __future__ import annotations

from markupsafe import Markup

from ...fraction import Fraction
from ...shown.phrases import Figure
from .lettering import of_hundred


def share_bar(percent: Figure) -> Markup:
    """Return the bar of a percentage, to scale: the whole column is 100 %.  Decoration: the figure stands beside it.

    It takes the colour of the words around it, so that it is seen in the colours that a reader sets.

    >>> share_bar(Figure(text="12.5", value="12.5", name="share-0", unit="%")).count("<rect")
    1
    """
    tenths = int(Fraction(percent.value) * 10 + Fraction(1, 2))
    bar = f'<rect y="15%" width="{of_hundred(tenths)}" height="70%"/>'
    return Markup(f'<svg aria-hidden="true" width="100%" height=".8em">{bar}<line y2="100%"/></svg>')
