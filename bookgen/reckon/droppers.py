"""Drops: what one drop weighs, stated or calibrated.

The drop mass depends on the liquid, the dropper and the hand; it always has a range.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from ..findings import Missing, Place, nearest
from ..fraction import Fraction
from ..model import Balance, DropperLine, DropperWeighing, Formula, Material
from ..wording.saying import Saying, says
from .measure import balance_for, finest_first
from .same import Same

STATED_SPREAD = Fraction(1, 3)
"""A single stated figure is taken as ± one third: studies of essential oils range from 20 to 40 drops per mL
around 27 (T03-09: summary of three weighing studies, 1999, 2000, 2016; relative spread 0.33)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DropMass:
    """What one drop of a liquid weighs."""

    dropper: str
    """The dropper's name."""
    grams: Fraction
    """Mean grams per drop."""
    low: Fraction
    """Lowest grams per drop."""
    high: Fraction
    """Highest grams per drop."""
    weighings: int = 0
    """How many weighings it is calibrated from; 0 when stated."""

    def __hash__(self) -> int:
        """Return a hash of the dropper and the mean: that of every figure would cost more than it tells apart."""
        return hash((self.dropper, self.grams.numerator, self.grams.denominator))


def drop_mass(line: DropperLine, balances: Sequence[Balance] = ()) -> DropMass | Missing:
    """Return what one drop weighs, in grams: all grams weighed ÷ all drops counted, with its range.

    The range goes from the lightest to the heaviest weighing, each a step of its balance off.  One weighing alone
    shows no spread, so its range is at least that of a stated drop.  The drop mass belongs to one liquid, one dropper
    and one hand; a stated figure stands until drops are weighed.

    `balances` are those that the drops can have been weighed on.

    Source: own arithmetic on a rule of the trade (weigh a counted number of drops several times and divide).

    >>> from bookgen.model import DropperWeighing
    >>> first = DropperWeighing(drops=20, grams=Fraction("0.52"))
    >>> second = DropperWeighing(drops=20, grams=Fraction("0.48"))
    >>> drop_mass(DropperLine(dropper="pipette", weighings=(first, second))).grams
    Fraction(1, 40)
    """
    if line.weighings:
        return _calibrated(line, finest_first(balances))
    if line.stated_g is None:
        return Missing(says=says("drop-mass-unread", dropper=line.dropper), place=line.place, reported=True)
    low, high = stated_range(line.stated_g)
    return DropMass(
        dropper=line.dropper,
        grams=line.stated_g,
        low=low if line.low_g is None else line.low_g,
        high=high if line.high_g is None else line.high_g,
    )


def _calibrated(line: DropperLine, finest: Sequence[Balance]) -> DropMass:
    """Return the drop mass that weighings come to."""
    mean = sum((weighing.grams for weighing in line.weighings), Fraction(0)) / sum(
        weighing.drops for weighing in line.weighings
    )
    steps = [step_of(weighing, finest) for weighing in line.weighings]
    ends = [
        ((weighing.grams - step) / weighing.drops, (weighing.grams + step) / weighing.drops)
        for weighing, step in zip(line.weighings, steps, strict=True)
    ]
    if len(ends) == 1:
        ends.append(stated_range(mean))
    low, high = min(low for low, _ in ends), max(high for _, high in ends)
    return DropMass(
        dropper=line.dropper, grams=mean, low=max(low, Fraction(0)), high=high, weighings=len(line.weighings)
    )


def step_of(weighing: DropperWeighing, finest: Sequence[Balance]) -> Fraction:
    """Return the step (grams) of the balance that drops were weighed on.

    It is taken to be the finest that holds them, where that can give such a weight; else the last digit written.

    Source: own choice, no source.

    >>> kitchen = Balance(name="kitchen scale", readability_g=Fraction(1))
    >>> step_of(DropperWeighing(drops=20, grams=Fraction(1), digit_g=Fraction(1)), [kitchen])
    Fraction(1, 1)
    >>> step_of(DropperWeighing(drops=20, grams=Fraction("0.52"), digit_g=Fraction("0.01")), [kitchen])
    Fraction(1, 100)
    """
    balance = balance_for(weighing.grams, finest)
    if balance is None or weighing.grams % balance.readability_g:
        return weighing.digit_g
    return balance.readability_g


@lru_cache(maxsize=512)
def stated_range(grams: Fraction) -> tuple[Fraction, Fraction]:
    """Return what a drop of a stated weight may really weigh, at least and at most: one third less, one third more.

    Published figures disagree widely: studies of essential oils range from 20 to 40 drops per mL around 27.

    Source: educational page summarising three weighing studies (1999, 2000, 2016), relative spread 0.33.

    >>> stated_range(Fraction("0.03"))
    (Fraction(1, 50), Fraction(1, 25))
    """
    return grams * (1 - STATED_SPREAD), grams * (1 + STATED_SPREAD)


def drop_mass_of(
    item: Material | Formula | None, dropper: str | None, place: Place, balances: Sequence[Balance]
) -> DropMass | Missing:
    """Return the drop mass of a material with the named dropper, or with the first that it lists."""
    if not isinstance(item, Material):
        none = says("no-drop-mass", name=item.title) if item else says("no-drop-mass-of-it")
        return Missing(says=none, place=place, cause="missing-drop-mass")
    wanted = None if dropper is None else dropper.casefold()
    for line in item.drops:
        if wanted is None or line.dropper.casefold() == wanted:
            return _mass_of(Same(line), Same(balances))
    told = _lists_none(item.name)
    if dropper:
        near = nearest(dropper, [line.dropper for line in item.drops])
        told = says(
            "no-mass-from-named" if "dropper" in dropper.casefold() else "no-mass-from-dropper",
            name=item.name,
            dropper=dropper,
            hint=says("perhaps-dropper", name=near) if near else None,
        )
    return Missing(says=told, place=place, cause="missing-drop-mass")


@lru_cache(maxsize=4096)
def _mass_of(line: Same[DropperLine], balances: Same[Sequence[Balance]]) -> DropMass | Missing:
    """Return what a drop weighs; many lines take the same material."""
    return drop_mass(line.record, balances.record)


# ── Judging weighings ─────────────────────────────────────────────────────────────────────────────────────────────

FEWEST_WEIGHINGS = 3
"""Weighings that a drop mass should rest on: of two, nobody knows which is the slip (common practice, no source)."""
FEWEST_DROPS = 10
"""Drops that one weighing should count: fewer, and one miscounted drop is more than a tenth (common practice, no
source)."""
WIDEST_SPREAD = Fraction(15, 100)
"""The volume error of a calibrated dropper is not over 15 % (T03-01: USP 32-NF 27, general chapter <1101>)."""


def spread(line: DropperLine) -> Fraction:
    """Return how far the weighing that lies furthest out is from the mean, as a share of the mean.

    A calibrated dropper is trusted up to 15 %; beyond that the weighings are queried.

    Source: limit by USP 32-NF 27, general chapter <1101> Medicine Dropper (volume error not over 15 % in normal use).

    >>> weighings = tuple(DropperWeighing(drops=20, grams=Fraction(grams)) for grams in ("0.48", "0.48", "0.54"))
    >>> spread(DropperLine(dropper="pipette", weighings=weighings))
    Fraction(2, 25)
    """
    each = [weighing.grams / weighing.drops for weighing in line.weighings]
    mean = sum((weighing.grams for weighing in line.weighings), Fraction(0)) / sum(
        weighing.drops for weighing in line.weighings
    )
    return max(abs(grams - mean) for grams in each) / mean


def drops_per_gram(mass: DropMass) -> Fraction:
    """Return how many drops are one gram.

    Source: own arithmetic.

    >>> drops_per_gram(DropMass(dropper="standard", grams=Fraction("0.05"), low=Fraction(0), high=Fraction(1)))
    Fraction(20, 1)
    """
    return 1 / mass.grams


def drops_per_ml(mass: DropMass, density: Fraction) -> Fraction:
    """Return how many drops are one millilitre of a liquid of that density in g/mL.

    Source: own arithmetic.

    >>> drops_per_ml(DropMass(dropper="p", grams=Fraction("0.033"), low=Fraction(0), high=Fraction(1)), Fraction("0.9"))
    Fraction(300, 11)
    """
    return density / mass.grams


@lru_cache(maxsize=4096)
def _lists_none(name: str) -> Saying:
    """Return that a material lists no drop mass: one saying for the many lines that take it."""
    return says("lists-no-drop-mass", name=name)
