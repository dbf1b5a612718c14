"""What one piece weighs and holds, of a formula that makes suppositories, capsules, powders and the like.

Enters: a formula, its amounts, what is lost, its composition.  Leaves: `Pieces`.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import Formula, Known, PieceForm
from .amounts import Amounts
from .composition import Composition
from .flow import Flow
from .known import over
from .soap import Soap


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """What one piece is."""

    form: PieceForm
    """What the pieces are."""
    count: int
    """How many the written amounts make."""
    grams: Known
    """Grams of one finished piece."""
    holds: tuple[tuple[int, str, Fraction], ...]
    """Number and name of each line that counts, but of the base, with the grams of it that one finished piece holds."""

    def whole_in(self, grams: Known) -> int | Missing:
        """Return how many whole pieces so many grams make; what is left over is none."""
        number = over(grams, self.grams)
        return number if isinstance(number, Missing) else int(number)


def pieces_of(formula: Formula, amounts: Amounts, flow: Flow, composition: Composition, soap: Soap) -> Pieces | None:
    """Return what one piece weighs and holds.

    A piece weighs what comes out of the written amounts, but for the yield, ÷ the number of pieces; of each line it
    holds the line's share of the finished product, of soap no line, as it holds nothing of what went into it as such.

    Source: own arithmetic.
    """
    if formula.makes is None or formula.makes.form is None:
        return None
    each = over(over(flow.as_written, flow.yield_), formula.makes.quantity.value)
    held = []
    if isinstance(each, Fraction) and soap.made is None:
        for line in amounts.lines:
            share = composition.by_line.get(line.index)
            if share is not None and not line.is_fill:
                held.append((line.index, line.name, share * each))
    count = int(formula.makes.quantity.value)
    return Pieces(form=formula.makes.form, count=count, grams=each, holds=tuple(held))
