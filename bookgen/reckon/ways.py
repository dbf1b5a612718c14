"""Ways of measuring: for every weight of a line, whether it is weighed, counted in drops, thinned, or out of reach.

Enters: a line's drop mass, the balances, the accepted error, what it can be thinned with.  Leaves: `Piece`s for
ranges of the line's weight.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from ..model import Balance
from .droppers import DropMass
from .known import ONE, ZERO
from .measure import LARGEST_DROP_COUNT, balance_for, half_up, least_weighable, portions_on
from .plans import Plan, plans


class Measure(StrEnum):
    """How a line is measured at the bench."""

    WEIGH = "weigh"
    DROPS = "drops"
    DILUTE = "dilute"
    TRITURATE = "triturate"
    VOLUME = "volume"
    FILL = "fill"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One way of measuring, for a range of the line's weight; both ends belong to it, the first match wins.

    `Row.pieces` gives the same for ranges of the batch.
    """

    from_: Fraction
    """Smallest weight in grams (or count of drops)."""
    to: Fraction | None
    """Largest one; None without end."""
    measure: Measure
    """The way."""
    with_: str = ""
    """Balance or dropper; empty when there is none."""
    step: Fraction | None = None
    """Grams that the printed weight is a multiple of: the balance's step, for drops the finest balance's; None when
    no balance is stated."""
    portion: Fraction | None = None
    """Most grams that the balance holds at once; None when it never limits in this range."""
    drop: Fraction | None = None
    """Grams per drop, where the line can be counted."""
    low: Fraction | None = None
    """Lowest grams per drop."""
    high: Fraction | None = None
    """Highest grams per drop."""
    plan: Plan | None = None
    """The stock and its aliquot, where the line is diluted or triturated."""


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
class Bench:
    """The instruments, as far as one line is concerned."""

    finest: tuple[Balance, ...]
    """Balances, finest first."""
    error: Fraction
    """Accepted error of the line."""

    def __hash__(self) -> int:
        """Return a hash of the names alone: that of every figure would cost more than it tells apart."""
        return hash(tuple(one.name for one in self.finest))


@lru_cache(maxsize=512)
def fill_pieces(finest: tuple[Balance, ...]) -> tuple[Piece, ...]:
    """Return the fill's pieces by its exact weight in grams: it is always measured, on the balance that holds it."""
    corners = [one.capacity_g for one in finest if one.capacity_g is not None]
    return _by_choice(corners, lambda grams: on_balance(grams, finest, Measure.FILL))


@lru_cache(maxsize=4096)
def weight_pieces(
    bench: Bench, drop: DropMass | None, by_drops: bool, thinning: Thinning | None = None
) -> tuple[Piece, ...]:
    """Return a line's pieces by its exact weight in grams."""
    corners = [one.capacity_g for one in bench.finest if one.capacity_g is not None]
    corners += [least_weighable(one.readability_g, bench.error) for one in bench.finest]
    if drop is not None:
        corners += [count * drop.grams for count in _drop_corners(bench.error)]
        corners += () if by_drops else _sure_corners(drop, bench.error)
    for plan in _plans(bench, thinning):
        corners += [plan.least_g, plan.most_g]
    return _by_choice(corners, lambda grams: choose(grams, bench, drop, by_drops, thinning))


@lru_cache(maxsize=64)
def count_pieces(error: Fraction, dropper: str) -> tuple[Piece, ...]:
    """Return the pieces of a line by its drops, where it is not known what one weighs: counted, or not measured."""
    bench, unit = Bench(finest=(), error=error), DropMass(dropper=dropper, grams=ONE, low=ONE, high=ONE)

    def rule(count: Fraction) -> Piece:
        piece = _in_drops(count, bench, unit) or Piece(from_=ZERO, to=None, measure=Measure.NONE)
        return replace(piece, drop=None, low=None, high=None)

    return _by_choice(_drop_corners(error), rule)


def _drop_corners(error: Fraction) -> list[Fraction]:
    """Return the drop counts, as fractions of a drop, between which counting becomes possible or impossible."""
    half = Fraction(1, 2)
    corners = [LARGEST_DROP_COUNT + half, half]
    for count in range(1, LARGEST_DROP_COUNT + 1):
        low = max(count / (1 + error), count - half)
        high = count + half if error >= 1 else min(count / (1 - error), count + half)
        corners += [low, high]
    return corners


def choose(
    grams: Fraction, bench: Bench, drop: DropMass | None, by_drops: bool, thinning: Thinning | None = None
) -> Piece:
    """Return the way of measuring a weight: the best that the bench has.

    Written in drops, which is what the formula then means: drops if 1 to 30 and within the accepted error, else
    weighed if a balance can.  Written as a weight: weighed if a balance can, else drops if they are within the
    accepted error even where each is as light or heavy as drops of this liquid are known to be.  Else the mildest
    stock dilution or trituration; else drops by their mean weight, the spread told beside it.  Else it cannot be
    measured.

    Source: common practice, no source; the accepted error: University of North Carolina (T13-10).
    """
    if by_drops:
        found = _in_drops(grams, bench, drop) or _weighed(grams, bench) or _thinned(grams, bench, thinning)
    else:
        found = (
            _weighed(grams, bench)
            or _surely_in_drops(grams, bench, drop)
            or _thinned(grams, bench, thinning)
            or _in_drops(grams, bench, drop)
        )
    if found is not None:
        return found
    unmeasured = Piece(from_=ZERO, to=None, measure=Measure.NONE)
    return unmeasured if drop is None else replace(unmeasured, drop=drop.grams, low=drop.low, high=drop.high)


def _in_drops(grams: Fraction, bench: Bench, drop: DropMass | None) -> Piece | None:
    if drop is None:
        return None
    exact = grams / drop.grams
    count = half_up(exact, ONE)
    if not 1 <= count <= LARGEST_DROP_COUNT or abs(count - exact) > bench.error * exact:
        return None
    step = bench.finest[0].readability_g if bench.finest else None
    return Piece(
        from_=ZERO,
        to=None,
        measure=Measure.DROPS,
        with_=drop.dropper,
        step=step,
        drop=drop.grams,
        low=drop.low,
        high=drop.high,
    )


def _surely_in_drops(grams: Fraction, bench: Bench, drop: DropMass | None) -> Piece | None:
    """Return drops where the accepted error holds for the lightest and the heaviest drop alike."""
    piece = _in_drops(grams, bench, drop)
    if piece is None or drop is None:
        return None
    count = half_up(grams / drop.grams, ONE)
    surely = count * drop.high <= grams * (1 + bench.error) and count * drop.low >= grams * (1 - bench.error)
    return piece if surely else None


def _sure_corners(drop: DropMass, error: Fraction) -> list[Fraction]:
    """Return the weights between which counting becomes, or ceases to be, within the error for every drop."""
    if drop.high * (1 - error) > drop.low * (1 + error):
        return []  # drops that differ so much are never all within it
    counts = range(1, LARGEST_DROP_COUNT + 1)
    low = [count * drop.high / (1 + error) for count in counts]
    return low if error >= 1 else low + [count * drop.low / (1 - error) for count in counts]


@lru_cache(maxsize=64)
def plans_of(bench: Bench, measure: Measure) -> tuple[Plan, ...]:
    """Return every plan that the balances allow, the mildest first."""
    return plans(bench.finest, bench.error, powders=measure is Measure.TRITURATE)


def _plans(bench: Bench, thinning: Thinning | None) -> tuple[Plan, ...]:
    """Return the plans that the balances and the formula allow, the mildest first."""
    if thinning is None:
        return ()
    later = dict(thinning.from_g)
    return tuple(
        replace(plan, least_g=later[plan.factor]) if plan.factor in later else plan
        for plan in plans_of(bench, thinning.measure)
        if plan.factor in thinning.factors
    )


def _thinned(grams: Fraction, bench: Bench, thinning: Thinning | None) -> Piece | None:
    for plan in _plans(bench, thinning):
        if thinning is not None and plan.least_g <= grams <= plan.most_g:
            return Piece(from_=ZERO, to=None, measure=thinning.measure, with_=plan.with_, step=plan.step, plan=plan)
    return None


def _weighed(grams: Fraction, bench: Bench) -> Piece | None:
    piece = on_balance(grams, bench.finest, Measure.WEIGH)
    if piece.step is not None and grams < least_weighable(piece.step, bench.error):
        return None
    return piece


def on_balance(grams: Fraction, finest: tuple[Balance, ...], measure: Measure) -> Piece:
    balance = balance_for(grams, finest)
    if balance is None:
        return Piece(from_=ZERO, to=None, measure=measure)
    in_portions = portions_on(grams, balance) > 1
    return Piece(
        from_=ZERO,
        to=None,
        measure=measure,
        with_=balance.name,
        step=balance.readability_g,
        portion=balance.capacity_g if in_portions else None,
    )


def _by_choice(corners: Sequence[Fraction], rule: Callable[[Fraction], Piece]) -> tuple[Piece, ...]:
    """Return pieces that agree with a choice for every weight above 0, given all points where it may change.

    The choice is constant between two neighbouring corners.  A corner itself belongs to one of its sides (or stands
    alone); as both ends belong to a piece and the first match wins, pieces are sorted so that its owner comes first.
    """
    points = sorted({corner for corner in corners if corner > 0})
    ends: list[Fraction | None] = [ZERO, *points, None]
    middles = [
        (low + high) / 2 if high is not None else low + 1
        for low, high in zip([ZERO, *points], [*points, None], strict=True)
    ]
    found: list[Piece] = []
    after: dict[int, set[int]] = {}
    for number, middle in enumerate(middles):
        low, high = ends[number] or ZERO, ends[number + 1]
        way = rule(middle)
        if number:
            at_corner = rule(low)
            if at_corner not in (way, way_of(found[-1])):
                found.append(replace(at_corner, from_=low, to=low))
                after.setdefault(len(found) - 2, set()).add(len(found) - 1)
                after.setdefault(len(found), set()).add(len(found) - 1)
            elif way == way_of(found[-1]) == at_corner:
                found[-1] = replace(found[-1], to=high)
                continue
            elif at_corner == way:
                after.setdefault(len(found) - 1, set()).add(len(found))
            else:
                after.setdefault(len(found), set()).add(len(found) - 1)
        found.append(replace(way, from_=low, to=high))
    return tuple(found[number] for number in _sorted(len(found), after))


def way_of(piece: Piece) -> Piece:
    return replace(piece, from_=ZERO, to=None)


def _sorted(count: int, after: dict[int, set[int]]) -> list[int]:
    """Return the numbers below count, each after those it has to follow; neighbours only, so never a circle."""
    placed: dict[int, None] = {}
    for start in range(count):
        chain = [start]
        while chain:
            waiting = [one for one in after.get(chain[-1], ()) if one not in placed]
            if waiting:
                chain.append(waiting[0])
            else:
                placed[chain.pop()] = None
    return list(placed)
