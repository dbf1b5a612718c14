"""Soap: how much of the fat a lye leaves, what comes of fat, lye and water, and which lye is no longer there.

Enters: a formula's lines and composition, what its materials were recognised as.  Leaves: `Soap`.  Shares are by
weight, 1 = all; alkali is counted as grams of potassium hydroxide, as saponification values are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Formula, Known, Line, Material, MaterialKind, Solvent, Superfat
from ..reference.dangers import Peril, dangers
from ..reference.soap import POTASH, soap_table
from ..wording.saying import says
from .amounts import Amounts
from .composition import Composition
from .densities import is_water
from .flow import Flow
from .functions import AROMATIC, items_of
from .known import ONE, ZERO, add, times
from .limits import Recognitions
from .lye import TakingUp
from .recognised import Recognised
from .standing import unfound
from .waters import water_in, waters_of

Range = tuple[Fraction, Fraction]
"""Least and most."""
USED_ON_PURPOSE = frozenset({"cuticle remover", "depilatory", "hair straightener"})
"""Purposes that the law for cosmetics knows, and that burn by design (Regulation (EC) No 1223/2009, III/15)."""
_PER_MG = Fraction(1, 1000)
_LEAST_SUPERFAT = Fraction(2, 1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class SoapParts:
    """What the formula is made of, by what it is; each as a share, between its least and its most."""

    soap: Range
    """Soap."""
    glycerol: Range
    """Glycerol that comes of the fat."""
    fat: Range
    """Fat."""
    alkali: Range
    """Sodium or potassium hydroxide, as such."""
    water: Known
    """Water."""
    rest: Range
    """All else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoapMade:
    """What lye and fat make of each other, in one formula."""

    alkalis: tuple[str, ...]
    """Sodium hydroxide, potassium hydroxide or both."""
    lyes: tuple[str, ...]
    """Keys of the materials that bring lye."""
    fats: tuple[str, ...]
    """Keys of the materials that take up lye."""
    low: Fraction
    """Superfat at the least, as a share of what the fats take up; below 0 where lye may be left."""
    high: Fraction
    """Superfat at the most, by the fats and the lye alone."""
    asked: Fraction | None
    """Superfat that the lye's line asks for; None where its amount is written."""
    acids: tuple[str, ...]
    """Names of the acids, where there is so much of them that they may take up what the fats leave."""
    others: tuple[str, ...]
    """Names of what may take up lye too or hold less of it than is taken, so that more fat may stay: acids, aromatic
    materials, what does not say."""
    unjudged: tuple[str, ...]
    """Names of the fats that do not say what they take up, where that decides; empty where it is known."""
    before: SoapParts | None
    """What goes in; None where that is not known."""
    after: SoapParts | None
    """The finished product; None where that is not known, or lye may be left."""

    @property
    def is_sound(self) -> bool:
        """Whether the fats take up all of the lye."""
        return not self.unjudged and self.low >= 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Soap:
    """The topic's figures for one formula."""

    made: SoapMade | None
    """What its own lye and fats make; None where no lye is there for that."""
    lyes: frozenset[str]
    """Keys of the materials whose lye is there to make soap, here or in an intermediate: not judged as lye."""
    taken_up: frozenset[str]
    """Those of them all of whose lye the fats take up: the product does not hold it."""


NO_SOAP = Soap(made=None, lyes=frozenset(), taken_up=frozenset())
"""What is said of a formula without lye."""


# ── What one material takes up, or gives ──────────────────────────────────────────────────────────────────────────────


def takes_up(material: Material) -> Range | None:
    """Return the grams of potassium hydroxide that 1 g takes up, at least and at most; None where it does not say.

    By its `saponification:`.  What is neither oil, wax nor butter takes up none, and of what is aromatic none is
    counted.

    Source: the definition of the saponification value; that aromatic materials are left out is own choice, no source.
    """
    value = material.saponification
    if value is not None:
        return value.low * _PER_MG, value.high * _PER_MG
    oily = Solvent.OIL in material.soluble and Solvent.WATER not in material.soluble
    if not oily and material.kind not in (MaterialKind.WAX, MaterialKind.BUTTER):
        return ZERO, ZERO
    return None if AROMATIC.isdisjoint(items_of(material.function)) else (ZERO, ZERO)


def gives(key: str, known_as: Recognitions) -> dict[str, tuple[Known, Known]]:
    """Return which alkalis a material gives → grams of each in 1 g, at least and at most.

    Of one that is called sodium hydroxide and does not say how much of it it holds, only the most is known.
    """
    found: dict[str, tuple[Known, Known]] = {}
    met = [told for told in known_as.get(key, ()) if told.substance in soap_table().alkalis]
    for told in met:
        if not told.whole or all(other.whole for other in met):  # what it lists says more than what it is called
            unknown = Missing(says=says("lye-strength-unknown", name=told.name))
            found[told.substance] = (unknown if told.whole else told.low, told.high)
    return found


def taking_up(
    book: Book, known_as: Recognitions, compositions: Mapping[str, Composition], soaps: Mapping[str, Soap]
) -> TakingUp:
    """Return what tells of a line what it takes up or gives, intermediates by what they are made of.

    An intermediate in which lye has met fat takes up none, and of its lye none is there any more.
    """

    def parts(line: Line) -> Mapping[str, Fraction] | Missing:
        key = book.key_of(line.material)
        if key in book.materials:
            return {key: ONE}
        if key not in compositions:
            return unfound(line)
        shares = compositions[key].shares
        return (
            Missing(says=shares.says, place=line.place, reported=shares.reported)
            if isinstance(shares, Missing)
            else shares
        )

    def fat(line: Line) -> Known:
        if soaps.get(book.key_of(line.material), NO_SOAP).lyes:
            return ZERO
        held = parts(line)
        if isinstance(held, Missing):
            return held
        total = ZERO
        for key, share in held.items():
            its = takes_up(book.materials[key])
            if its is None and AROMATIC.isdisjoint(items_of(line.function)):
                told = says("takes-up-unknown", name=book.name_of(key))
                return Missing(says=told, place=line.place, cause="missing-saponification")
            total += share * its[0] if its is not None else ZERO
        return total

    def unknown_strength(line: Line) -> Missing:
        return Missing(
            says=says("lye-strength-unknown", name=book.name_of(line.material)),
            place=line.place,
            cause="missing-lye-strength",
        )

    def besides(line: Line) -> Known:
        held = parts(line)
        if isinstance(held, Missing):
            return held
        total: Known = ZERO
        gone = soaps.get(book.key_of(line.material), NO_SOAP).taken_up
        for key, share in held.items():
            for name, (low, high) in () if key in gone else gives(key, known_as).items():
                its = unknown_strength(line) if isinstance(low, Missing) or isinstance(high, Missing) else high
                total = add((total, times(its, share * soap_table().as_potash(name))))
        return total

    def alkali(line: Line) -> Known:
        total = besides(line)
        return unknown_strength(line) if total == 0 else total

    return TakingUp(fat=fat, alkali=alkali, besides=besides)


# ── What a formula makes of them ──────────────────────────────────────────────────────────────────────────────────────


def soap_of(
    formula: Formula,
    book: Book,
    amounts: Amounts,
    flow: Flow,
    composition: Composition,
    known_as: Recognitions,
    compositions: Mapping[str, Composition],
    inner: Mapping[str, Soap],
) -> Soap:
    """Return what lye and fats make of each other, and which lye is no longer in the product.

    Where a line asks for a superfat, soap is meant.  Where the lye is a plain amount, soap is meant if there is as much
    of it as burns skin, and half or more of what the fats take up: less of it neutralises an acid, sets a pH or
    thickens a gel, and nothing is asked.

    Source: own choice, no source; from how much on lye burns skin as in the table of dangers.
    """
    caustic = [key for key in composition.materials if gives(key, known_as)]
    if not caustic:
        return NO_SOAP
    before: set[str] = set()
    own: dict[str, Fraction] = {}
    lines = [line for line in amounts.lines if line.counts]
    for line in lines:
        if line.key in inner and inner[line.key].lyes:
            before |= inner[line.key].lyes
            continue
        share, made_of = composition.by_line.get(line.index), compositions.get(line.key)
        shares = {line.key: ONE} if line.key in book.materials else made_of.shares if made_of else {}
        if share is None or isinstance(shares, Missing):
            return Soap(made=None, lyes=frozenset(before), taken_up=frozenset())
        for key, part in shares.items():
            own[key] = own.get(key, ZERO) + share * part
    lyes = frozenset(key for key in own if key in caustic)
    inside = frozenset(key for line in lines if line.key in inner for key in inner[line.key].taken_up)
    made = _made(formula, book, amounts, flow, composition, own, known_as) if lyes else None
    if made is None:
        return Soap(made=None, lyes=frozenset(before) - lyes, taken_up=inside - lyes)
    return Soap(
        made=made,
        lyes=frozenset(before) if made.unjudged else lyes | before,
        taken_up=inside | lyes if made.is_sound else inside - lyes,
    )


def _made(
    formula: Formula,
    book: Book,
    amounts: Amounts,
    flow: Flow,
    composition: Composition,
    own: Mapping[str, Fraction],
    known_as: Recognitions,
) -> SoapMade | None:
    table = soap_table()
    asked = next((line.line.amount.share for line in amounts.lines if isinstance(line.line.amount, Superfat)), None)
    alkalis: dict[str, Range] = {}
    unsaid: list[str] = []
    for key, share in own.items():
        for name, (low, high) in gives(key, known_as).items():
            least, most = alkalis.get(name, (ZERO, ZERO))
            if isinstance(low, Missing):
                unsaid.append(key)
            its_low = ZERO if isinstance(low, Missing) else low
            its_high = ONE if isinstance(high, Missing) else high
            alkalis[name] = least + share * its_low, most + share * its_high
    aromatic = {line.key for line in amounts.lines if not AROMATIC.isdisjoint(items_of(line.line.function))}
    fats = {key: its for key in own if (its := takes_up(book.materials[key])) is not None and its[1] > 0}
    silent = [key for key in own if takes_up(book.materials[key]) is None and key not in aromatic]
    scented = [key for key in own if key in aromatic or not AROMATIC.isdisjoint(items_of(book.materials[key].function))]
    acids = {key: much for key, share in own.items() if (much := share * _acid_in(known_as.get(key, ())))}
    in_fats = sum((own[key] for key in fats), ZERO)
    given = _sum((low * table.as_potash(name), high * table.as_potash(name)) for name, (low, high) in alkalis.items())
    taken = _sum((own[key] * low, own[key] * high) for key, (low, high) in fats.items())
    if asked is None and not _is_meant(
        formula, alkalis, given, taken, in_fats + sum((own[key] for key in silent), ZERO)
    ):
        return None
    if not taken[0] and not silent:
        return None
    by_acids = sum(acids.values(), ZERO) * table.most_by_acid
    undecided = bool(silent) and given[1] > taken[0]
    low = ONE - given[1] / taken[0] if taken[0] else -ONE
    high = ONE - given[0] / taken[1] if taken[1] else ONE
    others = list(dict.fromkeys((*acids, *(key for key in scented if key not in fats), *silent, *unsaid)))
    pure = _sum(alkalis.values())
    after = before = None
    water = waters_of(book, composition).all
    if not undecided and isinstance(water, Fraction) and isinstance(flow.evaporated, Fraction):
        dry = sum((own[key] * (ONE - (water_in(book.materials[key]) or ZERO)) for key in fats), ZERO)
        if _water_alone_evaporates(amounts, book):
            before = _before(dry, pure, water, flow.evaporated)
        if low >= 0:
            after = comes_of(dry, pure, given, (low, high), water)
    return SoapMade(
        alkalis=tuple(alkalis),
        lyes=tuple(key for key in own if gives(key, known_as)),
        fats=tuple(fats),
        low=low,
        high=high,
        asked=asked,
        acids=tuple(map(book.name_of, acids)) if given[1] <= taken[0] + by_acids else (),
        others=tuple(book.name_of(key) for key in others),
        unjudged=tuple(book.name_of(key) for key in silent) if undecided else (),
        before=before,
        after=after,
    )


def _water_alone_evaporates(amounts: Amounts, book: Book) -> bool:
    losses = (line for line in amounts.lines if line.line.evaporates is not None and not line.line.made_up)
    materials = (book.materials.get(line.key) for line in losses)
    return all(material is not None and is_water(material) for material in materials)


def _acid_in(known: Iterable[Recognised]) -> Fraction:
    """Return the most acid in 1 g of a material; 1 where it does not say."""
    perils = dangers().substances
    shares = (ONE if told.whole else told.high for told in known if Peril.ACID in perils[told.substance].perils)
    return min(sum((ONE if isinstance(share, Missing) else share for share in shares), ZERO), ONE)


def finely(amounts: Amounts, soap: Soap, compositions: Mapping[str, Composition], soaps: Mapping[str, Soap]) -> Amounts:
    """Return the amounts with the superfat that a lye of a plain amount leaves, for how finely it and its fats are
    weighed; at least 0.2 %, as no workroom weighs more finely than within half of that.

    Source: own choice, no source.
    """
    made = soap.made
    if made is None or made.asked is not None or not made.is_sound:
        return amounts
    keys = {*made.lyes, *made.fats}
    numbers = [
        line.index
        for line in amounts.lines
        if line.counts
        and (line.key in keys or (line.key in compositions and not keys.isdisjoint(compositions[line.key].materials)))
        and not soaps.get(line.key, NO_SOAP).lyes
    ]
    return replace(amounts, superfat=dict.fromkeys(numbers, max(made.low, _LEAST_SUPERFAT)))


def _is_meant(formula: Formula, alkalis: Mapping[str, Range], given: Range, taken: Range, fat: Fraction) -> bool:
    """Tell whether a lye of a plain amount is there to make soap."""
    rows, table = dangers().substances, soap_table()
    burning = sum((high / (rows[name].burns_from or ONE) for name, (_, high) in alkalis.items()), ZERO)
    if burning < 1 or not fat or not USED_ON_PURPOSE.isdisjoint(items_of(formula.purpose)):
        return False
    if taken[0]:
        return given[1] >= table.least_taken_up * taken[0]
    pure = sum((high for _, high in alkalis.values()), ZERO)
    share = sum((high / rows[name].fat_takes_up for name, (_, high) in alkalis.items()), ZERO) / fat
    return share >= table.least_taken_up and fat >= table.least_fat * pure


def _before(fat: Fraction, alkali: Range, water: Fraction, evaporated: Fraction) -> SoapParts:
    """Return what goes in: the finished product with the water that evaporated in it again."""
    left = ONE - evaporated
    rest = ONE - fat - water
    nothing = (ZERO, ZERO)
    return SoapParts(
        soap=nothing,
        glycerol=nothing,
        fat=(fat * left, fat * left),
        alkali=(alkali[0] * left, alkali[1] * left),
        water=water * left + evaporated,
        rest=(max(rest - alkali[1], ZERO) * left, max(rest - alkali[0], ZERO) * left),
    )


def comes_of(fat: Fraction, alkali: Range, given: Range, superfat: Range, water: Fraction) -> SoapParts:
    """Return what comes of fat and lye: of three alkalis and one fat three soaps and one glycerol.

    Fat that the lye turns × its share that reacts, with the alkali, less the glycerol, is soap; the rest of the fat
    stays fat.  The fats are reckoned as neutral triglycerides that react alike, by molar masses as for hydrates.

    Source: the stoichiometry of saponification; own arithmetic.
    """
    table = soap_table()
    moles = table.glycerol / (3 * table.alkalis[POTASH])
    glycerol = (given[0] * moles, given[1] * moles)
    low, high = superfat
    rest = ONE - fat - water
    return SoapParts(
        soap=(fat * (ONE - high) + alkali[0] - glycerol[0], fat * (ONE - low) + alkali[1] - glycerol[1]),
        glycerol=glycerol,
        fat=(fat * low, fat * high),
        alkali=(ZERO, ZERO),
        water=water,
        rest=(max(rest - alkali[1], ZERO), max(rest - alkali[0], ZERO)),
    )


def _sum(ranges: Iterable[Range]) -> Range:
    low, high = ZERO, ZERO
    for least, most in ranges:
        low, high = low + least, high + most
    return low, high
