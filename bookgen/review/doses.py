"""Rules on one dose: whether what it holds can be told, and whether there is so much of the product."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing
from ..fraction import Fraction
from ..reckon.doses import DoseFigure
from ..wording.saying import Saying, says
from .rule import Case, Said


def dose_not_known(case: Case) -> Iterator[Said]:
    """What one dose holds is not told without what it weighs; error.

    Source: own arithmetic.
    """
    dose = case.figures.dose
    if dose is None:
        return
    why = dose.grams
    if isinstance(why, Missing) and why.cause == "dose-not-known":
        yield Said(place=why.place, says=says("lacking", why=why.says, way=_way(case, dose)))


def _way(case: Case, dose: DoseFigure) -> Saying:
    """Return what to write instead, or beside it."""
    pieces = case.figures.pieces
    if pieces is not None:
        return says("count-dose", form=pieces.form.value)
    if dose.dose.form is not None:
        return says("measure-dose")
    if dose.dose.drops and dose.dose.grams is None:
        return says("weigh-drops", drops=dose.dose.drops)
    return says("weigh-volume")


def dose_beyond_batch(case: Case) -> Iterator[Said]:
    """One dose is not more than what the formula makes; error.

    Source: own arithmetic.
    """
    dose, makes = case.figures.dose, case.figures.flow.as_written
    if dose is None or isinstance(makes, Missing):
        return
    much = dose.grams if case.makes.unit == "g" else dose.ml
    if isinstance(much, Fraction) and much > makes:
        told = says("dose-beyond-batch", dose=dose.dose.text)
        yield Said(place=case.place_of("dose"), says=says("lacking", why=told, way=says("mend-dose")))
