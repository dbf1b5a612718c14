"""Moulds and capsules: what they take of a base or a powder once other things are in it.

Enters: a formula by pieces, its lines, the book.  Leaves: the basis of calculation in grams, so that everything after
it knows only weights.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Fill, Formula, Known, Line, Material
from ..reference.capsules import capsule_sizes
from ..wording.saying import says
from .densities import grams_per_ml
from .known import ONE, ZERO, add, less, over, times
from .standing import StrengthOf, Whole, alone, by_density, unfound


def in_moulds(formula: Formula, lines: Sequence[Line], basis: Whole, book: Book, strength: StrengthOf) -> Whole:
    """Return what so many pieces weigh that are cast in moulds: the base takes the room that the other lines leave.

    A mould takes so many grams of the base alone.  Whatever else goes in takes the place of f grams of the base for
    each gram of it: base = pieces × mould − the sum of f × grams.  Older books give 1 ÷ f, the grams that take the
    place of 1 g of base, so a file always says which of the two it means.  A line in percent is a share of what the
    pieces weigh with the base, which is solved for exactly.  Without `displaces:` for that base no weight is known,
    and a mould is never taken to hold as much of another base.  Capsules that name their size are filled up in the same
    way, by volumes: grams ÷ tapped density.

    Source: the two definitions as German and British texts have them: base = n (E − f A), base = n (E − A ÷ D).
    """
    mould, fill = formula.mould, next((line for line in lines if isinstance(line.amount, Fill)), None)
    if basis.pieces is None or fill is None or basis.origin != "sum":
        return basis
    if mould is not None:
        base = book.key_of(mould.base)
        if not base or book.key_of(fill.material) != base:
            told = says("mould-of-other-base", base=mould.base, name=book.name_of(fill.material))
            return _whole(formula, basis, Missing(says=told, place=fill.amount_place, cause="mould-of-other-base"))
        full = Missing(says=says("pieces-beyond-mould"), cause="mould-too-full")
        return _whole(formula, basis, _made_up(mould.grams, lines, fill, basis, book, strength, full, base))
    if formula.capsule is not None:
        own = tapped_density(fill, book)
        full = Missing(says=says("pieces-beyond-capsule"), cause="capsule-too-small")
        holds = times(capsule_sizes()[formula.capsule].ml, own)
        return _whole(formula, basis, _made_up(holds, lines, fill, basis, book, strength, full))
    return basis


def _made_up(
    room: Known,
    lines: Sequence[Line],
    fill: Line,
    basis: Whole,
    book: Book,
    strength: StrengthOf,
    too_full: Missing,
    base: str = "",
) -> Known:
    """Return what all pieces weigh, each with room for so many grams of the fill alone: in moulds of that base, else in
    capsules."""
    nothing, one_gram = replace(basis, grams=ZERO), replace(basis, grams=ONE)
    total: Known = times(room, basis.pieces or ZERO)
    slope: Known = ZERO
    others: Known = ZERO
    shares: Known = ZERO
    for line in lines:
        if line is fill or line.removed is not None:
            continue
        taken, more = alone(line, nothing, book, strength), alone(line, one_gram, book, strength)
        if taken is None or more is None:
            return Missing(says=says("parts-beside-fill"), cause="parts-beside-fill")
        takes = displaced(line, base, book) if base else over(tapped_density(fill, book), tapped_density(line, book))
        spared, share = less(ONE, takes), less(more.grams, taken.grams)
        others, shares = add((others, taken.grams)), add((shares, share))
        total, slope = add((total, times(taken.grams, spared))), add((slope, times(share, spared)))
    rest = less(ONE, slope)
    if isinstance(rest, Fraction) and rest <= 0:
        return too_full
    whole = over(total, rest)
    left = less(times(whole, less(ONE, shares)), others)
    return too_full if isinstance(left, Fraction) and left <= 0 else whole


def tapped_density(line: Line, book: Book) -> Known:
    """Return the grams of a line's powder that fill 1 mL once they are tapped down; an intermediate says it too."""
    item = book.find(line.material)
    if item is None:
        return unfound(line)
    if item.tapped_density is not None:
        return grams_per_ml(item.tapped_density)
    told = says("room-unknown", name=book.name_of(line.material))
    return Missing(says=told, place=line.amount_place, cause="missing-tapped-density")


def _whole(formula: Formula, basis: Whole, grams: Known) -> Whole:
    ml = grams if isinstance(grams, Missing) else by_density(grams, formula.density, to_ml=True)
    return replace(basis, amount=grams, grams=grams, ml=ml, origin="mould")


def displaced(line: Line, base: str, book: Book) -> Known:
    """Return the grams of the base, by its key, that 1 g of the line takes the place of; 1 for more of the base."""
    key = book.key_of(line.material)
    if key == base:
        return ONE
    item = book.at(key)
    if item is None:
        return unfound(line)
    listed = item.displaces if isinstance(item, Material) else ()
    found = next((displaces.grams for displaces in listed if book.key_of(displaces.base) == base), None)
    if found is not None:
        return found
    told = says("displaces-unknown", name=book.name_of(line.material), base=base)
    return Missing(says=told, place=line.amount_place, cause="missing-displacement")
