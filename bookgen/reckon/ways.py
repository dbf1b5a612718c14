"""Ways of measuring: for a weight of a line, whether it is weighed, counted in drops or thinned, and how well.

Enters: a weight, the line's drop mass, the balances, the accepted error, what it can be thinned with.  Leaves: the best
way, as a `Piece`; `corners.py` makes of it the pieces for every weight.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from math import ceil

from ..fraction import Fraction
from ..model import Balance
from ..swift import swift
from .droppers import DropMass
from .known import ZERO
from .measure import LARGEST_COARSE_COUNT, LARGEST_DROP_COUNT, half_up, largest_of, portions_on, whole_steps
from .plans import Plan, plans

HALF = Fraction(1, 2)
"""Half of a step, or of a drop: rounding goes so far."""


class Measure(StrEnum):
    """How a line is measured at the bench."""

    WEIGH = "weigh"
    DROPS = "drops"
    DILUTE = "dilute"
    TRITURATE = "triturate"
    VOLUME = "volume"
    FILL = "fill"
    NONE = "none"


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One way of measuring, for a range of the line's weight; both ends belong to it, the first match wins."""

    from_: Fraction
    """Smallest weight in grams (or count of drops)."""
    to: Fraction | None
    """Largest one; None without end."""
    measure: Measure
    """The way."""
    with_: str = ""
    """Balance or dropper; empty when there is none."""
    step: Fraction | None = None
    """The balance's step in grams, of which the printed weight is a multiple; for drops that of the finest balance;
    None when no balance is stated."""
    portion: Fraction | None = None
    """Most grams that the balance holds at once; None when it never limits in this range, and where it holds any."""
    drop: Fraction | None = None
    """Grams per drop, where the line can be counted."""
    low: Fraction | None = None
    """Lowest grams per drop."""
    high: Fraction | None = None
    """Highest grams per drop."""
    plan: Plan | None = None
    """The stock and its aliquot, where the line is diluted or triturated."""
    coarse: bool = False
    """True where nothing measures it within the accepted error, and this way is the least wrong."""
    beside: bool = False
    """True where it is weighed and its whole count of drops stands beside the weight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thinning:
    """How a line can be thinned in its formula."""

    measure: Measure
    """`dilute` in a liquid, `triturate` with a powder."""
    factors: tuple[int, ...]
    """The factors that the formula leaves room for, the mildest first."""
    from_g: tuple[tuple[int, Fraction], ...] = ()
    """Factor → grams of the line from which it serves, where below its stock would be larger than the batch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Instruments:
    """The instruments, as far as one line is concerned."""

    finest: tuple[Balance, ...]
    """Balances, finest first."""
    error: Fraction
    """Accepted error of the line."""
    judged: bool = True
    """False for what is taken out again: it is weighed as well as the balance can, and no error is asked of it."""

    def __hash__(self) -> int:
        """Return a hash of the finest balance's name: that of every figure would cost more than it tells apart."""
        return hash(self.finest[0].name) if self.finest else 0


def choose(
    grams: Fraction, instruments: Instruments, drop: DropMass | None, by_drops: bool, thinning: Thinning | None = None
) -> Piece:
    """Return the way of measuring a weight: the best that the bench has.

    A line written in drops is counted if that is 1 to 30 drops and within the accepted error; but where a balance
    weighs it within that error and is surer than the dropper, it is weighed, with the count beside it.  A line written
    as a weight is weighed if a balance can do so within the accepted error; if none can, it is counted in drops, where
    these are within it even if each is as light or as heavy as drops of this liquid are known to be.  Failing that, the
    mildest stock dilution or trituration is taken; failing that, drops by their mean weight, with the spread told
    beside it.  Where nothing is within the accepted error, a weight is never hidden: it is
    weighed or counted coarsely, whichever is less wrong at the worst.  What is less than half a step of the balance and
    less than half a drop is shown exactly, as nothing measures it.

    Source: common practice, no source; the accepted error: University of North Carolina (T13-10).
    """
    if not instruments.judged:
        counted = by_count(grams, instruments, drop) if by_drops else None
        found = counted or _at_best(grams, instruments) or by_count(grams, instruments, drop)
        return _unmeasured(drop) if found is None else replace(found, coarse=False)
    weighed = _weighed(grams, instruments)
    if not by_drops:
        return (
            weighed
            or _surely_in_drops(grams, instruments, drop)
            or _thinned(grams, instruments, thinning)
            or in_drops(grams, instruments, drop)
            or _coarsely(grams, instruments, drop)
        )
    counted = in_drops(grams, instruments, drop)
    if drop is not None and counted is not None and weighed is not None:
        if weighed.step is not None and off_by(grams, weighed) < spread_of(drop) * grams:
            return replace(weighed, beside=True, drop=drop.grams, low=drop.low, high=drop.high)
        return counted
    return counted or weighed or _thinned(grams, instruments, thinning) or _coarsely(grams, instruments, drop)


def spread_of(drop: DropMass) -> Fraction:
    """Return what a drop may be off at most, as a share of the mean."""
    return max(drop.high - drop.grams, drop.grams - drop.low) / drop.grams


def _unmeasured(drop: DropMass | None) -> Piece:
    piece = Piece(from_=ZERO, to=None, measure=Measure.NONE)
    return piece if drop is None else replace(piece, drop=drop.grams, low=drop.low, high=drop.high)


def _coarsely(grams: Fraction, instruments: Instruments, drop: DropMass | None) -> Piece:
    """Return the less wrong of weighing and counting, where neither is within the accepted error."""
    weighed, counted = _at_best(grams, instruments), by_count(grams, instruments, drop)
    if weighed is None or weighed.step is None:
        return counted or weighed or _unmeasured(drop)
    if drop is None:
        return weighed
    step, weighed = weighed.step, replace(weighed, drop=drop.grams, low=drop.low, high=drop.high)
    if counted is None or grams >= (LARGEST_COARSE_COUNT + HALF) * drop.grams:
        return weighed
    weighing_off = abs(half_up(grams, step) - grams) + off_by(grams, weighed)
    count = whole_steps(grams, drop.grams)
    counting_off = max(count * drop.high - grams, grams - count * drop.low)
    return weighed if weighing_off <= counting_off else counted


def _at_best(grams: Fraction, instruments: Instruments) -> Piece | None:
    """Return the least wrong weighing; None for what is less than half a step, which the balance does not show."""
    piece = on_balance(grams, instruments, Measure.WEIGH)
    return None if piece.step is not None and 2 * grams < piece.step else piece


def off_by(grams: Fraction, piece: Piece) -> Fraction:
    """Return what weighing may be off at most, in grams: one step of the balance for each portion."""
    assert piece.step is not None
    return piece.step if piece.portion is None else ceil(grams / piece.portion) * piece.step


def _counted(instruments: Instruments, drop: DropMass) -> Piece:
    return Piece(
        from_=ZERO,
        to=None,
        measure=Measure.DROPS,
        with_=drop.dropper,
        step=instruments.finest[0].readability_g if instruments.finest else None,
        drop=drop.grams,
        low=drop.low,
        high=drop.high,
    )


def by_count(grams: Fraction, instruments: Instruments, drop: DropMass | None) -> Piece | None:
    """Return drops, however many and however wrong; None for what is less than half a drop."""
    if drop is None or 2 * grams < drop.grams:
        return None
    return replace(_counted(instruments, drop), coarse=True)


def in_drops(grams: Fraction, instruments: Instruments, drop: DropMass | None) -> Piece | None:
    if drop is None:
        return None
    count = whole_steps(grams, drop.grams)
    if not 1 <= count <= LARGEST_DROP_COUNT or abs(count * drop.grams - grams) > instruments.error * grams:
        return None
    return _counted(instruments, drop)


def _surely_in_drops(grams: Fraction, instruments: Instruments, drop: DropMass | None) -> Piece | None:
    """Return drops where the accepted error holds for the lightest and the heaviest drop alike."""
    piece = in_drops(grams, instruments, drop)
    if piece is None or drop is None:
        return None
    count = whole_steps(grams, drop.grams)
    surely = count * drop.high <= grams * (1 + instruments.error) and count * drop.low >= grams * (
        1 - instruments.error
    )
    return piece if surely else None


@lru_cache(maxsize=64)
def plans_of(instruments: Instruments, measure: Measure) -> tuple[Plan, ...]:
    """Return every plan that the balances allow, the mildest first."""
    return plans(instruments.finest, instruments.error, powders=measure is Measure.TRITURATE)


@lru_cache(maxsize=256)
def plans_for(instruments: Instruments, thinning: Thinning | None) -> tuple[Plan, ...]:
    """Return the plans that the balances and the formula allow, the mildest first."""
    if thinning is None:
        return ()
    later = dict(thinning.from_g)
    return tuple(
        replace(plan, least_g=later[plan.factor]) if plan.factor in later else plan
        for plan in plans_of(instruments, thinning.measure)
        if plan.factor in thinning.factors
    )


def _thinned(grams: Fraction, instruments: Instruments, thinning: Thinning | None) -> Piece | None:
    for plan in plans_for(instruments, thinning):
        if thinning is not None and plan.least_g <= grams <= plan.most_g:
            return Piece(from_=ZERO, to=None, measure=thinning.measure, with_=plan.with_, step=plan.step, plan=plan)
    return None


def _weighed(grams: Fraction, instruments: Instruments) -> Piece | None:
    """Return a weighing within the accepted error; None where no balance weighs so little, or so much, so well."""
    piece = on_balance(grams, instruments, Measure.WEIGH)
    return None if piece.coarse else piece


def on_balance(grams: Fraction, instruments: Instruments, measure: Measure) -> Piece:
    """Return how a weight is weighed: on which balance, and in how many portions.

    On the finest balance that holds it at once within the accepted error.  Where none does, in portions, each of which
    is a weighing, on the largest balance that stays within it so; else on the balance that is least wrong, in portions
    or at once, and above all balances on the largest.  A balance that states no capacity holds anything.

    Source: common practice, no source; the error of a weighing is one step (T04-01).
    """
    if not instruments.finest:
        return Piece(from_=ZERO, to=None, measure=measure)
    balance, within = _balance(grams, instruments)
    return Piece(
        from_=ZERO,
        to=None,
        measure=measure,
        with_=balance.name,
        step=balance.readability_g,
        # The fill takes up what others are rounded by, so it may weigh more than its exact weight says.
        portion=balance.capacity_g if measure is Measure.FILL or portions_on(grams, balance) > 1 else None,
        coarse=not within,
    )


def _balance(grams: Fraction, instruments: Instruments) -> tuple[Balance, bool]:
    """Return the balance for a weight, and whether it weighs within the accepted error."""
    accepted = instruments.error * grams
    portions: list[tuple[int, Balance]] = []
    for balance in instruments.finest:
        number = portions_on(grams, balance)
        if number == 1 and balance.readability_g <= accepted:
            return balance, True
        portions.append((number, balance))
    within = [
        balance
        for number, balance in portions
        if number > 1 and number * balance.readability_g <= accepted and divides(balance, instruments)
    ]
    if within:
        return largest_of(within), True
    if all(number > 1 for number, _ in portions):
        return largest_of(instruments.finest), False
    return min(portions, key=lambda way: (way[0] * way[1].readability_g, way[0]))[1], False


def divides(balance: Balance, instruments: Instruments) -> bool:
    """Tell whether full portions on a balance are within the accepted error, so that any number of them can be."""
    return balance.capacity_g is not None and balance.readability_g < instruments.error * balance.capacity_g
