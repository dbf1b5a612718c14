"""What a line brings to the balance: which materials are weighed for it, and how much of each.

The one place that stock and shopping list ask.  A line is one material; where it is made up from several on the spot,
this function says of which.
"""

from __future__ import annotations

from ..model import Known
from .amounts import LineFigure


def weighed_materials(figure: LineFigure, grams: Known) -> tuple[tuple[str, Known], ...]:
    """Return the keys of what is weighed for so many grams of a line, each with its grams; they add up to them.

    Own arithmetic.
    """
    return ((figure.key, grams),)
