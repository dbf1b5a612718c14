"""Corners: the weights at which another way of measuring begins to be the best, and the pieces between them.

Enters: a line's drop mass, the balances, the accepted error, what it can be thinned with.  Leaves: `Piece`s for all
weights, or counts, of the line.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby, pairwise
from math import ceil, floor

from ..fraction import Fraction
from ..model import Balance
from .droppers import DropMass
from .known import ONE, ZERO
from .measure import LARGEST_COARSE_COUNT, LARGEST_DROP_COUNT, portions_on
from .ways import (
    HALF,
    Instruments,
    Measure,
    Piece,
    Thinning,
    by_count,
    choose,
    divides,
    in_drops,
    off_by,
    on_balance,
    plans_for,
    spread_of,
)


@lru_cache(maxsize=512)
def fill_pieces(instruments: Instruments) -> tuple[Piece, ...]:
    """Return the fill's pieces by its exact weight in grams: it is always weighed, on the balance that does it best."""
    return _by_choice(_balance_corners(instruments), lambda grams: on_balance(grams, instruments, Measure.FILL))


@lru_cache(maxsize=4096)
def weight_pieces(
    instruments: Instruments, drop: DropMass | None, by_drops: bool, thinning: Thinning | None = None
) -> tuple[Piece, ...]:
    """Return a line's pieces by its exact weight in grams."""
    corners = _balance_corners(instruments)
    if drop is not None:
        corners += [count * drop.grams for count in _drop_corners(instruments.error)]
        corners += _surer_corners(instruments, drop) if by_drops else _sure_corners(drop, instruments.error)
        corners += _coarse_corners(instruments, drop)
    for plan in plans_for(instruments, thinning):
        corners += [plan.least_g, plan.most_g]
    return _by_choice(corners, lambda grams: choose(grams, instruments, drop, by_drops, thinning))


@lru_cache(maxsize=64)
def count_pieces(error: Fraction, dropper: str) -> tuple[Piece, ...]:
    """Return the pieces of a line by its drops, where it is not known what one weighs: counted, well or coarsely."""
    instruments, unit = Instruments(finest=(), error=error), DropMass(dropper=dropper, grams=ONE, low=ONE, high=ONE)

    def rule(count: Fraction) -> Piece:
        piece = in_drops(count, instruments, unit) or by_count(count, instruments, unit)
        return replace(piece or Piece(from_=ZERO, to=None, measure=Measure.NONE), drop=None, low=None, high=None)

    return _by_choice(_drop_corners(error), rule)


def _drop_corners(error: Fraction) -> list[Fraction]:
    """Return the drop counts, as fractions of a drop, between which counting becomes possible or impossible."""
    corners = [LARGEST_DROP_COUNT + HALF, HALF]
    for count in range(1, LARGEST_DROP_COUNT + 1):
        low = max(count / (1 + error), count - HALF)
        high = count + HALF if error >= 1 else min(count / (1 - error), count + HALF)
        corners += [low, high]
    return corners


def _sure_corners(drop: DropMass, error: Fraction) -> list[Fraction]:
    """Return the weights between which counting becomes, or ceases to be, within the error for every drop."""
    if drop.high * (1 - error) > drop.low * (1 + error):
        return []  # drops that differ so much are never all within it
    counts = range(1, LARGEST_DROP_COUNT + 1)
    low = [count * drop.high / (1 + error) for count in counts]
    return low if error >= 1 else low + [count * drop.low / (1 - error) for count in counts]


def _surer_corners(instruments: Instruments, drop: DropMass) -> list[Fraction]:
    """Return the weights from which a balance is surer than the dropper, in any number of portions that drops fill."""
    uneven = spread_of(drop)
    if not uneven:
        return []
    largest = (LARGEST_DROP_COUNT + 1) * drop.grams
    found: list[Fraction] = []
    for balance in instruments.finest:
        most = portions_on(largest, balance)
        found += [number * balance.readability_g / uneven for number in range(1, most + 1)]
    return found


def _coarse_corners(instruments: Instruments, drop: DropMass) -> list[Fraction]:
    """Return the weights between which weighing or counting is the less wrong, where neither is within the error.

    Both errors run straight between half steps, half drops, and the middles of what a count or a reading stands for;
    where they cross is worked out for each count whose error can be above the balance's and below it.
    """
    found = [(LARGEST_COARSE_COUNT + HALF) * drop.grams]
    points = sorted({ZERO, *_balance_corners(instruments)})
    for from_, to in pairwise(points):
        piece = on_balance((from_ + to) / 2, instruments, Measure.WEIGH)
        if not piece.coarse or piece.step is None:
            continue
        step, off = piece.step, off_by((from_ + to) / 2, piece)
        for count in _doubtful_counts(drop, off, step, to):
            heavy, light = count * drop.high, count * drop.low
            low, high = max((count - HALF) * drop.grams, from_), min((count + HALF) * drop.grams, to)
            if low > high:
                continue
            found += [low, high, (heavy + light) / 2]
            for reading in range(floor(low / step), ceil(high / step) + 1):
                shown = reading * step
                crossing = (shown, shown - step / 2, (shown + off + light) / 2, (shown - off + heavy) / 2)
                found += [point for point in crossing if low <= point <= high]
    return found


def _doubtful_counts(drop: DropMass, off: Fraction, step: Fraction, top: Fraction) -> range:
    """Return the counts up to a weight whose error may be as large as that of a weighing that is `off` grams off."""
    last = min(floor(top / drop.grams + HALF), LARGEST_COARSE_COUNT)
    if drop.high > drop.low:  # beyond this count every weighing is less wrong
        last = min(last, floor((2 * off + step) / (drop.high - drop.low)) + 1)
    widest = max(drop.high - drop.grams, drop.grams - drop.low)
    if not widest and drop.grams < 2 * off:  # every count is less wrong
        return range(0)
    first = max(1, floor((off - drop.grams / 2) / widest)) if widest else 1
    return range(first, last + 1)


def _balance_corners(instruments: Instruments) -> list[Fraction]:
    """Return the weights at which another balance, or another number of portions, begins or ceases to be the best."""
    corners = [balance.capacity_g for balance in instruments.finest if balance.capacity_g is not None]
    for balance in instruments.finest:
        step, capacity = balance.readability_g, balance.capacity_g
        corners += [step / 2, step / instruments.error]
        if capacity is None:
            continue
        for number in range(2, _portions_judged(balance, instruments) + 1):
            corners += [number * capacity, number * step / instruments.error]
    return corners


def _portions_judged(balance: Balance, instruments: Instruments) -> int:
    """Return up to how many portions on a balance have to be judged one by one.

    More are all within the accepted error; or, where full portions are not, a coarser balance is less wrong.
    """
    step, capacity = balance.readability_g, balance.capacity_g
    if capacity is None:
        return 1
    coarser = [other.readability_g for other in instruments.finest if other.readability_g > step]
    larger = [
        other.capacity_g for other in instruments.finest if other.capacity_g is None or other.capacity_g > capacity
    ]
    if divides(balance, instruments):
        return ceil(1 / (1 - step / (instruments.error * capacity)))
    if not larger or not coarser:
        return 1
    return ceil(max(coarser) / step)


def _by_choice(corners: Sequence[Fraction], rule: Callable[[Fraction], Piece]) -> tuple[Piece, ...]:
    """Return pieces that agree with a choice for every weight above 0, given all points where it may change.

    The choice is constant between two neighbouring corners.  A corner itself belongs to one of its sides (or stands
    alone); as both ends belong to a piece and the first match wins, pieces are sorted so that its owner comes first.
    """
    in_order = sorted(corner for corner in corners if corner.numerator > 0)
    points = [corner for corner, _ in groupby(in_order)]  # each once; compared, as hashing a fraction costs more
    ends: list[Fraction | None] = [ZERO, *points, None]
    middles = [
        (low + high) / 2 if high is not None else low + 1
        for low, high in zip([ZERO, *points], [*points, None], strict=True)
    ]
    found: list[tuple[Piece, Fraction, Fraction | None]] = []
    after: dict[int, set[int]] = {}
    last: Piece | None = None
    for number, middle in enumerate(middles):
        low, high = ends[number] or ZERO, ends[number + 1]
        way = rule(middle)
        if last is not None:
            at_corner = rule(low)
            if at_corner not in (way, last):
                found.append((at_corner, low, low))
                after.setdefault(len(found) - 2, set()).add(len(found) - 1)
                after.setdefault(len(found), set()).add(len(found) - 1)
            elif way == last == at_corner:
                found[-1] = (*found[-1][:2], high)
                continue
            elif at_corner == way:
                after.setdefault(len(found) - 1, set()).add(len(found))
            else:
                after.setdefault(len(found), set()).add(len(found) - 1)
        found.append((way, low, high))
        last = way
    pieces = [replace(way, from_=from_, to=to) for way, from_, to in found]
    return tuple(pieces[number] for number in _sorted(len(pieces), after))


def _sorted(count: int, after: dict[int, set[int]]) -> list[int]:
    """Return the numbers below count, each after those it has to follow; neighbours only, so never a circle."""
    placed: dict[int, None] = {}
    for start in range(count):
        chain = [start]
        while chain:
            waiting = [name for name in after.get(chain[-1], ()) if name not in placed]
            if waiting:
                chain.append(waiting[0])
            else:
                placed[chain.pop()] = None
    return list(placed)
