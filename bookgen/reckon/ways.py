"""Ways of measuring: for every weight of a line, whether it is weighed, counted in drops or thinned, and how well.

Enters: a line's drop mass, the balances, the accepted error, what it can be thinned with.  Leaves: `Piece`s for
ranges of the line's weight.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import ceil, floor

from ..model import Balance
from .droppers import DropMass
from .known import ONE, ZERO
from .measure import LARGEST_COARSE_COUNT, LARGEST_DROP_COUNT, half_up, largest_of, portions_on
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
class Bench:
    """The instruments, as far as one line is concerned."""

    finest: tuple[Balance, ...]
    """Balances, finest first."""
    error: Fraction
    """Accepted error of the line."""
    judged: bool = True
    """False for what is taken out again: it is weighed as well as the balance can, and no error is asked of it."""

    def __hash__(self) -> int:
        """Return a hash of the names alone: that of every figure would cost more than it tells apart."""
        return hash(tuple(one.name for one in self.finest))


@lru_cache(maxsize=512)
def fill_pieces(bench: Bench) -> tuple[Piece, ...]:
    """Return the fill's pieces by its exact weight in grams: it is always weighed, on the balance that does it best."""
    return _by_choice(_balance_corners(bench), lambda grams: on_balance(grams, bench, Measure.FILL))


@lru_cache(maxsize=4096)
def weight_pieces(
    bench: Bench, drop: DropMass | None, by_drops: bool, thinning: Thinning | None = None
) -> tuple[Piece, ...]:
    """Return a line's pieces by its exact weight in grams."""
    corners = _balance_corners(bench)
    if drop is not None:
        corners += [count * drop.grams for count in _drop_corners(bench.error)]
        corners += _surer_corners(bench, drop) if by_drops else _sure_corners(drop, bench.error)
        corners += _coarse_corners(bench, drop)
    for plan in _plans(bench, thinning):
        corners += [plan.least_g, plan.most_g]
    return _by_choice(corners, lambda grams: choose(grams, bench, drop, by_drops, thinning))


@lru_cache(maxsize=64)
def count_pieces(error: Fraction, dropper: str) -> tuple[Piece, ...]:
    """Return the pieces of a line by its drops, where it is not known what one weighs: counted, well or coarsely."""
    bench, unit = Bench(finest=(), error=error), DropMass(dropper=dropper, grams=ONE, low=ONE, high=ONE)

    def rule(count: Fraction) -> Piece:
        piece = _in_drops(count, bench, unit) or _by_count(count, bench, unit)
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


def choose(
    grams: Fraction, bench: Bench, drop: DropMass | None, by_drops: bool, thinning: Thinning | None = None
) -> Piece:
    """Return the way of measuring a weight: the best that the bench has.

    Written in drops, which is what the formula then means: drops if 1 to 30 and within the accepted error; but where a
    balance weighs within it and is surer than the dropper, the weight, with the count beside it.  Written as a weight:
    weighed if a balance can within the accepted error, else drops if they are within it even where each is as light or
    heavy as drops of this liquid are known to be.  Else the mildest stock dilution or trituration; else drops by their
    mean weight, the spread told beside it.  Where nothing is within the accepted error, a weight is never hidden: it is
    weighed or counted coarsely, whichever is less wrong at the worst.  What is less than half a step of the balance and
    less than half a drop is shown exactly, as nothing measures it.

    Source: common practice, no source; the accepted error: University of North Carolina (T13-10).
    """
    if not bench.judged:
        counted = _by_count(grams, bench, drop) if by_drops else None
        found = counted or _at_best(grams, bench) or _by_count(grams, bench, drop)
        return _unmeasured(drop) if found is None else replace(found, coarse=False)
    counted, weighed = _in_drops(grams, bench, drop), _weighed(grams, bench)
    if by_drops and drop is not None and counted is not None and weighed is not None:
        if weighed.step is not None and _off(grams, weighed) < _spread(drop) * grams:
            return replace(weighed, beside=True, drop=drop.grams, low=drop.low, high=drop.high)
        return counted
    if by_drops:
        found = counted or weighed or _thinned(grams, bench, thinning)
    else:
        found = weighed or _surely_in_drops(grams, bench, drop) or _thinned(grams, bench, thinning) or counted
    return found or _coarsely(grams, bench, drop)


def _spread(drop: DropMass) -> Fraction:
    """Return what a drop may be off at most, as a share of the mean."""
    return max(drop.high - drop.grams, drop.grams - drop.low) / drop.grams


def _unmeasured(drop: DropMass | None) -> Piece:
    piece = Piece(from_=ZERO, to=None, measure=Measure.NONE)
    return piece if drop is None else replace(piece, drop=drop.grams, low=drop.low, high=drop.high)


def _coarsely(grams: Fraction, bench: Bench, drop: DropMass | None) -> Piece:
    """Return the less wrong of weighing and counting, where neither is within the accepted error."""
    weighed, counted = _at_best(grams, bench), _by_count(grams, bench, drop)
    if weighed is None or weighed.step is None:
        return counted or weighed or _unmeasured(drop)
    if drop is None:
        return weighed
    step, weighed = weighed.step, replace(weighed, drop=drop.grams, low=drop.low, high=drop.high)
    if counted is None or grams >= (LARGEST_COARSE_COUNT + HALF) * drop.grams:
        return weighed
    by_weight = abs(half_up(grams, step) - grams) + _off(grams, weighed)
    count = half_up(grams / drop.grams, ONE)
    by_count = max(count * drop.high - grams, grams - count * drop.low)
    return weighed if by_weight <= by_count else counted


def _at_best(grams: Fraction, bench: Bench) -> Piece | None:
    """Return the least wrong weighing; None for what is less than half a step, which the balance does not show."""
    piece = on_balance(grams, bench, Measure.WEIGH)
    return None if piece.step is not None and 2 * grams < piece.step else piece


def _off(grams: Fraction, piece: Piece) -> Fraction:
    """Return what weighing may be off at most, in grams: one step of the balance for each portion."""
    assert piece.step is not None
    return piece.step if piece.portion is None else ceil(grams / piece.portion) * piece.step


def _counted(bench: Bench, drop: DropMass) -> Piece:
    return Piece(
        from_=ZERO,
        to=None,
        measure=Measure.DROPS,
        with_=drop.dropper,
        step=bench.finest[0].readability_g if bench.finest else None,
        drop=drop.grams,
        low=drop.low,
        high=drop.high,
    )


def _by_count(grams: Fraction, bench: Bench, drop: DropMass | None) -> Piece | None:
    """Return drops, however many and however wrong; None for what is less than half a drop."""
    if drop is None or 2 * grams < drop.grams:
        return None
    return replace(_counted(bench, drop), coarse=True)


def _in_drops(grams: Fraction, bench: Bench, drop: DropMass | None) -> Piece | None:
    if drop is None:
        return None
    exact = grams / drop.grams
    count = half_up(exact, ONE)
    if not 1 <= count <= LARGEST_DROP_COUNT or abs(count - exact) > bench.error * exact:
        return None
    return _counted(bench, drop)


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


def _surer_corners(bench: Bench, drop: DropMass) -> list[Fraction]:
    """Return the weights from which a balance is surer than the dropper, in any number of portions that drops fill."""
    uneven = _spread(drop)
    if not uneven:
        return []
    largest = (LARGEST_DROP_COUNT + 1) * drop.grams
    found: list[Fraction] = []
    for balance in bench.finest:
        most = portions_on(largest, balance)
        found += [number * balance.readability_g / uneven for number in range(1, most + 1)]
    return found


def _coarse_corners(bench: Bench, drop: DropMass) -> list[Fraction]:
    """Return the weights between which weighing or counting is the less wrong, where neither is within the error.

    Both errors run straight between half steps, half drops, and the middles of what a count or a reading stands for;
    where they cross is worked out for each count whose error can be above the balance's and below it.
    """
    found = [(LARGEST_COARSE_COUNT + HALF) * drop.grams]
    points = sorted({ZERO, *_balance_corners(bench)})
    for from_, to in pairwise(points):
        piece = on_balance((from_ + to) / 2, bench, Measure.WEIGH)
        if not piece.coarse or piece.step is None:
            continue
        step, off = piece.step, _off((from_ + to) / 2, piece)
        for count in _doubtful_counts(drop, off, step, to):
            heavy, light = count * drop.high, count * drop.low
            low, high = max((count - HALF) * drop.grams, from_), min((count + HALF) * drop.grams, to)
            if low > high:
                continue
            found += [low, high, (heavy + light) / 2]
            for reading in range(floor(low / step), ceil(high / step) + 1):
                shown = reading * step
                crossing = (shown, shown - step / 2, (shown + off + light) / 2, (shown - off + heavy) / 2)
                found += [one for one in crossing if low <= one <= high]
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
    """Return a weighing within the accepted error; None where no balance weighs so little, or so much, so well."""
    piece = on_balance(grams, bench, Measure.WEIGH)
    return None if piece.coarse else piece


def on_balance(grams: Fraction, bench: Bench, measure: Measure) -> Piece:
    """Return how a weight is weighed: on which balance, and in how many portions.

    On the finest balance that holds it at once within the accepted error.  Where none does, in portions, each of which
    is a weighing, on the largest balance that stays within it so; else on the balance that is least wrong, in portions
    or at once, and above all balances on the largest.  A balance that states no capacity holds anything.

    Source: common practice, no source; the error of a weighing is one step (T04-01).
    """
    if not bench.finest:
        return Piece(from_=ZERO, to=None, measure=measure)
    balance, within = _balance(grams, bench)
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


def _balance(grams: Fraction, bench: Bench) -> tuple[Balance, bool]:
    """Return the balance for a weight, and whether it weighs within the accepted error."""
    portions = [(portions_on(grams, one), one) for one in bench.finest]
    within = [
        (number, one)
        for number, one in portions
        if number * one.readability_g <= bench.error * grams and (number == 1 or _divides(one, bench))
    ]
    at_once = next((one for number, one in within if number == 1), None)
    if within:
        return at_once or largest_of([one for _, one in within]), True
    if all(number > 1 for number, _ in portions):
        return largest_of(bench.finest), False
    return min(portions, key=lambda one: (one[0] * one[1].readability_g, one[0]))[1], False


def _divides(balance: Balance, bench: Bench) -> bool:
    """Tell whether full portions on a balance are within the accepted error, so that any number of them can be."""
    return balance.capacity_g is not None and balance.readability_g < bench.error * balance.capacity_g


def _balance_corners(bench: Bench) -> list[Fraction]:
    """Return the weights at which another balance, or another number of portions, begins or ceases to be the best."""
    corners = [balance.capacity_g for balance in bench.finest if balance.capacity_g is not None]
    for balance in bench.finest:
        step, capacity = balance.readability_g, balance.capacity_g
        corners += [step / 2, step / bench.error]
        if capacity is None:
            continue
        for number in range(2, _portions_judged(balance, bench) + 1):
            corners += [number * capacity, number * step / bench.error]
    return corners


def _portions_judged(balance: Balance, bench: Bench) -> int:
    """Return up to how many portions on a balance have to be judged one by one.

    More are all within the accepted error; or, where full portions are not, a coarser balance is less wrong.
    """
    step, capacity = balance.readability_g, balance.capacity_g
    if capacity is None:
        return 1
    coarser = [one.readability_g for one in bench.finest if one.readability_g > step]
    larger = [one.capacity_g for one in bench.finest if one.capacity_g is None or one.capacity_g > capacity]
    if _divides(balance, bench):
        return ceil(1 / (1 - step / (bench.error * capacity)))
    if not larger or not coarser:
        return 1
    return ceil(max(coarser) / step)


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
