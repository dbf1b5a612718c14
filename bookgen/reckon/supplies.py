"""The largest batch that what is there allows, and what is left of it.

Enters: a formula's figures and the amounts that there are.  Leaves: the batch to obtain, in the formula's own unit,
and a `SupplyUse` for each supply.  A supply is counted wherever it is weighed in, also inside intermediates with their
losses; what is there is not made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..findings import Missing
from ..model import Book, Known, Supply
from ..source.naming import hint_in
from .densities import density_of
from .figures import Figures, Reckoning
from .first import batch_of, with_below
from .known import ONE, ZERO, add, less, over, times
from .weighed import weighed_materials


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
    """What the batch takes of it, exact, in the supply's own unit."""
    left: Fraction
    """What is left of it, in the same unit; 0 for one that limits."""
    limits: bool
    """True when no larger batch can be made of it."""
    have_g: Known
    """What there is, in grams; through the density where it is given in mL."""
    used_g: Known
    """What the batch takes, in grams."""
    left_g: Known
    """What is left, in grams."""
    stocks_g: Fraction = ZERO
    """Grams that stay behind in stocks made to measure small amounts, beside what the batch takes."""

    @property
    def lacking_g(self) -> Fraction:
        """Grams that these stocks take and that are not there; 0 where there is enough, or it is not known."""
        return ZERO if isinstance(self.left_g, Missing) else max(self.stocks_g - self.left_g, ZERO)


def batch_from_supplies(
    reckoning: Reckoning, figures: Figures, supplies: Sequence[Supply]
) -> tuple[Fraction, tuple[SupplyUse, ...]] | Missing:
    """Return the largest batch that all supplies allow, and what it takes of each.

    One supply alone allows its amount ÷ what one gram to obtain takes of it, counted wherever it is weighed in, also
    inside intermediates with their yields.  The smallest of these batches is the one that all allow: the supply that
    gives it limits, and of the others something is left.  More of a supply never makes the batch smaller.

    Source: own arithmetic.
    """
    book = reckoning.book
    title = figures.formula.title
    keys = [book.key_of(one.material) for one in supplies]
    for key, supply in zip(keys, supplies, strict=True):
        if not key:
            hint = hint_in(book, supply.material)
            return Missing(reason=f"{supply.material} is neither a material nor a formula of the book{_asking(hint)}")
        if key == figures.key:
            return Missing(reason=f"{supply.material} is what is to be made")
        if keys.count(key) > 1:
            return Missing(reason=f"{book.name_of(key)} is named twice; write all that there is of it in one figure")
    allowed: list[tuple[Fraction, Fraction]] = []
    for key, supply in zip(keys, supplies, strict=True):
        used = _used_per_unit(reckoning, figures, key, frozenset(keys), by_volume=supply.quantity.unit == "mL")
        if isinstance(used, Missing):
            return used
        if not used:
            return Missing(reason=f"{supply.material} is not weighed in anywhere in {title}{_because(keys)}")
        allowed.append((supply.quantity.value / used, used))
    batch = min(one for one, _ in allowed)
    return batch, tuple(
        _use_of(book, key, supply, batch * used, limits=one == batch)
        for key, supply, (one, used) in zip(keys, supplies, allowed, strict=True)
    )


def _asking(hint: str) -> str:
    """Return a hint of its own as the end of a sentence."""
    return f"; {hint[1:2].lower() if hint.startswith(' Did') else hint[1:2]}{hint[2:].rstrip('.')}" if hint else ""


def _because(keys: Sequence[str]) -> str:
    return ", as what else is there is not made" if len(keys) > 1 else ""


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
        return Missing(reason=f"a supply in mL needs the density of {key}")
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
        inner = reckoning.figures[key]
        for line, row in zip(inner.amounts.lines, inner.scale.rows, strict=True):
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
        return Missing(reason=f"a supply in mL needs the density of {supply}")
    return over(grams, density)
