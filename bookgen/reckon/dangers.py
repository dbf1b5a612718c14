"""Dangers that need no law: what a formula holds of what burns, must never meet, or is strong on skin.

Enters: a formula, its composition, what its materials were recognised as.  Leaves: `Dangers`, from which findings,
hazards and cautions are made.  Nothing here says that something is allowed or safe.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from ..findings import Missing
from ..fraction import Fraction
from ..model import ETHANOL, Book, Contact, Formula, Kind, Material, MaterialKind, Solvent, Superfat
from ..reference import spelt
from ..reference.dangers import MEMORY, PRACTICE, Freed, Peril, Perilous, dangers, figure
from ..reference.soap import soap_table
from ..wording.saying import Saying, says
from .amounts import Amounts
from .composition import Composition
from .functions import AROMATIC, items_of
from .keysets import key_set
from .known import ONE, ZERO, times
from .limits import Recognitions
from .named_strength import named_strength
from .same import Same
from .soap import Soap
from .storage import OFF_THE_BODY
from .strengths import content_between

ALKALINE = frozenset({Peril.CAUSTIC, Peril.ALKALI})
"""What an acid takes up."""
OPPOSITE: Mapping[Peril, frozenset[Peril]] = {
    Peril.CAUSTIC: frozenset({Peril.ACID}),
    Peril.ALKALI: frozenset({Peril.ACID}),
    Peril.STRONG_ACID: ALKALINE,
}
"""What takes up an alkali or a strong acid."""
WHATEVER_PH = frozenset({Peril.PHENOL, Peril.HYPOCHLORITE, Peril.PEROXIDE})
"""What burns by its strength, whatever the pH."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """One dangerous substance that is handled in the making, by one material."""

    substance: Perilous
    """The substance."""
    material: str
    """Key of the material, or of what has no file yet."""
    strength: Fraction
    """Greatest share by weight of the material; 1 where that is not known."""
    share: Fraction | None
    """Greatest share by weight of the finished product; None where it is not in it, or that is not known.  Of lye that
    makes soap, what went in."""
    makes_soap: bool = False
    """True for lye that is there to make soap of fat, which is judged with the soap."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Burn:
    """What burns skin at its strength in the finished product."""

    peril: Peril
    """Caustic, alkali, strong acid, phenol, hypochlorite or peroxide."""
    names: tuple[str, ...]
    """The substances, the most first."""
    share: Fraction
    """Their share by weight together."""
    burns_from: Fraction
    """The share from which the one of which there is most harms skin."""
    known: str
    """`from memory` where it would not burn but for a row that is known so, which bars nothing; else as practice."""
    may_be_taken_up: bool
    """True where something in the product may have taken it up, and no pH tells."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dangers:
    """The topic's figures for one formula."""

    met: tuple[Met, ...]
    """Every dangerous substance that is handled, in the order of the materials' keys."""
    aromatic_keys: frozenset[str]
    """Materials that are aromatic, by their own function or by that of a line, here or in an intermediate."""
    aromatic: Fraction
    """What is aromatic, as share by weight of the finished product; 0 where that is not known."""
    on_body: bool
    """True when it goes onto somebody."""
    burns: tuple[Burn, ...]
    """What burns skin at its strength; where a pH is written, that judges caustics and acids instead."""
    never: tuple[tuple[Met, Met, Freed], ...]
    """Two that must never meet, the materials that bring them, and what they set free."""
    melt_c: Fraction | None
    """Degrees Celsius of the hottest phase in which fat or wax is melted so hot that it scalds; None where none is."""
    of_unknown_strength: frozenset[Peril]
    """What the product holds of which no share is known, lye of soap aside."""
    may_burn: Mapping[Peril, tuple[str, ...]]
    """Kind → the substances that may burn skin, in a product of which 1 mL is of unknown weight; none in any other."""
    fruit_acids_at_most: Fraction
    """The greatest share of fruit acids that such a product may have; 0 for any other."""
    aromatic_at_most: Fraction
    """The greatest share that may be aromatic in such a product; 0 for any other."""

    def of(self, peril: Peril) -> tuple[Met, ...]:
        """Return what is handled of a kind."""
        return tuple(met for met in self.met if peril in met.substance.perils)


def dangers_of(
    formula: Formula,
    book: Book,
    amounts: Amounts,
    composition: Composition,
    known_as: Recognitions,
    soap: Soap,
    inner: Mapping[str, Dangers],
    light: Composition | None = None,
) -> Dangers:
    """Return the dangers of one formula: what it handles, what burns skin, what must never meet, how aromatic it is.

    Of caustics, of strong acids, of phenol, of hypochlorite, of peroxide, and of milder alkalis that stay on, the
    greatest share of each in the finished product ÷ the share from which it burns skin is added up, and from 1 on they
    burn.  A pH that is written judges alkalis and acids instead; a lye that makes soap is judged by its fats.  Two that
    must never meet are told wherever both are handled.  What is aromatic is added up less its water and ethanol, and
    asked about beyond what is usual for where and on whom it is used.

    `light` is what a product of which 1 mL is of unknown weight holds at most: by it is told what may burn, or peel.

    Source: the table of dangers, row by row; that shares of one kind add up, common practice, no source.
    """
    met = tuple(_met(book, composition, known_as, soap.lyes))
    keys = key_set(_aromatic(book, amounts, composition, inner))
    return Dangers(
        met=met,
        aromatic_keys=keys,
        aromatic=_aromatic_share(keys, book, composition),
        on_body=goes_on_body(formula),
        burns=tuple(_burns(formula, met, book, composition)),
        never=tuple(_never(met)),
        melt_c=_melt(formula, book),
        of_unknown_strength=frozenset(_of_unknown_strength(met, composition)),
        may_burn=dict(_may_burn(formula, amounts, met, light)),
        fruit_acids_at_most=sum(
            (_at_most(item, light) for item in met if Peril.FRUIT_ACID in item.substance.perils), ZERO
        ),
        aromatic_at_most=ZERO if light is None else _aromatic_share(keys, book, light),
    )


def lets_nothing_grow(formula: Formula, danger: Dangers) -> tuple[str, ...]:
    """Return what is so strong in a product that nothing grows in it, perhaps: alkalis, or else hypochlorite.

    Of alkalis as much as burns skin, nothing in it taking them up but fat, as soap is alkaline too, and no pH telling
    better.  Of hypochlorite half a percent, whatever the pH.

    Source: common practice, no source; half a percent from memory.
    """
    alkalis = [met for met in danger.met if met.share and not ALKALINE.isdisjoint(met.substance.perils)]
    strong = _weight((met.share or ZERO, met.substance) for met in alkalis) >= 1
    if formula.ph is None and strong and not any(met.share != 0 for met in danger.of(Peril.ACID)):
        return tuple(dict.fromkeys("soap" if met.makes_soap else met.substance.name for met in alkalis))
    bleaches = [met for met in danger.of(Peril.HYPOCHLORITE) if met.share]
    if sum((met.share or ZERO for met in bleaches), ZERO) >= figure("hypochlorite that keeps"):
        return tuple(dict.fromkeys(met.substance.name for met in bleaches))
    return ()


def ratio_in_the_sun(danger: Dangers) -> Fraction:
    """Return how much the oils that make skin burn in the sun are of what is quoted for them at most, 1 = as much.

    The greatest share of each in the finished product ÷ the most that is quoted for it, added up; beyond 1 it is asked
    about where it stays on skin.

    Source: the table of dangers: maximum dermal levels as others quote them; that they add up, from memory.
    """
    ratios = ((met.share or ZERO) / met.substance.most for met in danger.of(Peril.SUN) if met.substance.most)
    return sum(ratios, ZERO)


def goes_on_body(formula: Formula) -> bool:
    """Tell whether it goes onto somebody: by the place that is named, else a cosmetic, a medicine, or what stays on.

    Source: common practice, no source.
    """
    use = formula.use
    if use is not None and use.intermediate:
        return False
    if use is not None and use.sites:
        return not OFF_THE_BODY.issuperset(use.sites)
    return formula.kind in (Kind.COSMETIC, Kind.MEDICINE) or (
        formula.kind is None and use is not None and use.contact is not None
    )


def judged_by_strength(formula: Formula) -> tuple[Peril, ...]:
    """Return which kinds of substances are judged by how strong they are in a formula.

    A pH that is written judges alkalis and acids better than their strength: it knows what was taken up.  Milder
    alkalis are judged where they stay on.

    Source: common practice, no source.
    """
    acidity = () if formula.ph is not None else (Peril.CAUSTIC, Peril.ALKALI, Peril.STRONG_ACID)
    return (*(peril for peril in acidity if peril is not Peril.ALKALI or left_on(formula)), *sorted(WHATEVER_PH))


def fruit_acids(formula: Formula, danger: Dangers) -> tuple[Fraction, Fraction]:
    """Return the share of fruit acids in a product, and the most that is no peel: more where it is rinsed off.

    Source: the table of dangers, from memory.
    """
    share = sum((met.share or ZERO for met in danger.of(Peril.FRUIT_ACID)), ZERO)
    return share, figure("fruit acids left on skin" if left_on(formula) else "fruit acids rinsed off")


def left_on(formula: Formula) -> bool:
    """Tell whether it stays on; what does not say is taken to."""
    return formula.use is None or formula.use.contact is not Contact.RINSE_OFF


def untried(formula: Formula, danger: Dangers, soap: Soap) -> Saying | None:
    """Return what is said in place of a trial on the arm, or None where a trial is right.

    Never with what burns or may burn, phenol, a peel, undiluted aromatic materials, or a pH that skin does not bear.

    Source: common practice, no source.
    """
    if danger.burns:
        return says("not-for-skin")
    if any(met.share for met in danger.of(Peril.PHENOL)) or Peril.PHENOL in danger.of_unknown_strength:
        return says("phenol-not-tried")
    if max(danger.aromatic, danger.aromatic_at_most) >= figure("undiluted aromatic"):
        return says("not-undiluted")
    ph = formula.ph
    if ph is not None and (ph.low.value <= figure("pH that burns to") or ph.high.value >= figure("pH that burns from")):
        return says("not-for-skin")
    makes_caustic_soap = soap.made is not None and not soap.made.is_sound
    if ph is None and (makes_caustic_soap or danger.of_unknown_strength & {Peril.CAUSTIC, Peril.STRONG_ACID}):
        return says("may-burn-not-tried")
    if danger.may_burn:
        return says("may-burn-not-tried")
    share, most = fruit_acids(formula, danger)
    if share > most:
        return says("peel-not-tried")
    if danger.fruit_acids_at_most > most:
        return says("may-peel-not-tried")
    if ph is None or (ph.low.value >= figure("pH of a trial from") and ph.high.value <= figure("pH of a trial to")):
        return None
    return says("ph-not-tried")


def told_of_meeting(danger: Dangers) -> Iterator[Saying]:
    """Yield the hazard of each pair that must never meet."""
    for first, second, freed in danger.never:
        names = (first.substance.name, second.substance.name)
        yield says("never-hazard", first=names[0], second=names[1], gas=freed.gas, harm=freed.harm)


def told_of_heat(danger: Dangers) -> Iterator[Saying]:
    """Yield the hazard of fat or wax that is melted hot.

    Source: common practice, no source.
    """
    if danger.melt_c is not None:
        yield says("melt-scalds", celsius=danger.melt_c)


def stands(danger: Dangers) -> tuple[Saying, ...]:
    """Return how much there is of what is judged by its share, and from which share on it is asked about."""
    found = []
    for met in danger.met:
        row = met.substance
        if not met.share or met.makes_soap:
            continue
        if row.burns_from is not None:
            found.append(says("danger-burns", name=row.name, share=met.share, least=row.burns_from, known=row.known))
        if row.most is not None and not row.perils.isdisjoint({Peril.SUN, Peril.AIRWAYS}):
            found.append(
                says(
                    "danger-sun" if Peril.SUN in row.perils else "danger-airways",
                    name=row.name,
                    share=met.share,
                    most=row.most,
                )
            )
    return tuple(found)


def _met(book: Book, composition: Composition, known_as: Recognitions, lyes: frozenset[str]) -> Iterator[Met]:
    shares = composition.shares
    table, strong = dangers(), _with_strengths(Same(book.materials))
    for key in sorted(composition.handled):
        listed = known_as.get(key, ())
        if not listed and key in strong:
            yield Met(substance=table.substances[strong[key]], material=key, strength=ONE, share=None)
        for told in listed:
            part = None if isinstance(shares, Missing) or key not in shares else times(told.high, shares[key])
            yield Met(
                substance=table.substances[told.substance],
                material=key,
                strength=ONE if isinstance(told.high, Missing) else told.high,
                share=None if isinstance(part, Missing) else part,
                makes_soap=key in lyes and told.substance in soap_table().alkalis,
            )
        unfiled = book.naming.unfiled.get(key)
        if unfiled and (name := table.names.get(spelt(unfiled))):
            yield Met(substance=table.substances[name], material=key, strength=ONE, share=None)


def _of_unknown_strength(met: Iterable[Met], composition: Composition) -> Iterator[Peril]:
    """Yield what the product holds of which no share is known."""
    if isinstance(composition.shares, Missing):
        held = composition.materials | composition.unfiled
        for item in met:
            if item.material in held and not item.makes_soap:
                yield from item.substance.perils


@lru_cache(maxsize=2)
def _with_strengths(materials: Same[Mapping[str, Material]]) -> Mapping[str, str]:
    """Return the materials of a book that go by the name of a substance, followed by a strength, each with that."""
    return {key: name for key, material in materials.record.items() if (name := _named_with_strength(material))}


def _named_with_strength(material: Material) -> str:
    """Return the substance by whose name, followed by a strength, a material goes that lists nothing; else "".

    `sodium hypochlorite 5 %` meets acid as sodium hypochlorite does; how much of it there is, its file does not say.

    Source: own choice, no source.
    """
    if material.contains or material.known_as:
        return ""
    told = map(named_strength, (material.name, *material.also))
    found = (dangers().names.get(spelt(strong.name), "") for strong in told if strong)
    return next(filter(None, found), "")


def _aromatic(book: Book, amounts: Amounts, composition: Composition, inner: Mapping[str, Dangers]) -> Iterator[str]:
    """Yield the materials that are aromatic by their own function, by their line's, or in an intermediate."""
    for key in composition.materials:
        if not AROMATIC.isdisjoint(items_of(book.materials[key].function)):
            yield key
    for line in amounts.lines:
        if line.counts and line.key in book.materials and not AROMATIC.isdisjoint(items_of(line.line.function)):
            yield line.key
        if line.counts and line.key in inner:
            yield from inner[line.key].aromatic_keys


def _aromatic_share(keys: frozenset[str], book: Book, composition: Composition) -> Fraction:
    """Return what is aromatic in the finished product; water and ethanol of the materials aside."""
    shares = composition.shares
    if isinstance(shares, Missing):
        return ZERO
    return sum((shares[key] * scent_of(book.materials[key]) for key in keys if key in shares), ZERO)


def scent_of(material: Material) -> Fraction:
    """Return the share of an aromatic material that is neither water nor ethanol."""
    thinned = material.water.share if material.water is not None else ZERO
    for entry in material.contains:
        if entry.substance.casefold() in ETHANOL:
            ethanol, _ = content_between(material, entry)
            thinned += ZERO if isinstance(ethanol, Missing) else ethanol
    return max(ONE - thinned, ZERO)


def _burns(formula: Formula, met: tuple[Met, ...], book: Book, composition: Composition) -> Iterator[Burn]:
    """Yield what harms skin at its strength: of a kind, the shares ÷ the share from which each does come to 1."""
    for peril in judged_by_strength(formula) if met else ():
        mine = sorted(
            (
                (item.share, item.substance)
                for item in met
                if item.share and peril in item.substance.perils and not item.makes_soap
            ),
            key=lambda pair: -pair[0],
        )
        weight = _weight(mine)
        if weight < 1 or (peril is Peril.CAUSTIC and _is_soap(mine, book, composition)):
            continue
        yield Burn(
            peril=peril,
            names=tuple(dict.fromkeys(item.name for _, item in mine)),
            share=sum((share for share, _ in mine), ZERO),
            burns_from=mine[0][1].burns_from or ONE,
            known=PRACTICE if _weight([pair for pair in mine if pair[1].known != MEMORY]) >= 1 else MEMORY,
            may_be_taken_up=any(
                item.share for item in met if not item.substance.perils.isdisjoint(OPPOSITE.get(peril, frozenset()))
            ),
        )


def _may_burn(
    formula: Formula, amounts: Amounts, met: tuple[Met, ...], light: Composition | None
) -> Iterator[tuple[Peril, tuple[str, ...]]]:
    """Yield what may burn skin at the most that there may be of it; of lye that follows its fats nothing."""
    if light is None:
        return
    follows = any(isinstance(line.line.amount, Superfat) for line in amounts.lines)
    for peril in judged_by_strength(formula):
        if follows and peril is Peril.CAUSTIC:
            continue
        mine = [item for item in met if peril in item.substance.perils and not item.makes_soap]
        held = [(share, item.substance) for item in mine if (share := _at_most(item, light))]
        if _weight(held) >= 1:
            yield peril, tuple(dict.fromkeys(row.name for _, row in held))


def _at_most(met: Met, light: Composition | None) -> Fraction:
    """Return the greatest share of a substance in a product of which 1 mL is of unknown weight; 0 in any other."""
    shares = {} if light is None or isinstance(light.shares, Missing) else light.shares
    return shares.get(met.material, ZERO) * met.strength


def _weight(shares: Iterable[tuple[Fraction, Perilous]]) -> Fraction:
    """Return the shares ÷ the share from which each burns, added up."""
    return sum((share / (row.burns_from or ONE) for share, row in shares), ZERO)


def _is_soap(caustics: list[tuple[Fraction, Perilous]], book: Book, composition: Composition) -> bool:
    """Tell whether there is fat enough to take the caustic up: 1 g of fat turns so many grams of each into soap."""
    shares = composition.shares
    if isinstance(shares, Missing):
        return False
    fat = sum((share for key, share in shares.items() if Solvent.OIL in book.materials[key].soluble), ZERO)
    return all(item.fat_takes_up for _, item in caustics) and fat >= sum(
        (share / item.fat_takes_up for share, item in caustics), ZERO
    )


def _never(met: tuple[Met, ...]) -> Iterator[tuple[Met, Met, Freed]]:
    """Yield the pairs that must never meet, each kind of pair once."""
    for (first, second), freed in dangers().never.items() if met else ():
        ones = [item for item in met if first in item.substance.perils]
        others = [item for item in met if second in item.substance.perils]
        if ones and others:
            yield ones[0], others[0], freed


def _melt(formula: Formula, book: Book) -> Fraction | None:
    """Return the degrees of the hottest phase with fat or wax in it that is hotter than `hot melt`."""
    hot = figure("hot melt")
    found = [
        phase.temperature_c
        for phase in formula.ingredients
        if phase.temperature_c is not None
        and phase.temperature_c > hot
        and any(_is_fat(book.find(line.material)) for line in phase.lines)
    ]
    return max(found, default=None)


def _is_fat(item: Formula | Material | None) -> bool:
    return isinstance(item, Material) and (
        item.kind in (MaterialKind.WAX, MaterialKind.BUTTER) or Solvent.OIL in item.soluble
    )
