"""Whether all that is to dissolve does: each substance against the water, ethanol and oil of the finished product.

Enters: a formula, its composition, what its materials were recognised as and say themselves.  Leaves: `Dissolving`.
Shares are by weight of the finished product, solubilities in grams to 100 g of a solvent.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import Any

from ..findings import Missing
from ..fraction import Fraction
from ..model import AcidityRange, Book, Formula, Known, Material, Solubility, Solvent
from ..reference import spelt
from ..reference.dissolving import SaltSide, SolubilityRow, dissolving
from ..reference.preservatives import preservatives
from ..wording.saying import Saying, says
from .acids import acid_of, undissociated
from .amounts import Amounts
from .bath import COUNTS, Bath, bath_of
from .carrying import SOLID, SOLUTION, Carriers, Nature
from .composition import Composition
from .functions import UNDISSOLVED, items_of
from .keysets import key_set
from .known import ONE, ZERO, times, total
from .limits import Recognitions
from .recognised import counted
from .waters import water_in

HUNDRED = Fraction(100)
REACTS = Fraction(1, 4)
"""Grams of an acid to 1 g of an alkali, or the other way round, from which so much salt is made of it that it is not
judged as itself (own choice, no source; a full turn takes 0.6 g and more)."""
INSOLUBLE = Fraction(1, 100)
"""Grams to 100 g of water up to which a substance is practically insoluble and there to be dispersed: 10,000 parts and
more of solvent for one (T11-10)."""
SOLVENTS = tuple(Solvent)
"""In their order."""
ROOM = (Fraction(15), Fraction(25))
"""Degrees Celsius between which a solubility is one at room temperature (Ph. Eur., general notices, from memory)."""


class Dissolved(StrEnum):
    """How a substance stands to what dissolves of it."""

    ALL = "dissolves"
    """All of it dissolves."""
    CROSSES = "perhaps more than dissolves"
    """It may be more."""
    BEYOND = "more than dissolves"
    """It is more."""
    UNKNOWN = "not judged"
    """That cannot be told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solute:
    """One substance that is to dissolve, judged."""

    names: tuple[str, ...]
    """The substance, or its forms, or the salts of an acid, the most first."""
    materials: tuple[str, ...]
    """Keys of the materials that bring it, the most first."""
    outcome: Dissolved
    """How it stands."""
    low: Fraction = ZERO
    """Least grams of it to 100 g of the solvent."""
    high: Fraction = ZERO
    """Greatest grams of it to 100 g of the solvent."""
    most: tuple[Fraction, Fraction] = (ZERO, ZERO)
    """Grams that 100 g of the solvent dissolve, between which ends."""
    solvents: tuple[Solvent, ...] = (Solvent.WATER,)
    """The solvent, or those that are counted together."""
    at_c: Fraction | None = None
    """Degrees Celsius of the figure; None where its file says nothing."""
    row: SolubilityRow | None = None
    """The row of the table; None where the material's file says how much dissolves."""
    acid: str = ""
    """The free acid that is counted, at the formula's pH; empty where the substance itself is."""
    ph: AcidityRange | None = None
    """The pH at which it is."""
    pkas: tuple[Fraction, ...] = ()
    """Its pKa as the file of its material writes it; none where that of the table holds."""
    why: Saying | None = None
    """Why it is not judged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Several substances that each dissolve and want more water together than there is."""

    solutes: tuple[Solute, ...]
    """The substances, what wants most first."""
    wants: Fraction
    """Grams of water that they want at least to 100 g there are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dissolving:
    """The topic's figures for one formula."""

    judged: tuple[Solute, ...]
    """Every substance of which it is known how much dissolves; the gravest first."""
    together: Together | None
    """What wants more water together than there is; None where nothing does."""
    dispersed: frozenset[str]
    """Materials that are not there to dissolve, by the function of a line or their own, here or in an intermediate."""

    @property
    def keys(self) -> frozenset[str]:
        """Materials that were judged by a figure."""
        return frozenset(
            key for solute in self.judged if solute.outcome is not Dissolved.UNKNOWN for key in solute.materials
        )


NOTHING = Dissolving(judged=(), together=None, dispersed=frozenset())
GRAVEST = (Dissolved.BEYOND, Dissolved.CROSSES, Dissolved.UNKNOWN, Dissolved.ALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """What one material brings of a substance."""

    name: str
    """The substance, else the material."""
    key: str
    """Key of the material."""
    low: Known
    """Least share of the product."""
    high: Known
    """Greatest share of the product."""
    undissolved: bool
    """True where it does not come in a solution."""
    row: SolubilityRow | None
    """Its row of the table."""
    own: Material | None
    """The material, where its file says how much dissolves."""


def water_wanted(parts: Iterable[tuple[Fraction, Fraction]]) -> Fraction:
    """Return the grams of water that substances want together, of pairs: grams of it, grams that 100 g of water take.

    Each wants its grams × 100 ÷ the grams that 100 g of water take; the wants are added up, as if each were alone in
    its part of the water.  Where that is more than there is, crystals may form.

    Source: help desk of Belgian pharmacists, borax and hydrogen carbonate in a mouth rinse, by whose sum 700 mL are
    wanted where 600 are there.

    >>> water_wanted([(Fraction(30), Fraction(100, 16)), (Fraction(20), Fraction(100, 11))])
    Fraction(700, 1)
    """
    return sum((grams * HUNDRED / most for grams, most in parts), ZERO)


def free_acid(as_acid: Fraction, pka: Fraction, ph: Fraction, *further: Fraction) -> Fraction:
    """Return how much of a weak acid and its salts stands as the free acid at a pH, which dissolves much less.

    All of it counted as the acid × its undissociated share.  A salt that dissolves freely comes out as the acid where
    that is more than the water takes up.

    Source: equation of Henderson and Hasselbalch.

    >>> round(free_acid(Fraction("0.847458"), Fraction("4.2"), Fraction(3)), 4)
    Fraction(1993, 2500)
    """
    return as_acid * undissociated(pka, ph, *further)


def dissolving_of(
    formula: Formula,
    book: Book,
    amounts: Amounts,
    composition: Composition,
    known_as: Recognitions,
    preserving: Recognitions,
    its_natures: Mapping[str, Nature],
    carriers: Carriers,
    alcohol: Known,
    inner: Mapping[str, Dissolving],
) -> Dissolving:
    """Return how each substance stands to what dissolves of it at room temperature.

    What a material's own file says goes before the table, its pKa as well (`preserving` tells which acid that is
    of).  Water is that of all raw materials and intermediates less what evaporates; the water of a powder, of
    crystals or of a solid is bound in it and dissolves nothing.  Of one substance all that comes undissolved is
    added up, with the forms that share its saturation.  A weak acid and its salts are judged as the free acid at
    the pH that is written.  What also dissolves in oil is not judged by the water where there is an emulsifier or
    a solubiliser, nor what dissolves in another solvent where that is a twentieth of the liquid, unless its file
    says how much of it dissolves there.  Not judged: a product with less than a tenth of solvents, what is
    practically insoluble (up to 0.01 g in 100 g of water) or called a pigment, an abrasive or the like, what
    comes dissolved already, and an acid beside an alkali without a pH.

    Source: `dissolving.yaml`, row by row; own arithmetic.
    """
    dispersed = key_set(_dispersed(book, amounts, inner))
    shares = composition.shares
    rows = dissolving().rows
    told = {key: known_as[key] for key in composition.materials if key in known_as}
    concerned = {
        key
        for key in composition.materials
        if (key in told and any(item.substance in rows for item in told[key]))
        or book.materials[key].dissolves is not None
    }
    if not concerned or isinstance(shares, Missing):
        return replace(NOTHING, dispersed=dispersed)
    bath = bath_of(book, shares, told, its_natures, carriers, alcohol, concerned)
    parts = [part for key in shares if key in concerned for part in _parts(key, book, shares[key], told, composition)]
    groups: dict[str, list[_Part]] = {}
    for part in parts:
        groups.setdefault(part.row.saturates if part.row is not None else part.key, []).append(part)
    acids = _free_acids(groups, bath, formula, book, preserving)
    found = list(acids.values())
    for name, group in groups.items():
        solute = None if name in acids else _judged(name, group, bath, dispersed)
        given = group[0].row.acid if group[0].row is not None else ""
        if solute is not None and not (given in acids and solute.outcome is Dissolved.ALL):
            found.append(solute)
    found.sort(key=lambda solute: (GRAVEST.index(solute.outcome), solute.names))
    return Dissolving(judged=tuple(found), together=_together(found), dispersed=dispersed)


def _dispersed(book: Book, amounts: Amounts, inner: Mapping[str, Dissolving]) -> Iterator[str]:
    for line in amounts.lines:
        material = book.materials.get(line.key)
        if line.key in inner:
            yield from inner[line.key].dispersed
        elif material is not None and _stays_undissolved(line.line.function, material.function):
            yield line.key


@lru_cache(maxsize=4096)
def _stays_undissolved(*functions: str) -> bool:
    """Tell whether a line is not there to dissolve, by its function or its material's."""
    return any(not UNDISSOLVED.isdisjoint(items_of(function)) for function in functions)


def _parts(key: str, book: Book, share: Fraction, told: Recognitions, composition: Composition) -> Iterator[_Part]:
    """Yield what a material brings: the whole of it where its file says how much dissolves, else what the table has."""
    material, rows = book.materials[key], dissolving().rows
    least = ZERO if key in composition.at_most else ONE
    mine = [item for item in told.get(key, ()) if item.substance in rows]
    if material.dissolves is not None:
        row = rows[mine[0].substance] if len(mine) == 1 else None
        name = material.name if row is None else row.name
        yield _Part(name=name, key=key, low=share * least, high=share, undissolved=True, row=row, own=material)
        return
    for item in mine:
        bound = item.whole and material.kind in SOLID  # the water of a hydrate is a part of it
        low, high = (share, share) if bound else (times(item.low, share), times(item.high, share))
        flows = material.kind not in SOLID and (not item.whole or bool(water_in(material)))
        yield _Part(
            name=item.substance,
            key=key,
            low=times(low, least),
            high=high,
            undissolved=not flows,
            row=rows[item.substance],
            own=None,
        )


# ── How a substance stands ────────────────────────────────────────────────────────────────────────────────────────


def _judged(name: str, group: Sequence[_Part], bath: Bath, dispersed: frozenset[str]) -> Solute | None:
    """Return how a substance stands, all of it that comes undissolved counted; None where it is not to dissolve."""
    rows = dissolving().rows
    if not any(part.undissolved and part.key not in dispersed for part in group):
        return None
    main = rows.get(name)

    def as_main(part: _Part) -> Fraction:
        return ONE if main is None or part.row is None else main.grams / part.row.grams

    side = None if main is None else main.side
    ends = _sum(group, as_main)
    if isinstance(ends, Missing):
        return _unknown(group, says("solute-amount-unknown", why=ends.says))
    others = _reacting(side, ends[1], bath)
    if others:
        return _unknown(group, says("solute-reacts", others=others, count=len(others)))
    raising = () if main is None else tuple(sorted(n for n in main.raised_by if bath.held.get(n, ZERO) >= ends[1]))
    if raising:
        return _unknown(group, says("solute-raised", others=raising, count=len(raising)))
    return _in_bath(group, ends, main, bath)


def _free_acids(
    groups: Mapping[str, Sequence[_Part]], bath: Bath, formula: Formula, book: Book, preserving: Recognitions
) -> dict[str, Solute]:
    """Return each weak acid that is there, by itself or as its salts, as it stands free at the formula's pH.

    Its pKa is that of the file of a material that brings it, as where it is judged as a preservative, else the table's.

    Without a pH it is not judged where an acid beside its salts, or an alkali beside itself, makes that matter.
    """
    rows, found = dissolving().rows, dict[str, Solute]()
    by_acid: dict[str, list[_Part]] = {}
    for part in (part for group in groups.values() for part in group if part.row is not None):
        assert part.row is not None
        by_acid.setdefault(part.row.acid or part.row.name, []).append(part)
    for name, group in by_acid.items():
        weak = preservatives().by_substance.get(name)
        if weak is None or weak.pka is None:
            continue
        ends = _sum(group, lambda part, acid=name: counted(part.name, spelt(acid)) or ONE)  # type: ignore[misc]
        if isinstance(ends, Missing):
            continue
        if formula.ph is not None:
            keys = tuple(part.key for part in group if part.key in preserving)
            own = {key: pkas for key in keys if (pkas := tuple(pka.value for pka in book.materials[key].pka))}
            acid = acid_of(weak, keys, own, preserving, formula.ph)
            assert acid is not None
            free = (
                free_acid(ends[0], acid.pkas[0], formula.ph.high.value, *acid.pkas[1:]),
                free_acid(ends[1], acid.pkas[0], formula.ph.low.value, *acid.pkas[1:]),
            )
            solute = _in_bath([part for part in group if part.name == name], free, rows[name], bath)
            if solute is not None:
                pkas = acid.pkas if acid.of_file else ()
                found[name] = replace(solute, **_told(group), acid=name, ph=formula.ph, pkas=pkas)
            continue
        salts = any(part.name != name for part in group)
        others = _reacting(SaltSide.ALKALI if salts else SaltSide.ACID, ends[1], bath)
        much = ends[1] * HUNDRED > rows[name].grams * bath.water[0]
        if others and much and not any(bath.takes_up(Solvent(solvent)) for solvent in rows[name].also_in):
            found[name] = _unknown(group, says("acid-needs-ph"))
    return found


def _in_bath(
    group: Sequence[_Part], ends: tuple[Fraction, Fraction], row: SolubilityRow | None, bath: Bath
) -> Solute | None:
    """Return how an amount stands to what its solvents dissolve; None where it is not to dissolve in what there is."""
    owns = [part.own for part in group if part.own is not None]
    figures = _figures(row, owns)
    elsewhere = _elsewhere(row, owns, figures)
    if Solvent.WATER in elsewhere and bath.water[1] >= SOLUTION:
        return _unknown(group, says("solute-without-figure"))
    used = tuple(solvent for solvent in SOLVENTS if solvent in figures and bath.of(solvent)[1] > 0)
    held = [bath.of(solvent) for solvent in used]
    low_bath, high_bath = total(low for low, _ in held), total(high for _, high in held)
    if high_bath < SOLUTION:
        return None
    in_water = figures.get(Solvent.WATER)
    if in_water is not None and len(figures) == 1 and in_water[1] <= INSOLUBLE:
        return None
    if bath.carried and Solvent.OIL in elsewhere:
        return _unknown(group, says("solute-carried"))
    if any(bath.takes_up(solvent) for solvent in elsewhere):
        return _unknown(group, says("solute-elsewhere"))
    least = total(bath.of(solvent)[0] * figures[solvent][0] for solvent in used) / HUNDRED
    most = total(bath.of(solvent)[1] * figures[solvent][1] for solvent in used) / HUNDRED
    low, high = ends
    outcome = Dissolved.BEYOND if low > most else Dissolved.ALL if high <= least else Dissolved.CROSSES
    if low_bath != high_bath and (outcome is Dissolved.CROSSES or not low_bath):
        return _unknown(group, says("solute-water-unknown"))
    if not low_bath:
        return None
    shown = high_bath if outcome is Dissolved.BEYOND else low_bath
    own = bool(owns) and any(_own(owns, solvent) for solvent in used)
    return Solute(
        **_told(group),
        outcome=outcome,
        low=low * HUNDRED / shown,
        high=high * HUNDRED / shown,
        most=(least * HUNDRED / low_bath, most * HUNDRED / high_bath),
        solvents=used,
        at_c=_celsius(row, owns, used),
        row=None if own else row,
    )


def _figures(row: SolubilityRow | None, owns: Sequence[Material]) -> Mapping[Solvent, tuple[Fraction, Fraction]]:
    """Return the grams that dissolve in 100 g of each solvent at room temperature: by the files, else by the table."""
    found: dict[Solvent, tuple[Fraction, Fraction]] = {}
    for solvent in SOLVENTS:
        if own := _own(owns, solvent) if owns else ():
            found[solvent] = min(figure.low for figure in own), min(figure.high for figure in own)
        elif solvent is Solvent.WATER and row is not None:
            found[solvent] = row.grams, row.grams
    return found


def _own(owns: Sequence[Material], solvent: Solvent) -> tuple[Solubility, ...]:
    """Return the figures of files for a solvent, as far as they are those of room temperature."""
    figures = (own.dissolves.in_100_g(solvent) for own in owns if own.dissolves is not None)
    return tuple(
        figure
        for figure in figures
        if figure is not None and (figure.at_c is None or ROOM[0] <= figure.at_c <= ROOM[1])
    )


def _elsewhere(
    row: SolubilityRow | None, owns: Sequence[Material], figures: Mapping[Solvent, object]
) -> frozenset[Solvent]:
    """Return the solvents in which it dissolves as well, and nobody says how much."""
    found = {Solvent(name) for name in row.also_in} if row is not None else set()
    for own in owns:
        found |= set(own.soluble)
        found |= {solvent for solvent in SOLVENTS if own.dissolves and own.dissolves.in_100_g(solvent) is not None}
    return frozenset(found - figures.keys())


def _celsius(row: SolubilityRow | None, owns: Sequence[Material], used: Sequence[Solvent]) -> Fraction | None:
    """Return the temperature of the figure, where there is one figure and it has one."""
    if len(used) != 1:
        return None
    if own := _own(owns, used[0]):
        return min(own, key=lambda figure: figure.low).at_c
    return None if row is None else row.at_c


def _sum(group: Iterable[_Part], factor: Callable[[_Part], Fraction]) -> tuple[Fraction, Fraction] | Missing:
    """Return the least and the greatest sum, each part times its factor."""
    low, high = ZERO, ZERO
    for part in group:
        if isinstance(part.low, Missing):
            return part.low
        if isinstance(part.high, Missing):
            return part.high
        low, high = low + part.low * factor(part), high + part.high * factor(part)
    return low, high


def _reacting(side: SaltSide | None, share: Fraction, bath: Bath) -> tuple[str, ...]:
    """Return what makes salt of so much of an acid or an alkali."""
    if side is None:
        return ()
    table = dissolving()
    others = table.other_acids if side is SaltSide.ALKALI else table.soap_makers
    return tuple(
        sorted(
            name
            for name, held in bath.held.items()
            if held >= REACTS * share
            and (name in others or (name in table.rows and table.rows[name].side not in (None, side)))
        )
    )


def _told(group: Sequence[_Part]) -> dict[str, Any]:
    """Return the names and the materials of what was judged, the most first."""
    ordered = sorted(group, key=lambda part: (ZERO if isinstance(part.high, Missing) else -part.high, part.name))
    return {
        "names": tuple(dict.fromkeys(part.name for part in ordered)),
        "materials": tuple(dict.fromkeys(part.key for part in ordered)),
    }


def _unknown(group: Sequence[_Part], why: Saying) -> Solute:
    return Solute(**_told(group), outcome=Dissolved.UNKNOWN, why=why)


def _together(found: Iterable[Solute]) -> Together | None:
    """Return what dissolves by itself in the water alone and wants more of it together than there is."""
    several = [
        solute
        for solute in found
        if solute.outcome is Dissolved.ALL
        and solute.solvents == (Solvent.WATER,)
        and not solute.acid
        and solute.low >= COUNTS * solute.most[1]
    ]
    wants = water_wanted((solute.low, solute.most[1]) for solute in several)
    if wants <= HUNDRED:
        return None
    several.sort(key=lambda solute: -solute.low / solute.most[1])
    return Together(solutes=tuple(several), wants=wants)
