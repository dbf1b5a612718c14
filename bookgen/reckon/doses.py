"""What one dose holds.

Enters: a formula that says what one dose is, its amounts, its composition.  Leaves: `DoseFigure`.  How much to
take, and how often, is nobody's business here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import Dose, Formula, Known, PieceForm
from ..wording.saying import says
from .amounts import Amounts, LineFigure
from .composition import Composition
from .droppers import stated_range
from .functions import ACTIVE, items_of
from .known import ONE, times
from .pieces import Pieces
from .standing import StrengthOf, by_density, substance_of


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldInDose:
    """What one dose holds of one line."""

    index: int
    """The line's number."""
    name: str
    """The substance that the line is written as, else the line's name."""
    grams: Known
    """Grams of it."""
    at_most: bool
    """True where only the most is known that stays of the line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseFigure:
    """One dose of the finished product."""

    dose: Dose
    """As written."""
    grams: Known
    """Grams of the product."""
    low: Known
    """The least that they may be: of drops that another dropper gives."""
    high: Known
    """The most that they may be."""
    ml: Known
    """Millilitres of the product."""
    holds: tuple[HeldInDose, ...]
    """What it holds of each line called active; where none is, of each that counts but for the fill."""


def is_active(line: LineFigure) -> bool:
    """Tell whether a line is called active by its function."""
    return not ACTIVE.isdisjoint(items_of(line.line.function))


def dose_of(
    formula: Formula, amounts: Amounts, composition: Composition, pieces: Pieces | None, strength: StrengthOf
) -> DoseFigure | None:
    """Return what one dose holds of each active, where the formula says what one dose is.

    A dose in g, or in drops whose weight is written with it, is that share of the product's weight; one in mL is
    weighed by the product's density, and so many pieces by what one weighs.  Of each line it holds the line's share of
    the finished product, and of a line written as a substance that substance.  Of a formula by volume without a density
    a dose in mL holds its share of what each line weighs.  Lines called active are told; where none is, all but the
    fill.  That is what a dose holds, never how much to take.

    Source: own arithmetic.
    """
    dose = formula.dose
    if dose is None:
        return None
    grams = _grams(dose, formula, amounts, pieces)
    low, high = stated_range(grams) if dose.drops and isinstance(grams, Fraction) else (grams, grams)
    ml = by_density(grams, formula.density, to_ml=True) if dose.ml is None else dose.ml
    lines = [line for line in amounts.lines if line.counts and is_active(line)]
    lines = lines or [line for line in amounts.lines if line.counts and not line.is_fill]
    return DoseFigure(
        dose=dose,
        grams=grams,
        low=low,
        high=high,
        ml=ml,
        holds=tuple(_held(lines, grams, _share_by_volume(dose, amounts), composition, strength)),
    )


def _grams(dose: Dose, formula: Formula, amounts: Amounts, pieces: Pieces | None) -> Known:
    place, cause = formula.places["dose"], "dose-not-known"
    if dose.form is not None and pieces is None:
        return Missing(says=says("dose-no-pieces", dose=dose.text), place=place, cause=cause)
    if pieces is not None:
        if dose.form not in (pieces.form, PieceForm.PIECES):
            told = says("dose-other-pieces", form=pieces.form.value, dose=dose.text)
            return Missing(says=told, place=place, cause=cause)
        return times(pieces.grams, Fraction(dose.pieces))
    without_density = Missing(says=says("dose-without-density", dose=dose.text), place=place, cause=cause)
    by_volume, density = amounts.makes.unit == "mL", formula.density
    if dose.ml is not None:
        return by_density(dose.ml, density, to_ml=False) if by_volume or density is not None else without_density
    if dose.grams is None:
        return Missing(says=says("dose-of-drops", dose=dose.text), place=place, cause=cause)
    return without_density if by_volume and density is None else dose.grams


def _share_by_volume(dose: Dose, amounts: Amounts) -> Fraction | None:
    """Return which share of a formula by volume a dose in mL is, where nothing of it is lost on the way."""
    makes = amounts.makes
    if dose.ml is None or makes.unit != "mL" or not isinstance(makes.amount, Fraction):
        return None
    lines = [line.line for line in amounts.lines if line.counts]
    if any(line.left is not None or (line.evaporates is not None and not line.made_up) for line in lines):
        return None
    return dose.ml / makes.amount


def _held(
    lines: list[LineFigure],
    grams: Known,
    share: Fraction | None,
    composition: Composition,
    strength: StrengthOf,
) -> Iterator[HeldInDose]:
    for line in lines:
        unknown = grams if isinstance(grams, Missing) else composition.shares
        if not isinstance(unknown, Missing):
            held = times(grams, composition.by_line[line.index])
        else:
            held = unknown if share is None else times(line.grams, share)
        substance = substance_of(line.line)
        per_gram = ONE if substance is None else strength(line.key, substance, line.line.amount_place)
        left = line.line.left
        yield HeldInDose(
            index=line.index,
            name=substance or line.name,
            grams=times(held, per_gram),
            at_most=left is not None and left.at_most,
        )
