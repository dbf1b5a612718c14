"""Water activity of the watery part, an estimate from sugar, polyols and salt: it decides nothing.

Enters: a formula's composition, what its materials were recognised as, its water.  Leaves: `WaterActivity`.  Ethanol,
propylene glycol and whatever else is dissolved is left aside, so that the true figure is rather lower.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from itertools import pairwise

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known
from ..reference.preservatives import SoluteRow, preservatives
from .composition import Composition
from .known import ONE, ZERO, times
from .recognised import Recognised

DIGITS = 15
"""Decimals to which a water activity is reckoned."""
REAL_PART = Fraction(1, 10)
"""Share of solutes and water from which on an estimate is told (own choice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterActivity:
    """An estimate of the water activity."""

    estimate: Fraction
    """Vapour pressure over it ÷ over water, to fifteen decimals."""
    rows: tuple[SoluteRow, ...]
    """What it was reckoned from, the most first."""
    is_most: bool
    """True where there is more of one than its figures reach, which counted as far as they do."""


def water_activity(
    composition: Composition, known_as: Mapping[str, Sequence[Recognised]], water: Known
) -> WaterActivity | None:
    """Return an estimate of the water activity, where sugar, polyols and salt are a tenth of them and the water.

    Each solute is taken alone with all of the water, and the figures are multiplied.  No more of one counts than its
    figures reach, as what does not dissolve holds no water.  What is not known adds nothing.

    Source: product of Ross; that it is told from a tenth on, own choice, no source.
    """
    shares, table = composition.shares, preservatives().activity
    if isinstance(shares, Missing) or isinstance(water, Missing):
        return None
    grams: dict[str, Fraction] = {}
    for key, share in shares.items():
        for told in known_as.get(key, ()):
            if told.substance in table.solutes and key not in composition.at_most:
                part = times(told.low, share)
                grams[told.substance] = grams.get(told.substance, ZERO) + (ZERO if isinstance(part, Missing) else part)
    total = sum(grams.values(), ZERO)
    if not water or not total or total < REAL_PART * (total + water):
        return None
    estimate, rows, is_most = ONE, [], False
    for substance, mass in sorted(grams.items(), key=lambda solute: -solute[1]):
        row = table.solutes[substance]
        part = mass / (mass + water)
        is_most = is_most or part > row.to
        estimate *= activity_over(row, min(part, row.to))
        rows.append(row)
    return WaterActivity(estimate=round(estimate, DIGITS), rows=tuple(rows), is_most=is_most)


def activity_over(row: SoluteRow, share: Fraction) -> Fraction:
    """Return the water activity of a solution of one solute, by its share of the weight.

    Moles of the solute ÷ moles of it and of water are x: then it is (1 − x) × e to the power of −K × x².  For sodium
    chloride it lies between two published figures in a straight line.  The power is no fraction, so it is reckoned to
    fifteen decimals.

    Source: equation of Norrish; K and figures as in the table of preservatives.

    >>> glycerol = preservatives().activity.solutes["Glycerol"]
    >>> round(float(activity_over(glycerol, Fraction(3, 10))), 4)
    0.9163
    """
    if row.points:
        (from_, high), (to, low) = next(ends for ends in pairwise(row.points) if share <= ends[1][0])
        return high - (high - low) * (share - from_) / (to - from_)
    moles = share / row.molar_mass
    part = moles / (moles + (ONE - share) / preservatives().activity.water)
    with localcontext() as context:
        context.prec = 2 * DIGITS
        power = row.k * part * part
        return (ONE - part) * Fraction((-Decimal(power.numerator) / power.denominator).exp())
