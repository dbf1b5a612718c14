"""What a formula makes, and what each of its lines stands for in grams.

Enters: a formula, the book, and the figures of its intermediates (for strengths).
Leaves: `Amounts`: what it makes and a `LineFigure` for each line, exact, for the amount that the formula makes.

The order of reckoning: the basis (written, or what the fill says, or 100 g), the lines that stand by themselves, the
lines in parts, the fill; then the sum, the percent column and what the sum misses.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from sys import intern

from ..findings import Missing
from ..fraction import Fraction
from ..model import Adjust, Basis, Book, Fill, Formula, Known, Line, Material, Parts, Percent, Superfat
from ..swift import swift
from ..wording.saying import says
from .blends import Blend, blend_of
from .droppers import DropMass, drop_mass_of, stated_range
from .functions import is_filter_aid
from .known import ONE, ZERO, add, less, over, times
from .lye import LyeLine, TakingUp, lye_line
from .moulds import in_moulds
from .standing import StrengthOf, Taken, Whole, alcohol_of, alone, by_density, drops_of, exactly, unfound, whole_of


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
    """The written figure in `unit`, where it is only about what the formula makes."""
    total: Known
    """The sum of all lines that count, in grams, the fill included; by volume usually not known."""
    short: Known
    """What is missing to `amount` in grams, negative when the lines go beyond it; 0 with a fill that fits."""


@swift
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
    """Key of the material or formula in the book, or of an ingredient without a file; empty for a name misspelt."""
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
    gives: bool
    """True when something of the line is in the product: it counts, or it was extracted; False for a filter aid."""
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
    ml_taken: Known | None
    """Millilitres to measure: as `ml`, more where the loss by evaporation is added."""
    percent: Known
    """Share of what the formula makes, 1 = all; of the basis named in `percent_of`."""
    percent_of: Basis
    """What `percent` relates to."""
    drop: DropMass | Missing
    """Drop mass with the dropper that the line or the material names first."""
    by_drops: bool
    """True when the line is written in drops, also as a usual amount."""
    blend: Blend | Missing | None
    """How its material is diluted, where the line wants a strength by volume; None where it wants none."""

    @property
    def called(self) -> str:
        """Its file or code, as written; the key where the line says a name instead."""
        written = self.line.material
        return written if not self.key or written.casefold() == self.key else self.key

    @property
    def takes(self) -> tuple[tuple[str, Fraction], ...]:
        """What is weighed for it: keys with their shares of its weight, which add up to 1."""
        if not isinstance(self.blend, Blend) or not self.blend.water:
            return ((self.key, ONE),)
        return ((self.key, self.blend.strong), (self.blend.water, ONE - self.blend.strong))


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """The topic's figures for one formula."""

    makes: MakesFigure
    """What it makes."""
    lines: tuple[LineFigure, ...]
    """Its lines, in order."""
    part_g: Known | None
    """Grams of one part; None where no line is in parts, or a part is a volume."""
    superfat: Mapping[int, Fraction]
    """Number of each line of lye that makes soap, and of each fat of it → the superfat wanted, or what a plain amount
    leaves."""


# ── Reckoning ─────────────────────────────────────────────────────────────────────────────────────────────────────


def amounts(formula: Formula, book: Book, strength: StrengthOf, taking: TakingUp) -> Amounts:
    """Return what the formula makes and what each line stands for, in exact grams (and mL), for that amount.

    Conserved: the counting lines add up to what the formula makes whenever `short` is 0.
    """
    lines = [(phase.letter, line) for phase in formula.ingredients for line in phase.lines]
    written = [line for _, line in lines]
    basis = in_moulds(formula, written, whole_of(formula, written), book, strength)
    taken: list[Taken | None] = [alone(line, basis, book, strength) for line in written]
    lye = lye_line(written, taking)
    part_g = part_weight(formula, written, taken, basis, lye)
    if part_g is not None:
        for number, line in enumerate(written):
            if isinstance(line.amount, Parts) and taken[number] is None:
                taken[number] = exactly(times(line.amount.parts, part_g))
    others = _others(written, taken, lye)
    if basis.origin == "sum":
        basis = replace(basis, amount=others, grams=others, ml=by_density(others, formula.density, to_ml=True))
    filled = fill_weight(written, others, basis, lye)
    for number, line in enumerate(written):
        if taken[number] is None and not isinstance(line.amount, Superfat):
            taken[number] = exactly(filled)
    complete = [
        _lye(line, lye, taken) if figure is None else figure for line, figure in zip(written, taken, strict=True)
    ]
    for number, line in enumerate(written):
        if alcohol_of(line) is not None and book.find(line.material) is None:
            complete[number] = exactly(unfound(line))  # how much of it is water is not known
    makes = _makes(formula, written, complete, others, basis)
    return Amounts(
        makes=makes,
        lines=tuple(
            _figure(number, letter, line, complete[number], makes, book, blend_of(line, formula, book, strength))
            for number, (letter, line) in enumerate(lines)
        ),
        part_g=part_g,
        superfat={} if lye is None else dict.fromkeys(_in_soap(written, lye), lye.superfat),
    )


def _in_soap(lines: Sequence[Line], lye: LyeLine) -> Iterator[int]:
    """Yield the numbers of the lye and of the fats that it follows."""
    for number, (line, rate) in enumerate(zip(lines, lye.per_gram, strict=True)):
        if rate != 0 or line.amount_place == lye.place:
            yield number


def _others(lines: Sequence[Line], taken: Sequence[Taken | None], lye: LyeLine | None) -> Known:
    """Return the grams of the lines that are known, and of the lye that they ask for; processing aids aside."""
    known = add(figure.grams for line, figure in zip(lines, taken, strict=True) if figure and not line.removed)
    return known if lye is None else add((known, lye.weight(_safely(taken, lye))))


def _safely(taken: Sequence[Taken | None], lye: LyeLine) -> list[Known]:
    """Return the least grams of fats and the most of other lye."""
    return [
        ZERO if figure is None else figure.high if isinstance(rate, Fraction) and rate < 0 else figure.low
        for figure, rate in zip(taken, lye.per_gram, strict=True)
    ]


def _lye(line: Line, lye: LyeLine | None, taken: Sequence[Taken | None]) -> Taken:
    """Return what a lye weighs that follows the fats; a second one is told by a finding."""
    if lye is None or line.amount_place != lye.place:
        return exactly(Missing(says=says("lye-twice"), place=line.amount_place, reported=True, cause="two-lyes"))
    weight = lye.weight(_safely(taken, lye))
    if isinstance(weight, Fraction) and weight <= 0:
        return exactly(Missing(says=says("other-lye-enough"), place=line.amount_place, cause="other-lye-enough"))
    return exactly(weight)


def part_weight(
    formula: Formula, lines: Sequence[Line], taken: Sequence[Taken | None], basis: Whole, lye: LyeLine | None = None
) -> Known | None:
    """Return the grams of one part: as written by `part:`, else what the other lines leave ÷ the parts that share it.

    A processing aid in parts weighs the same grams per part and is not among those that share.  A lye that follows fats
    in parts shares with them.

    Source: common practice, no source.
    """
    parts = [line for line in lines if isinstance(line.amount, Parts)]
    if not parts:
        return None
    if formula.part is not None:
        return formula.part.value if formula.part.unit == "g" else None
    place = parts[0].amount_place
    if any(isinstance(line.amount, Fill) and not line.removed for line in lines):
        return Missing(says=says("parts-beside-fill"), place=place, cause="parts-beside-fill")
    sharing = sum((line.amount.parts for line in parts if isinstance(line.amount, Parts) and not line.removed), ZERO)
    if not sharing:
        return Missing(
            says=says("parts-taken-out"),
            place=place,
            cause="parts-without-weight",
        )
    if isinstance(basis.grams, Missing):
        return Missing(says=says("parts-by-volume"), place=place, cause="parts-without-weight")
    rest = less(basis.grams, _others(lines, taken, lye))
    if not isinstance(rest, Missing) and rest <= 0:
        return Missing(
            says=says("no-rest-for-parts"),
            place=place,
            reported=rest < 0,
            cause="nothing-left-for-parts",
        )
    if lye is None:
        return over(rest, sharing)
    one_part = [line.amount.parts if isinstance(line.amount, Parts) else ZERO for line in lines]
    return over(rest, add((sharing, lye.weight(one_part))))


def fill_weight(lines: Sequence[Line], others: Known, basis: Whole, lye: LyeLine | None = None) -> Known:
    """Return the grams of the fill (q.s., ad, `to 100 g`): what the formula makes − the other lines; never negative.

    Processing aids are not among the others.  In a formula by volume without the density of the finished product the
    fill is made up to the mark, and its weight is not known.  A fat that is the fill takes its lye with it.

    Source: common practice, no source.
    """
    fills = [line for line in lines if isinstance(line.amount, Fill)]
    if len(fills) > 1:
        return Missing(says=says("filled-twice"), place=fills[1].amount_place, reported=True, cause="two-fills")
    if isinstance(basis.grams, Missing):
        return Missing(says=says("filled-to-volume")) if basis.pieces is None else basis.grams
    rest = less(basis.grams, others)
    if not isinstance(rest, Missing) and rest < 0:
        return Missing(says=says("others-beyond-total"), reported=True, cause="beyond-total")
    if lye is None:
        return rest
    one_gram = [ONE if isinstance(line.amount, Fill) else ZERO for line in lines]
    return over(rest, add((ONE, lye.weight(one_gram))))


def _makes(formula: Formula, lines: Sequence[Line], taken: Sequence[Taken], others: Known, basis: Whole) -> MakesFigure:
    total = add(figure.grams for line, figure in zip(lines, taken, strict=True) if not line.removed)
    has_fill = any(isinstance(line.amount, Fill) and not line.removed for line in lines)
    if formula.makes and formula.makes.about and not has_fill:
        volume = by_density(total, formula.density, to_ml=True)
        by_weight = basis.unit == "g"
        if by_weight or not isinstance(volume, Missing):
            return MakesFigure(
                unit=basis.unit,
                amount=total if by_weight else volume,
                grams=total,
                ml=volume,
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


def _figure(
    number: int,
    letter: str,
    line: Line,
    taken: Taken,
    makes: MakesFigure,
    book: Book,
    blend: Blend | Missing | None,
) -> LineFigure:
    key = intern(book.key_of(line.material))
    item = book.at(key)
    is_formula = isinstance(item, Formula)
    name = item.title if isinstance(item, Formula) else book.name_of(line.material) if item is None else item.name
    percent, percent_of = percent_column(line, taken, makes)
    written = drops_of(line)
    dropper = None if written is None else written.dropper
    drop = drop_mass_of(item, dropper, line.amount_place, book.workroom.balances)
    if isinstance(drop, Missing) and written is not None and written.grams is not None:
        each = written.grams / written.count  # the formula itself says what one weighs
        low, high = stated_range(each)
        drop = DropMass(dropper=dropper or "", grams=each, low=low, high=high)
    if blend is not None:
        drop = Missing(says=says("blend-not-counted"))
    return LineFigure(
        index=number,
        line=line,
        phase=letter,
        key=key,
        name=name,
        is_formula=is_formula,
        is_fill=isinstance(line.amount, Fill),
        is_about=isinstance(line.amount, Adjust),
        counts=line.removed is None,
        gives=line.removed is None
        or not is_filter_aid(line.function, item.function if isinstance(item, Material) else ""),
        grams=taken.grams,
        low=taken.low,
        high=taken.high,
        ml=taken.ml,
        weighed=to_weigh(line, taken.grams),
        ml_taken=None if taken.ml is None else _ml_taken(line, taken.grams, taken.ml),
        percent=percent,
        percent_of=percent_of,
        drop=drop,
        by_drops=written is not None,
        blend=blend,
    )


def to_weigh(line: Line, grams: Known) -> Known:
    """Return the grams to weigh where a loss is allowed for: so much more that the written amount is left afterwards.

    Written amount ÷ (1 − loss), as a loss in percent is of what is weighed; a loss in grams is added.

    Source: own arithmetic.
    """
    loss = line.evaporates
    if not line.added or loss is None:
        return grams
    if loss.grams is not None:
        return add((grams, loss.grams))
    return over(grams, 1 - loss.share) if loss.share is not None and loss.share < 1 else grams


def _ml_taken(line: Line, grams: Known, ml: Known) -> Known:
    """Return the millilitres to measure: as much more as the weight is more."""
    loss = line.evaporates
    if not line.added or loss is None:
        return ml
    if loss.grams is None:
        return to_weigh(line, ml)
    return times(ml, over(to_weigh(line, grams), grams))


def percent_column(line: Line, taken: Taken, makes: MakesFigure) -> tuple[Known, Basis]:
    """Return a line's share of what the formula makes, and what the share relates to.

    By weight it is w/w: the line's grams ÷ the grams that the formula makes.  A line written in percent keeps what is
    written; where the formula makes `about` so much, its share is of the sum.  By volume a line keeps its own basis:
    w/v for weights, v/v for volumes; grams and millilitres are never added.  A processing aid has no percentage.

    Source: common practice, no source.
    """
    if line.removed is not None:
        return Missing(says=says("taken-out")), Basis.WW
    amount = line.amount
    if makes.unit == "g":
        plain = isinstance(amount, Percent) and amount.substance is None and amount.basis in (None, Basis.WW)
        if plain and makes.about is None and isinstance(amount, Percent):
            return amount.share, Basis.WW
        return over(taken.grams, makes.amount) if makes.amount != 0 else ZERO, Basis.WW
    if isinstance(amount, Percent) and amount.basis is not None and amount.substance is None:
        if makes.about is None:
            return amount.share, amount.basis
        if amount.basis is Basis.WW:
            return over(taken.grams, makes.grams), Basis.WW
    if isinstance(amount, Fill):
        if isinstance(makes.grams, Missing):
            return Missing(says=says("to-a-volume")), Basis.VV
        return over(taken.grams, makes.grams), Basis.WW
    if taken.ml is not None:
        return over(taken.ml, makes.ml), Basis.VV
    return over(taken.grams, makes.ml), Basis.WV
