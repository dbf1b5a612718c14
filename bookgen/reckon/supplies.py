"""The largest batch that what is there allows, and what is left of it.

Enters: a formula's figures and the amounts that there are.  Leaves: the batch to obtain, in the formula's own unit,
and a `SupplyUse` for each supply.  A supply is counted wherever it is weighed in, also inside intermediates with their
losses, and as it is metered; what is there is not made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Known, Supply
from ..source.naming import clause_in
from ..wording.saying import says
from .densities import density_of
from .figures import Figures, Reckoning
from .first import Tables, batch_of, make_first, with_below
from .known import ONE, ZERO, add, less, over, times
from .measure import balance_for, finest_first
from .metering import evaluate
from .scale import Measure
from .weighed import taken_materials, weighed_materials

HUNDREDTH = Fraction(1, 100)
"""Grams or millilitres by which a batch is lessened where no balance holds it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyUse:
    """One supply and what the batch takes of it."""

    supply: Supply
    """The supply as asked."""
    key: str
    """Its key in the book."""
    name: str
    """Name of the material or title of the formula."""
    used: Fraction
    """What the batch takes of it as it is metered, in the supply's own unit; exact where nothing is metered."""
    left: Fraction
    """What is left of it, in the same unit; never below 0."""
    limits: bool
    """True when no larger batch can be made of it."""
    have_g: Known
    """What there is, in grams; through the density where it is given in mL."""
    used_g: Known
    """What the batch takes, in grams."""
    left_g: Known
    """What is left, in grams."""
    stocks_g: Fraction = ZERO
    """Grams of what it takes that stay behind in stocks made to measure small amounts."""


def batch_from_supplies(
    reckoning: Reckoning, figures: Figures, supplies: Sequence[Supply], tables: Tables
) -> tuple[Fraction, tuple[SupplyUse, ...]] | Missing:
    """Return the largest batch that all supplies allow, and what it takes of each.

    One supply alone allows its amount ÷ what one gram to obtain takes of it, counted wherever it is weighed in, also
    inside intermediates with their yields.  The smallest of these batches is the one that all allow: the supply that
    gives it limits, and of the others something is left.  Where the weights as they are metered, those of what is made
    first and of stocks among them, come to more than is there, the batch is lessened by whole steps of the balance
    that holds it, until they do not.

    `tables` gives the scale table that each formula is taken from.

    Source: own arithmetic.
    """
    book = reckoning.book
    title = figures.formula.title
    keys = [book.key_of(supply.material) for supply in supplies]
    for key, supply in zip(keys, supplies, strict=True):
        if not key:
            meant = clause_in(book, supply.material)
            return Missing(says=says("nothing-so-called", name=supply.material, hint=meant))
        if key == figures.key:
            return Missing(says=says("supply-to-make", name=supply.material))
        if keys.count(key) > 1:
            return Missing(says=says("supply-named-twice", name=book.name_of(key)))
    allowed: list[tuple[Fraction, Fraction]] = []
    for key, supply in zip(keys, supplies, strict=True):
        used = _used_per_unit(reckoning, figures, key, frozenset(keys), by_volume=supply.quantity.unit == "mL")
        if isinstance(used, Missing):
            return used
        if not used:
            beside = len(keys) > 1
            told = says("supply-not-taken-beside" if beside else "supply-not-taken", name=supply.material, title=title)
            return Missing(says=told)
        allowed.append((supply.quantity.value / used, used))
    batch = min(size for size, _ in allowed)
    limiting = {key for key, (size, _) in zip(keys, allowed, strict=True) if size == batch}
    grid, tried = _grid(reckoning, figures, batch), 0
    while True:
        metered, unmeasured = _metered(reckoning, figures, tables, batch, keys, supplies)
        takes = [
            batch * per if isinstance(taken, Missing) else taken
            for taken, (_, per) in zip(metered, allowed, strict=True)
        ]
        # Half of what is too much is taken off at once, as what is weighed moves in jumps; the rest in single steps.
        short = {
            key: (take - supply.quantity.value) / per / 2
            for key, take, supply, (_, per) in zip(keys, takes, supplies, allowed, strict=True)
            if take > supply.quantity.value
        }
        if tried:  # lessened for the sake of a weight, a batch must not lose it
            short = dict.fromkeys(unmeasured, batch / 100) | short
        if not short:
            break
        limiting, tried = set(short), tried + 1
        batch = (ceil(batch / grid) - max(1, floor(max(short.values()) / grid))) * grid
        if batch <= 0:
            supply = next(supply for supply, key in zip(supplies, keys, strict=True) if key in short)
            return Missing(says=says("supply-too-little", amount=supply.quantity.text, name=supply.material))
    return batch, tuple(
        _use_of(book, key, supply, take, limits=key in limiting)
        for key, supply, take in zip(keys, supplies, takes, strict=True)
    )


def _grid(reckoning: Reckoning, figures: Figures, batch: Fraction) -> Fraction:
    """Return the steps in which a batch is lessened, in its own unit: that of the balance that holds all of it."""
    grams = times(figures.scale.start_g, batch)
    finest = finest_first(reckoning.book.workroom.balances)
    balance = None if isinstance(grams, Missing) else balance_for(grams, finest)
    return HUNDREDTH if balance is None else balance.readability_g


def _metered(
    reckoning: Reckoning,
    figures: Figures,
    tables: Tables,
    batch: Fraction,
    keys: Sequence[str],
    supplies: Sequence[Supply],
) -> tuple[tuple[Known, ...], set[str]]:
    """Return what a batch and what is made first for it take of each supply as metered, in the supply's own unit; and
    the keys of those of which something cannot be measured."""
    own = evaluate(tables(figures), batch)
    made = make_first(reckoning, {figures.key: own}, tables, ready=keys)
    evaluated = [own, *(first.evaluation for first in made if first.evaluation is not None)]
    taken: dict[str, list[Known]] = {key: [] for key in keys}
    unmeasured: set[str] = set()
    units = {key: supply.quantity.unit for key, supply in zip(keys, supplies, strict=True)}
    for line in (line for evaluation in evaluated for line in evaluation.lines):
        for name, weight in taken_materials(line):
            if name in taken:
                ml = line.ml if isinstance(weight, Missing) and len(line.figure.takes) == 1 else None
                by_volume = units[name] == "mL"
                if line.measure is Measure.NONE:
                    unmeasured.add(name)
                taken[name].append(_in_supply_unit(weight, ml, reckoning.book, name, by_volume=by_volume))
    return tuple(add(taken[key]) for key in keys), unmeasured


def _use_of(book: Book, key: str, supply: Supply, used: Fraction, *, limits: bool) -> SupplyUse:
    have = supply.quantity.value
    have_g, used_g = grams_of(book, key, have, supply.quantity.unit), grams_of(book, key, used, supply.quantity.unit)
    return SupplyUse(
        supply=supply,
        key=key,
        name=book.name_of(key),
        used=used,
        left=have - used,
        limits=limits,
        have_g=have_g,
        used_g=used_g,
        left_g=less(have_g, used_g),
    )


def grams_of(book: Book, key: str, value: Fraction, unit: str) -> Known:
    """Return a supply in grams: mL through the density of the material or formula."""
    if unit == "g":
        return value
    item = book.find(key)
    density = None if item is None else density_of(item)
    if density is None:
        return Missing(says=says("supply-needs-density", name=key))
    return value * density


def _used_per_unit(
    reckoning: Reckoning, figures: Figures, supply: str, ready: frozenset[str], *, by_volume: bool
) -> Known:
    """Return how much of a supply one unit of the batch takes, in the supply's own unit.

    It is exact: each intermediate's share in its user, times weigh in per unit of its own.
    """
    needed: dict[str, Known] = {figures.key: ONE}
    used: list[Known] = []
    for key in with_below(reckoning, (figures.key,)):
        if key in ready or key not in needed:
            continue
        for row in reckoning.figures[key].scale.rows:
            line = row.figure
            if line.is_formula and line.key not in ready:
                taken = batch_of(
                    reckoning, line.key, times(row.per, needed[key]), row.ml_per and times(row.ml_per, needed[key])
                )
                needed[line.key] = add((needed.get(line.key, ZERO), taken))
                continue
            parts = weighed_materials(line, row.per)
            for material, grams in parts:
                if material == supply:
                    ml = row.ml_per if len(parts) == 1 else None  # the mL of a mixture are no mL of its parts
                    per = _in_supply_unit(grams, ml, reckoning.book, supply, by_volume=by_volume)
                    used.append(times(per, needed[key]))
    return add(used)


def _in_supply_unit(grams: Known, ml: Known | None, book: Book, supply: str, *, by_volume: bool) -> Known:
    """Return what one line takes of a supply, in the supply's unit; a line by volume says its mL itself."""
    if not by_volume:
        return grams
    if ml is not None and not isinstance(ml, Missing):
        return ml
    item = book.find(supply)
    density = None if item is None else density_of(item)
    if density is None:
        return Missing(says=says("supply-needs-density", name=supply))
    return over(grams, density)
