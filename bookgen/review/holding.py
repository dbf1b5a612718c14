"""Whether a product holds together: more than dissolves, oil that floats on water, water that parts from oil.

Enters: a formula's `Dissolving` and `Carrying`.  Leaves: queries.  Whether an emulsion holds only a trial tells.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..reckon.dissolving import Dissolved, Solute
from ..reckon.holding import told_of_apart, told_of_solute, told_of_sum
from ..wording.saying import Saying, says
from .rule import Case, Said


def more_than_dissolves(case: Case) -> Iterator[Said]:
    """A product holds no more of a substance than its water dissolves at room temperature; query.

    Source: `dissolving.yaml`, row by row, or the material's file.
    """
    yield from _said(case, Dissolved.BEYOND)


def perhaps_more_than_dissolves(case: Case) -> Iterator[Said]:
    """What a product may hold of a substance, its water dissolves at room temperature in any case; query.

    Source: `dissolving.yaml`, row by row, or the material's file.
    """
    yield from _said(case, Dissolved.CROSSES)


def _said(case: Case, outcome: Dissolved) -> Iterator[Said]:
    for solute in case.figures.dissolving.judged:
        if solute.outcome is outcome:
            yield Said(place=case.line_with(solute.materials), says=_asked(solute))


def _asked(solute: Solute) -> Saying:
    told = told_of_solute(solute)
    if solute.acid and solute.ph is not None:
        return says("more-acid-than-dissolves", told=told)
    # what its file says how much dissolves of is the keeper's to know
    solid = says("left-solid") if solute.row is None or solute.row.left_solid else None
    solvents = tuple(solvent.value for solvent in solute.solvents)
    return says("more-than-dissolves", told=told, solvents=solvents, solid=solid)


def want_more_water(case: Case) -> Iterator[Said]:
    """Substances that each dissolve want no more water together than there is; query.

    Source: help desk of Belgian pharmacists, borax and hydrogen carbonate in a mouth rinse (2013).
    """
    together = case.figures.dissolving.together
    if together is not None:
        place = case.line_with(together.solutes[0].materials)
        yield Said(place=place, says=says("want-more-water", told=told_of_sum(together)))


def oil_not_carried(case: Case) -> Iterator[Said]:
    """What dissolves in oil and not in water is carried by something where it is in water; query.

    Source: common practice, no source.
    """
    carrying = case.figures.carrying
    if carrying.floats and carrying.apart and not _is_told_within(case):
        ethanol = says("carry-with-ethanol") if carrying.bears_ethanol else None
        told = told_of_apart(carrying, case.reckoning.book.materials)
        yield Said(
            place=case.line_with(carrying.apart),
            says=says("carry-oil", told=told, count=len(carrying.apart), ethanol=ethanol),
        )


def water_not_carried(case: Case) -> Iterator[Said]:
    """Water, and what dissolves in water and not in oil, is carried by something where it is in oil or wax; query.

    Source: common practice, no source.
    """
    carrying = case.figures.carrying
    if not carrying.floats and carrying.apart and not _is_told_within(case):
        told = told_of_apart(carrying, case.reckoning.book.materials)
        yield Said(place=case.line_with(carrying.apart), says=says("carry-water", told=told, count=len(carrying.apart)))


def _is_told_within(case: Case) -> bool:
    """Tell whether an intermediate has the finding already."""
    apart = frozenset(case.figures.carrying.apart)
    inner = (case.reckoning.figures.get(line.key) for line in case.lines if line.counts)
    return any(figures is not None and apart <= frozenset(figures.carrying.apart) for figures in inner)
