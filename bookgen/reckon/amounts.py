"""What a formula makes, and what each of its lines stands for in grams.

Enters: a formula, the book, and the figures of its intermediates (for strengths).
Leaves: `Amounts`: what it makes and a `LineFigure` for each line, exact, for the amount that the formula makes.

The order of reckoning: the basis (written, or what the fill says, or 100 g), the lines that stand by themselves, the
lines in parts, the fill; then the sum, the percent column and what the sum misses.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..findings import Missing, Place
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
    Volume,
)
from .droppers import DropMass, drop_mass_of
from .known import ZERO, add, less, over, times

Strength = Callable[[str, str, Place], Known]
"""(key of a material or formula, substance, place of the question) → its strength, share by weight."""

ASSUMED = Fraction(100)
"""Grams that a formula in percent or parts makes when nothing is written (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MakesFigure:
    """What the written amounts make up, processing aids aside: the basis of calculation."""

    unit: str
    """`g` for a formula by weight, `mL` for one by volume."""
    amount: Known
    """In `unit`."""
    grams: Known
    """The same in grams, through the product's density where the formula is by volume."""
    ml: Known
    """The same in millilitres, through the product's density where the formula is by weight."""
    origin: str
    """Where the figure comes from: `written`, `fill`, `assumed` (100 g) or `sum`."""
    about: Fraction | None = None
    """The written figure, where it is only about what the formula makes."""
    total: Known
    """The sum of all lines that count, in grams, the fill included; by volume usually not known."""
    short: Known
    """What is missing to `amount` in grams, negative when the lines go beyond it; 0 with a fill that fits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFigure:
    """One line, for the amount that the formula makes."""

    index: int
    """Its number in the formula, from 0."""
    line: Line
    """The line as written."""
    phase: str
    """Letter of its phase; empty without phases."""
    key: str
    """Key of the material or formula in the book; empty when there is none."""
    name: str
    """Name of the material or title of the formula; the written name when there is none."""
    is_formula: bool
    """True when the line calls an intermediate."""
    is_fill: bool
    """True for the line that is made up to the total."""
    is_about: bool
    """True when the amount is only usual (`q.s. to pH … (about …)`)."""
    counts: bool
    """True when the line counts to what the formula makes; False for a processing aid."""
    grams: Known
    """Grams that count (for a processing aid: that are taken)."""
    low: Known
    """The least that `grams` can be: drops vary."""
    high: Known
    """The most that `grams` can be."""
    ml: Known | None
    """Millilitres, where the line is written by volume."""
    weighed: Known
    """Grams to weigh: as `grams`, more where the loss by evaporation is added."""
    percent: Known
    """Share of what the formula makes, 1 = all; of the basis named in `percent_of`."""
    percent_of: Basis
    """What `percent` relates to."""
    drop: DropMass | Missing
    """Drop mass with the dropper that the line or the material names first."""
    by_drops: bool
    """True when the line is written in drops."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """The topic's figures for one formula."""

    makes: MakesFigure
    """What it makes."""
    lines: tuple[LineFigure, ...]
    """Its lines, in order."""
    part_g: Known | None
    """Grams of one part; None where no line is in parts."""


# ── Reckoning ─────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class _Basis:
    """What the lines relate to, before the sum is known."""

    unit: str
    amount: Known
    grams: Known
    ml: Known
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Taken:
    """One line's amount: grams with their range, and millilitres where it is written by volume."""

    grams: Known
    low: Known
    high: Known
    ml: Known | None = None


def _exactly(grams: Known, ml: Known | None = None) -> _Taken:
    return _Taken(grams=grams, low=grams, high=grams, ml=ml)


def amounts(formula: Formula, book: Book, strength: Strength) -> Amounts:
    """Return what the formula makes and what each line stands for, in exact grams (and mL), for that amount.

    Conserved: the counting lines add up to what the formula makes whenever `short` is 0.
    """
    lines = [(phase.letter, line) for phase in formula.ingredients for line in phase.lines]
    basis = _basis(formula, [line for _, line in lines])
    taken: list[_Taken | None] = [_alone(line, basis, book, strength) for _, line in lines]
    part_g = _part(formula, [line for _, line in lines], taken, basis)
    if part_g is not None:
        for number, (_, line) in enumerate(lines):
            if isinstance(line.amount, Parts):
                taken[number] = _exactly(times(line.amount.parts, part_g))
    if basis.origin == "sum":
        total = add(one.grams for (_, line), one in zip(lines, taken, strict=True) if one and not line.removed)
        basis = _Basis(
            unit="g", amount=total, grams=total, ml=_by_density(total, formula.density, to_ml=True), origin="sum"
        )
    others = add(one.grams for (_, line), one in zip(lines, taken, strict=True) if one and not line.removed)
    filled = _fill(formula, [line for _, line in lines], others, basis)
    for number, (_, line) in enumerate(lines):
        if taken[number] is None:
            taken[number] = _exactly(filled)
    complete = [one for one in taken if one is not None]
    makes = _makes(formula, [line for _, line in lines], complete, others, basis)
    return Amounts(
        makes=makes,
        lines=tuple(
            _figure(number, letter, line, complete[number], makes, book) for number, (letter, line) in enumerate(lines)
        ),
        part_g=part_g,
    )


def _basis(formula: Formula, lines: Sequence[Line]) -> _Basis:
    """Return what the lines relate to: written, what the fill says, 100 g, or the sum that is still to be made."""
    fill = next((line.amount.to for line in lines if isinstance(line.amount, Fill) and line.amount.to), None)
    quantity = formula.makes.quantity if formula.makes else fill
    if quantity is not None:
        origin = "written" if formula.makes else "fill"
        unit, amount = quantity.unit, quantity.value
    elif any(_needs_total(line.amount, formula) for line in lines):
        origin, unit, amount = "assumed", "g", ASSUMED
    else:
        later = Missing(reason="the sum is not made yet")
        return _Basis(unit="g", amount=later, grams=later, ml=later, origin="sum")
    converted = _by_density(amount, formula.density, to_ml=unit == "g")
    return _Basis(
        unit=unit,
        amount=amount,
        grams=amount if unit == "g" else converted,
        ml=amount if unit == "mL" else converted,
        origin=origin,
    )


def _needs_total(amount: Amount | Missing, formula: Formula) -> bool:
    if isinstance(amount, Adjust):
        return isinstance(amount.about, Percent)
    return isinstance(amount, (Percent, Fill)) or (isinstance(amount, Parts) and formula.part is None)


def _by_density(amount: Known, density: Density | None, *, to_ml: bool) -> Known:
    """Return grams as millilitres or the other way, through a density; Missing without one."""
    if density is None:
        return Missing(reason="the density of the finished product is not written")
    return over(amount, density.g_per_ml) if to_ml else times(amount, density.g_per_ml)


def _alone(line: Line, basis: _Basis, book: Book, strength: Strength) -> _Taken | None:
    """Return what a line stands for by itself; None for parts and the fill, which depend on the others."""
    amount = line.amount
    if isinstance(amount, Missing):
        return _exactly(amount)
    if isinstance(amount, (Parts, Fill)):
        return None
    if isinstance(amount, Adjust):
        if amount.about is None:
            return _exactly(
                Missing(
                    reason=f"as much as {amount.result} needs; no usual amount is written",
                    place=line.amount_place,
                    cause="amount-not-known",
                )
            )
        return _taken(amount.about, line, basis, book, strength)
    return _taken(amount, line, basis, book, strength)


def _taken(
    amount: Percent | Mass | Volume | Drops, line: Line, basis: _Basis, book: Book, strength: Strength
) -> _Taken:
    key = book.key_of(line.material)
    item = book.find(line.material)
    match amount:
        case Mass(grams=grams, substance=substance):
            return _exactly(_as_material(grams, substance, key, line, book, strength))
        case Volume(ml=ml):
            return _exactly(_weight_of(ml, item, line, basis), ml)
        case Drops(count=count, grams=fixed):
            mass = drop_mass_of(item, amount.dropper, line.amount_place)
            if item is None:
                return _exactly(_unfound(line) if fixed is None else fixed)
            if fixed is not None:
                if isinstance(mass, Missing):
                    return _exactly(fixed)
                return _Taken(grams=fixed, low=fixed * mass.low / mass.grams, high=fixed * mass.high / mass.grams)
            if isinstance(mass, Missing):
                return _exactly(mass)
            return _Taken(grams=count * mass.grams, low=count * mass.low, high=count * mass.high)
        case Percent(share=share, basis=Basis.VV):
            volume = times(share, _needed(basis.ml, line, "v/v"))
            if isinstance(volume, Missing):
                return _exactly(volume)
            return _exactly(_weight_of(volume, item, line, basis), volume)
        case Percent(share=share, basis=Basis.WV, substance=substance):
            weight = times(share, _needed(basis.ml, line, "w/v"))
            return _exactly(_as_material(weight, substance, key, line, book, strength))
        case Percent(share=share, substance=substance):
            weight = times(share, _needed(basis.grams, line, "w/w"))
            return _exactly(_as_material(weight, substance, key, line, book, strength))


def _needed(of: Known, line: Line, percent: str) -> Known:
    """Return the basis of a percentage, or say at the line which density it lacks."""
    if isinstance(of, Missing):
        return Missing(
            reason=f"% {percent} needs `density:` of the finished product here",
            place=line.amount_place,
            cause="missing-product-density",
        )
    return of


def _unfound(line: Line) -> Missing:
    return Missing(
        reason=f"{line.material} is neither a material nor a formula of the book", place=line.place, reported=True
    )


def _as_material(grams: Known, substance: str | None, key: str, line: Line, book: Book, strength: Strength) -> Known:
    """Return the grams of the raw material that carry so many grams of the substance (`as SUBSTANCE`)."""
    if substance is None:
        return grams
    if book.find(line.material) is None:
        return _unfound(line)
    return over(grams, strength(key, substance, line.amount_place))


def _weight_of(ml: Known, item: Material | Formula | None, line: Line, basis: _Basis) -> Known:
    """Return the grams of so many millilitres, through the material's density.

    Only a formula by volume can do without: the line is then measured by volume.
    """
    if item is None:
        return _unfound(line)
    if item.density is not None:
        return times(ml, item.density.g_per_ml)
    name = item.name if isinstance(item, Material) else item.title
    if basis.unit == "mL":
        return Missing(reason=f"measured by volume: no density is written for {name}")
    return Missing(reason=f"no density is written for {name}", place=line.amount_place, cause="missing-density")


def _part(formula: Formula, lines: Sequence[Line], taken: Sequence[_Taken | None], basis: _Basis) -> Known | None:
    """Return the grams of one part: `part:`, or what the other lines leave ÷ the parts that share it.

    Removed lines in parts weigh the same grams per part and are not among those that share.
    """
    parts = [line for line in lines if isinstance(line.amount, Parts)]
    if not parts:
        return None
    if formula.part is not None:
        return formula.part.value
    place = parts[0].amount_place
    if any(isinstance(line.amount, Fill) and not line.removed for line in lines):
        return Missing(reason="parts share what is left, and so would the fill", place=place, cause="parts-beside-fill")
    sharing = sum((line.amount.parts for line in parts if isinstance(line.amount, Parts) and not line.removed), ZERO)
    if not sharing:
        return Missing(
            reason="only lines that are taken out again are in parts; write `part:`",
            place=place,
            cause="parts-without-weight",
        )
    if isinstance(basis.grams, Missing):
        return Missing(
            reason="parts need `part:` or `density:` in a formula by volume", place=place, cause="parts-without-weight"
        )
    others = add(one.grams for line, one in zip(lines, taken, strict=True) if one and not line.removed)
    rest = less(basis.grams, others)
    if not isinstance(rest, Missing) and rest <= 0:
        return Missing(
            reason="the other lines leave nothing for the parts",
            place=place,
            reported=rest < 0,
            cause="nothing-left-for-parts",
        )
    return over(rest, sharing)


def _fill(formula: Formula, lines: Sequence[Line], others: Known, basis: _Basis) -> Known:
    """Return the grams of the fill: what the other lines leave; never negative."""
    fills = [line for line in lines if isinstance(line.amount, Fill)]
    if len(fills) > 1:
        return Missing(
            reason="two lines are made up to the total", place=fills[1].amount_place, reported=True, cause="two-fills"
        )
    if isinstance(basis.grams, Missing):
        return Missing(reason="made up to a volume; the density of the finished product is not written")
    rest = less(basis.grams, others)
    if not isinstance(rest, Missing) and rest < 0:
        return Missing(reason="the other lines go beyond the total", reported=True, cause="beyond-total")
    return rest


def _makes(
    formula: Formula, lines: Sequence[Line], taken: Sequence[_Taken], others: Known, basis: _Basis
) -> MakesFigure:
    total = add(one.grams for line, one in zip(lines, taken, strict=True) if not line.removed)
    has_fill = any(isinstance(line.amount, Fill) and not line.removed for line in lines)
    if formula.makes and formula.makes.about and basis.unit == "g" and not has_fill:
        return MakesFigure(
            unit="g",
            amount=total,
            grams=total,
            ml=_by_density(total, formula.density, to_ml=True),
            origin=basis.origin,
            about=formula.makes.quantity.value,
            total=total,
            short=ZERO,
        )
    short = less(basis.grams, others if has_fill else total)
    if has_fill and not isinstance(short, Missing):
        short = min(short, ZERO)
    return MakesFigure(
        unit=basis.unit,
        amount=basis.amount,
        grams=basis.grams,
        ml=basis.ml,
        origin=basis.origin,
        total=total,
        short=short,
    )


def _figure(number: int, letter: str, line: Line, taken: _Taken, makes: MakesFigure, book: Book) -> LineFigure:
    item = book.find(line.material)
    is_formula = isinstance(item, Formula)
    percent, percent_of = _percent(line, taken, makes)
    dropper = line.amount.dropper if isinstance(line.amount, Drops) else None
    drop = drop_mass_of(item, dropper, line.amount_place)
    if isinstance(drop, Missing) and isinstance(line.amount, Drops) and line.amount.grams is not None:
        each = line.amount.grams / line.amount.count  # the formula itself says what one weighs
        drop = DropMass(dropper=dropper or "", grams=each, low=each * Fraction(2, 3), high=each * Fraction(4, 3))
    return LineFigure(
        index=number,
        line=line,
        phase=letter,
        key=book.key_of(line.material),
        name=line.material if item is None else item.title if isinstance(item, Formula) else item.name,
        is_formula=is_formula,
        is_fill=isinstance(line.amount, Fill),
        is_about=isinstance(line.amount, Adjust),
        counts=line.removed is None,
        grams=taken.grams,
        low=taken.low,
        high=taken.high,
        ml=taken.ml,
        weighed=_weighed(line, taken.grams),
        percent=percent,
        percent_of=percent_of,
        drop=drop,
        by_drops=isinstance(line.amount, Drops),
    )


def _weighed(line: Line, grams: Known) -> Known:
    """Return the grams to weigh: with `added: yes`, so much more that the written amount is left after the loss.

    `evaporates: 8 %, added: yes` is weighed at amount ÷ 0.92 (a share is of what is weighed).
    """
    loss = line.evaporates
    if not line.added or loss is None:
        return grams
    if loss.grams is not None:
        return add((grams, loss.grams))
    return over(grams, 1 - loss.share) if loss.share is not None and loss.share < 1 else grams


def _percent(line: Line, taken: _Taken, makes: MakesFigure) -> tuple[Known, Basis]:
    """Return the percent column and what it relates to.

    By weight it is w/w of what the formula makes.  By volume a line keeps its own basis: w/v for weights, v/v for
    volumes; g and mL are never added.
    """
    if line.removed is not None:
        return Missing(reason="taken out again"), Basis.WW
    amount = line.amount
    if makes.unit == "g":
        plain = isinstance(amount, Percent) and amount.substance is None and amount.basis in (None, Basis.WW)
        if plain and makes.about is None and isinstance(amount, Percent):
            return amount.share, Basis.WW
        return over(taken.grams, makes.amount) if makes.amount != 0 else ZERO, Basis.WW
    if isinstance(amount, Percent) and amount.basis is not None and amount.substance is None:
        return amount.share, amount.basis
    if isinstance(amount, Fill):
        if isinstance(makes.grams, Missing):
            return Missing(reason="made up to a volume"), Basis.VV
        return over(taken.grams, makes.grams), Basis.WW
    if taken.ml is not None:
        return over(taken.ml, makes.ml), Basis.VV
    return over(taken.grams, makes.ml), Basis.WV
