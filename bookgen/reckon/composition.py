"""What the finished product is made of: intermediates expanded, processing aids out, evaporation and `left:` in.

Shares are by weight of the finished product, 1 = all.  Yield changes no composition.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import lcm

from ..findings import Missing
from ..fraction import Fraction
from ..model import Basis, Book, Formula, Known, Line, Removal
from ..wording.saying import says
from .amounts import Amounts, LineFigure
from .densities import density_of, grams_per_ml
from .flow import evaporated_g
from .keysets import key_set
from .known import ONE, ZERO, add, less, over, times
from .percents import by_weight_of_liquids, by_weight_of_solution
from .standing import unfound


@dataclass(frozen=True, slots=True, kw_only=True)
class Composition:
    """The topic's figures for one formula."""

    shares: Mapping[str, Fraction] | Missing
    """Material key → share of the finished product, largest first; Missing when it cannot be known."""
    by_line: Mapping[int, Fraction]
    """Number of each line that counts → its share of the finished product; empty when it cannot be known."""
    at_most: frozenset[str]
    """Materials whose share is an upper limit (`left: at most …`)."""
    materials: frozenset[str]
    """Every material that the finished product holds, whether or not its share is known."""
    handled: frozenset[str]
    """Every material that is weighed in anywhere on the way, processing aids included, those without a file too."""
    extracted: Mapping[str, Removal]
    """Materials of a drug, a flower or the like that was taken out again here or in an intermediate, and how; what else
    holds them aside.  What they gave is in the product, and no share of it is known."""
    unfiled: frozenset[str]
    """Those that give something to the finished product and that have no file yet."""


def composition(formula: Formula, book: Book, amounts: Amounts, done: Mapping[str, Composition]) -> Composition:
    """Return what the finished product is made of, by weight: intermediates expanded to their raw materials.

    Each line stands at what is left of it after evaporation (all of it where the loss is made up or allowed for), ÷ the
    sum.  Of a line with `left:` only that share is in the finished product, and the others share the rest; `at most` is
    reckoned as that much.  Diluted ethanol is its material and water.  Processing aids are out.  Yield changes no
    composition.  The shares add up to exactly 100 %.

    Source: own arithmetic.
    """
    held: set[str] = set()
    handled: set[str] = set()
    extracted: dict[str, Removal] = {}
    limits: set[str] = set()
    unfiled: set[str] = set()
    for line in amounts.lines:
        inner = done.get(line.key)
        if inner is None and line.key in book.materials and line.counts and line.blend is None and not line.line.left:
            held.add(line.key)
            handled.add(line.key)
            continue  # nearly every line
        own = {key for key, _ in line.takes} if line.key in book.materials else set(inner.materials) if inner else set()
        strange = {line.key} & book.naming.unfiled.keys() if inner is None else inner.unfiled
        handled |= own if line.key in book.materials else set(inner.handled) if inner else strange
        if line.gives:
            unfiled |= strange
        if line.gives and inner:
            extracted |= {key: how for key, how in inner.extracted.items() if key not in extracted}
        if line.gives and line.line.removed:
            extracted |= {key: line.line.removed for key in sorted(own) if key not in extracted}
        if line.counts:
            held |= own
            if line.line.left is not None and line.line.left.at_most:
                limits |= own
            if inner:
                limits |= inner.at_most
    found = _shares(formula, book, amounts, done)
    shares, by_line = (found, {}) if isinstance(found, Missing) else found
    if not isinstance(shares, Missing):
        held &= shares.keys()
    return Composition(
        shares=shares,
        by_line=by_line,
        at_most=key_set(limits & held),
        materials=key_set(held),
        handled=key_set(handled),
        extracted={key: how for key, how in extracted.items() if key not in held},
        unfiled=key_set(unfiled),
    )


def _shares(
    formula: Formula, book: Book, amounts: Amounts, done: Mapping[str, Composition]
) -> tuple[Mapping[str, Fraction], Mapping[int, Fraction]] | Missing:
    fixed: list[tuple[LineFigure, Known]] = []
    open_: list[tuple[LineFigure, Known]] = []
    for line in amounts.lines:
        if line.counts and line.line.left is not None:
            fixed.append((line, _left(line.line, formula, book)))
        elif line.counts:
            stays = line.line.evaporates is None or line.line.made_up or line.line.added
            open_.append((line, line.grams if stays else less(line.grams, evaporated_g(line))))
    total = add(grams for _, grams in open_)
    rest = less(ONE, add(share for _, share in fixed))
    if isinstance(total, Missing):
        return total
    if isinstance(rest, Missing):
        return rest
    if rest > 0 and fixed and not open_:
        return Missing(says=says("left-not-whole"))
    if rest < 0 or (total <= 0 and (rest > 0 or open_)):
        return Missing(says=says("nothing-left"), reported=True)
    found: dict[str, Fraction] = {}
    by_line: dict[int, Fraction] = {}
    per_gram = over(rest, total) if open_ else ZERO
    for figure, share in (*((figure, times(grams, per_gram)) for figure, grams in open_), *fixed):
        if isinstance(share, Missing):
            return share
        by_line[figure.index] = share
        if isinstance(figure.blend, Missing):
            return figure.blend
        if figure.key in book.materials:
            if figure.blend is None:
                found[figure.key] = found[figure.key] + share if figure.key in found else share
                continue
            for key, part in figure.takes:
                taken = share * part
                found[key] = found[key] + taken if key in found else taken
            continue
        inner = (
            done[figure.key].shares
            if figure.key in done
            else Missing(says=says("not-reckoned", name=figure.line.material), place=figure.line.place, reported=True)
            if figure.is_formula
            else unfound(figure.line)
        )
        if isinstance(inner, Missing):
            told = says("composition-unknown", name=figure.name, why=inner.says)
            return Missing(says=told, reported=inner.reported)
        for name, part in inner.items():
            found[name] = found[name] + part * share if name in found else part * share
    # The largest first, those alike by name; compared as whole numbers over one denominator, which is much quicker.
    common = lcm(*(share.denominator for share in found.values()))
    ranked = sorted(
        (-share.numerator * (common // share.denominator), name, share) for name, share in found.items() if share
    )
    return {name: share for _, name, share in ranked}, by_line


def _left(line: Line, formula: Formula, book: Book) -> Known:
    """Return the share by weight of the finished product at which a line with `left:` stands.

    By volume it is turned by the densities of the product and, for v/v, of the material; Missing without one of them.
    """
    if line.left is None:
        return ZERO
    percent = line.left.percent
    if percent.basis in (None, Basis.WW):
        return percent.share
    if formula.density is None:
        return Missing(says=says("left-by-volume"))
    if percent.basis is Basis.WV:
        return by_weight_of_solution(percent.share, grams_per_ml(formula.density))
    item = book.find(line.material)
    density = None if item is None else density_of(item)
    if density is None:
        name = book.name_of(line.material)
        return Missing(says=says("left-without-density", name=name))
    return by_weight_of_liquids(percent.share, density, grams_per_ml(formula.density))
