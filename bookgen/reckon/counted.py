"""What is counted in pieces, held against what is weighed or measured.

Enters: a quantity of a finished product, the formula's figures.  Leaves: the same in another unit.
"""

from __future__ import annotations

from dataclasses import replace

from ..findings import Missing
from ..model import FORMS, Formula, Known, PieceForm, Quantity
from ..wording.saying import says
from .figures import Figures
from .first import in_unit
from .known import over, times


def as_made(quantity: Quantity, formula: Formula | None) -> Quantity:
    """Return a quantity with `pieces` called what the formula makes: of 4 pieces, 4 suppositories."""
    made = formula.makes.form if formula is not None and formula.makes is not None else None
    if made is None or quantity.form is not PieceForm.PIECES:
        return quantity
    count = int(quantity.value)
    return replace(quantity, unit=made.value, text=f"{count} {made.of(count)}")


def is_made(quantity: Quantity, formula: Formula) -> bool:
    """Tell whether a formula makes what a quantity counts; a mass or a volume comes of any."""
    form = as_made(quantity, formula).form
    return form is None or (formula.makes is not None and formula.makes.form is form)


def in_unit_of(figures: Figures, quantity: Quantity, unit: str) -> Known:
    """Return a quantity of the finished product in `unit`: g, mL or a name of pieces, of which parts count too.

    Pieces and grams are turned into each other by what one finished piece weighs, millilitres by the density.

    Source: own arithmetic.
    """
    given = as_made(quantity, figures.formula)
    if given.unit == unit:
        return given.value
    counted = next((name for name in (given.unit, unit) if name in FORMS), None)
    if counted is None:
        return in_unit(figures.formula, given.value, unit)
    pieces = figures.pieces
    if pieces is None:
        return Missing(says=says("no-pieces-made"))
    if counted != pieces.form.value:
        return Missing(says=says("other-pieces-made", form=pieces.form.value, said=counted))
    if given.unit == counted:
        grams = times(pieces.grams, given.value)
        return grams if unit == "g" else in_unit(figures.formula, grams, unit)
    grams = given.value if given.unit == "g" else in_unit(figures.formula, given.value, "g")
    return over(grams, pieces.grams)
