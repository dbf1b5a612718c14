"""What the lines of a formula relate to, and what a line stands for by itself in grams.

Enters: a formula, one line, the book, the strengths of what it uses.  Leaves: `Whole` and `Taken`.  Lines in parts and
the fill depend on the others; `amounts.py` gives them what is left.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..findings import Missing, Place
from ..fraction import Fraction
from ..model import (
    Adjust,
    Amount,
    Basis,
    Book,
    Density,
    Drops,
    Fill,
    Formula,
    Known,
    Line,
    Mass,
    Material,
    Parts,
    Percent,
    Quantity,
    Superfat,
    Volume,
)
from ..swift import swift
from ..wording.saying import says
from . import ethanol
from .densities import density_of, grams_per_ml
from .droppers import drop_mass_of, stated_range
from .known import over, times

StrengthOf = Callable[[str, str, Place], Known]
"""(key of a material or formula, substance, place of the question) → its strength, share by weight."""

ASSUMED = Fraction(100)
"""Grams that a formula in percent or parts makes when nothing is written (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """What the lines relate to, before the sum is known."""

    unit: str
    """`g` or `mL`."""
    amount: Known
    """In `unit`."""
    grams: Known
    """The same in grams."""
    ml: Known
    """The same in millilitres."""
    origin: str
    """`written`, `fill`, `assumed` (100 g) or `sum`."""
    part: Quantity | None
    """What one part is, where that is written."""
    pieces: Fraction | None = None
    """How many pieces are made; None where none are."""


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One line's amount: grams with their range, and millilitres where it is written by volume."""

    grams: Known
    """Grams."""
    low: Known
    """The least they can be."""
    high: Known
    """The most they can be."""
    ml: Known | None = None
    """Millilitres; None where it is not written by volume."""


def exactly(grams: Known, ml: Known | None = None) -> Taken:
    """Return an amount without a range."""
    return Taken(grams=grams, low=grams, high=grams, ml=ml)


def whole_of(formula: Formula, lines: Sequence[Line]) -> Whole:
    """Return what the formula makes, processing aids aside: the amount to which every line relates.

    Where `makes:` is written, that is what counts.  Where it is not, what the fill says counts (`to 1000 mL`); without
    such a fill it is 100 g if a line is in percent, in parts or a fill without a figure, and otherwise the sum of the
    lines by weight, with mL and drops taken by their mass.  Where `makes:` says about so much and there is no fill, the
    sum of the lines is what it makes, and the percentages are of that sum.

    Source: common practice, no source.
    """
    if formula.makes is not None and formula.makes.form is not None:
        return _whole_of_pieces(formula, formula.makes.quantity.value, lines)
    fill = next((line.amount.to for line in lines if isinstance(line.amount, Fill) and line.amount.to), None)
    quantity = formula.makes.quantity if formula.makes else fill
    if quantity is not None:
        origin = "written" if formula.makes else "fill"
        unit, amount = quantity.unit, quantity.value
    elif any(_needs_total(line.amount, formula) for line in lines):
        origin, unit, amount = "assumed", "g", ASSUMED
    else:
        later = Missing(says=says("sum-not-made"))
        return Whole(unit="g", amount=later, grams=later, ml=later, origin="sum", part=formula.part)
    converted = by_density(amount, formula.density, to_ml=unit == "g")
    return Whole(
        unit=unit,
        amount=amount,
        grams=amount if unit == "g" else converted,
        ml=amount if unit == "mL" else converted,
        origin=origin,
        part=formula.part,
    )


def _whole_of_pieces(formula: Formula, pieces: Fraction, lines: Sequence[Line]) -> Whole:
    """Return what so many pieces weigh: what each is made up to; else the sum of the lines, or not yet known.

    Lines in percent need a total: `to 300 mg each`, or a mould.
    """
    each = next((line.amount.to for line in lines if isinstance(line.amount, Fill) and line.amount.each), None)
    if each is not None:
        amount, origin = each.value * pieces, "fill"
        ml = by_density(amount, formula.density, to_ml=True)
        return Whole(unit="g", amount=amount, grams=amount, ml=ml, origin=origin, part=formula.part, pieces=pieces)
    later = Missing(says=says("sum-not-made"))
    shared = next((line for line in lines if _needs_total(line.amount, formula)), None)
    if shared is not None:
        told = says("pieces-without-weight")
        later = Missing(says=told, place=shared.amount_place, cause="pieces-without-weight")
    return Whole(unit="g", amount=later, grams=later, ml=later, origin="sum", part=formula.part, pieces=pieces)


def _needs_total(amount: Amount | Missing, formula: Formula) -> bool:
    if isinstance(amount, Adjust):
        return isinstance(amount.about, Percent)
    return isinstance(amount, (Percent, Fill)) or (isinstance(amount, Parts) and formula.part is None)


def by_density(amount: Known, density: Density | None, *, to_ml: bool) -> Known:
    """Return grams as millilitres or the other way, through a density; Missing without one."""
    if density is None:
        return Missing(says=says("no-product-density"))
    g_per_ml = grams_per_ml(density)
    return over(amount, g_per_ml) if to_ml else times(amount, g_per_ml)


def alone(line: Line, basis: Whole, book: Book, strength: StrengthOf) -> Taken | None:
    """Return what a line stands for by itself; None for parts, the fill and lye, which depend on the others."""
    amount = line.amount
    if isinstance(amount, Missing):
        return exactly(amount)
    if isinstance(amount, Parts) and basis.part is not None and basis.part.unit == "mL":
        ml = amount.parts * basis.part.value
        return exactly(weight_of(ml, book.find(line.material), line, basis), ml)
    if isinstance(amount, (Parts, Fill, Superfat)):
        return None
    if isinstance(amount, Adjust):
        if amount.about is None:
            return exactly(
                Missing(
                    says=says("usual-amount-unknown", result=amount.result),
                    place=line.amount_place,
                    cause="amount-not-known",
                )
            )
        return _taken(amount.about, line, basis, book, strength)
    return _taken(amount, line, basis, book, strength)


def drops_of(line: Line) -> Drops | None:
    """Return the drops that a line is written in, also as a usual amount (`about 3 drops`); None where it is not."""
    amount = line.amount.about if isinstance(line.amount, Adjust) else line.amount
    return amount if isinstance(amount, Drops) else None


def substance_of(line: Line) -> str | None:
    """Return the substance that a line's amount counts, after `as`; None where it counts the material itself."""
    amount = line.amount.about if isinstance(line.amount, Adjust) else line.amount
    return amount.substance if isinstance(amount, (Mass, Percent)) else None


def alcohol_of(line: Line) -> Fraction | None:
    """Return the strength by volume that a line wants (`of 70 %vol`); None where it takes its material as it is."""
    amount = line.amount.about if isinstance(line.amount, Adjust) else line.amount
    return amount.alcohol if isinstance(amount, (Percent, Mass, Volume, Fill)) else None


def _taken(
    amount: Percent | Mass | Volume | Drops, line: Line, basis: Whole, book: Book, strength: StrengthOf
) -> Taken:
    key = book.key_of(line.material)
    if isinstance(amount, Percent) and amount.basis is not Basis.VV:  # nearly every line
        whole = _needed(basis.ml, line, "w/v") if amount.basis is Basis.WV else _needed(basis.grams, line, "w/w")
        return exactly(carrying(times(amount.share, whole), amount.substance, key, line, book, strength))
    item = book.at(key)
    match amount:
        case Percent(share=share):
            volume = times(share, _needed(basis.ml, line, "v/v"))
            if isinstance(volume, Missing):
                return exactly(volume)
            return exactly(weight_of(volume, item, line, basis), volume)
        case Mass(grams=grams, substance=substance):
            if amount.each:
                grams *= basis.pieces or 1
            return exactly(carrying(grams, substance, key, line, book, strength))
        case Volume(ml=ml):
            return exactly(weight_of(ml, item, line, basis), ml)
        case Drops(count=count, grams=fixed):
            mass = drop_mass_of(item, amount.dropper, line.amount_place, book.workroom.balances)
            if item is None:
                return exactly(unfound(line) if fixed is None else fixed)
            if fixed is not None:
                if isinstance(mass, Missing):
                    low, high = stated_range(fixed)
                    return Taken(grams=fixed, low=low, high=high)
                return Taken(grams=fixed, low=fixed * mass.low / mass.grams, high=fixed * mass.high / mass.grams)
            if isinstance(mass, Missing):
                return exactly(unsaid(item, line) if isinstance(item, Material) and item.is_bare else mass)
            return Taken(grams=count * mass.grams, low=count * mass.low, high=count * mass.high)


def _needed(of: Known, line: Line, percent: str) -> Known:
    """Return the basis of a percentage, or say at the line which density it lacks."""
    if isinstance(of, Missing):
        if of.cause or of.reported:  # of pieces, whose weight is not known
            return of
        return Missing(
            says=says("share-needs-density", basis=percent),
            place=line.amount_place,
            cause="missing-product-density",
        )
    return of


def unfound(line: Line) -> Missing:
    """Return why nothing is known of an ingredient that the book does not have; a finding says so."""
    return Missing(says=says("unfiled", names=line.material), place=line.place, reported=True)


def unsaid(item: Material, line: Line) -> Missing:
    """Return why a figure of a material is not known whose file has nothing but its name; a finding says so."""
    return Missing(says=says("only-named", name=item.name), place=line.place, reported=True)


def carrying(grams: Known, substance: str | None, key: str, line: Line, book: Book, strength: StrengthOf) -> Known:
    """Return the grams of the raw material that carry so many grams of the substance (`0.4 % as lactic acid`).

    Grams of the substance ÷ its share in the raw material: 2 g of an acid are in 2.22 g of one of 90 %.  A material
    that does not say how much of the substance it holds gives no weight, and never a guess.

    Source: common practice, no source (T02-32).
    """
    if substance is None:
        return grams
    item = book.at(key)
    if item is None:
        return unfound(line)
    if isinstance(item, Material) and item.is_bare:
        return unsaid(item, line)
    return over(grams, strength(key, substance, line.amount_place))


def weight_of(ml: Known, item: Material | Formula | None, line: Line, basis: Whole) -> Known:
    """Return the grams of so many millilitres: mL × density in g per mL, at the temperature the density is given for.

    Pure water that states no density has that of water at 20 °C by formula.  Any other volume without a density is not
    turned into grams, and 1 mL is never taken as 1 g.  Diluted ethanol has its own density at 20 °C, by the alcohol
    tables.  Only a formula by volume can do without: the line is then measured by volume.  Grams and millilitres are
    never added to each other.

    Source: own arithmetic; the density from the material's own file, with the source named there.
    """
    if item is None:
        return unfound(line)
    wanted = alcohol_of(line)
    density = density_of(item) if wanted is None else ethanol.density(ethanol.mass_share(wanted))
    if density is not None:
        return times(ml, density)
    name = item.name if isinstance(item, Material) else item.title
    if basis.unit == "mL":
        return Missing(says=says("volume-without-density", name=name))
    if isinstance(item, Material) and item.is_bare:
        return unsaid(item, line)
    return Missing(says=says("no-density", name=name), place=line.amount_place, cause="missing-density")
