"""What keeps water from spoiling: preservatives at their share and pH, alcohol, sugar, glycerol, salt, alkali.

Enters: a formula, what its product holds and what its materials were recognised as.  Leaves: `Keeping`.  Nothing here
replaces a test of the finished product.  Shares printed in the tables as % m/v are taken as % m/m.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from ..findings import Missing
from ..fraction import Fraction
from ..model import AcidityRange, Formula, Known, Material, Preserver
from ..reference import spelt
from ..reference.preservatives import MistakenRow, PreservativeRow, preservatives
from ..wording.saying import Saying, says
from . import ethanol
from .acids import Acid, acid_of, undissociated
from .activity import WaterActivity, water_activity
from .composition import Composition
from .known import ONE, ZERO, times
from .recognised import Recognised, counted

ORDINARY_PH = (Fraction(5), Fraction(7))
"""Between these a preparation of no written pH is taken to be; what does not work in all of it asks for the pH (common
practice, no source)."""
STILL_ACTIVE = Fraction(1, 10)
"""Undissociated share of a weak acid down to which it is not said that it does not work (rule of the trade; for benzoic
acid up to pH 5.15, for sorbic acid up to 5.71)."""


class Effect(StrEnum):
    """How a preservative stands in a formula."""

    WORKS = "works"
    """At its usual share and in its working pH."""
    LITTLE = "too little"
    """Below its usual share."""
    PH_BEYOND = "outside its working pH"
    """All of the formula's pH lies outside."""
    PH_CROSSES = "perhaps outside its working pH"
    """Some of the formula's pH lies outside."""
    PH_UNWRITTEN = "pH not written"
    """No pH is written, and it matters."""
    TAKEN_UP = "taken up"
    """Something in the product takes it up."""
    PARTNER = "needs a partner"
    """It supports a preservative and is not one by itself."""
    UNKNOWN = "amount not known"
    """How much there is of it cannot be reckoned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PreservativeJudged:
    """One preservative in the finished product."""

    row: PreservativeRow
    """The preservative."""
    substances: tuple[str, ...]
    """Its forms that are there."""
    materials: tuple[str, ...]
    """Keys of the materials that bring it."""
    share: Known
    """Least share by weight of the finished product; of an acid and its salts as the acid."""
    effect: Effect
    """How it stands."""
    is_sure: bool
    """True when what speaks against it was seen, so that it may bar a formula."""
    called: bool
    """True when a line or its material calls it a preservative."""
    ph: AcidityRange | None
    """The formula's pH."""
    acid: Acid | None
    """What it is as a weak acid; None where it is none."""
    takers: tuple[str, ...]
    """What takes it up."""

    @property
    def fails(self) -> bool:
        """Whether it surely does not preserve here."""
        return self.is_sure and self.effect in (Effect.LITTLE, Effect.PH_BEYOND)


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """The topic's figures for one formula."""

    by: Preserver | None
    """What keeps it, as far as that can be reckoned; None for nothing."""
    reason: Saying | None
    """Why, where it is no preservative."""
    judged: tuple[PreservativeJudged, ...]
    """The preservatives that it holds: what is called so, and what works without being called so."""
    together: bool
    """True when several that are each below their usual share add up to it."""
    by_word: tuple[str, ...]
    """Keys of the materials that are called preservatives and stand in no table."""
    acids: Mapping[str, Acid]
    """Of these, those whose file writes a pKa → what they are as weak acids."""
    activity: WaterActivity | None
    """An estimate of the water activity, which decides nothing; None where little is dissolved."""
    mistaken: Mapping[str, MistakenRow]
    """Keys of the materials that are called preservatives and are none → what they are."""

    @property
    def works(self) -> bool:
        """Whether a preservative works, or several together."""
        return self.together or any(item.effect is Effect.WORKS for item in self.judged)

    @property
    def may_work(self) -> bool:
        """Whether a preservative may work that is not known to fail, or one that stands in no table."""
        return bool(self.by_word) or any(item.called and not item.fails for item in self.judged)


def mistaken_for(material: Material, told: Sequence[Recognised]) -> MistakenRow | None:
    """Return as what a material is mistaken for a preservative; None where it is not, or where it holds one.

    Its own name says so, or everything that it lists.

    Source: the table of preservatives.
    """
    table = preservatives()
    if any(item.substance in table.by_substance for item in told):
        return None
    own = [table.mistaken[item.substance] for item in told if item.whole and item.substance in table.mistaken]
    if own or not material.contains:
        return own[0] if own else None
    names = [table.mistaken.get(table.names.get(spelt(entry.substance), "")) for entry in material.contains]
    return names[0] if all(names) else None


def keeping(
    formula: Formula,
    composition: Composition,
    known_as: Mapping[str, Sequence[Recognised]],
    called: Sequence[str],
    mistaken: Mapping[str, MistakenRow],
    pkas: Mapping[str, tuple[Fraction, ...]],
    water: Known,
    alcohol: Known,
    *,
    dry: bool,
) -> Keeping:
    """Return what keeps a preparation from spoiling.

    A preservative counts from its lowest usual share on, in its working pH, where nothing is there that takes it up;
    several that are each below it count where their shares ÷ their lowest usual shares add up to 1.  A weak acid and
    its salts are counted as the acid, and how much of it is undissociated is told.  What is called a preservative and
    stands in no table counts by the word of the book.  Sodium chloride keeps from 23.1 % of salt and water on, sugar
    from as much as in syrup, 850 g in 1313 g.  Glycerol holds its own volume of water, 850 g of sugar 450 mL.  Alcohol
    keeps from 18 % by volume of the water that nothing holds (15 % at pH 5 and below), propylene glycol counting as
    alcohol; alkali from pH 10 on.

    Source: the table of preservatives, row by row; that shares add up, own choice, no source.
    """
    judged = tuple(_preservatives(formula, composition, known_as, pkas, frozenset(called)))
    together = _add_up(judged)
    told = frozenset(key for item in judged for key in item.materials)
    by_word = tuple(key for key in called if key not in told)
    by, reason = (Preserver.LITTLE_WATER if dry else None), None
    if not dry and (together or any(item.effect is Effect.WORKS for item in judged)):
        by = Preserver.PRESERVATIVE
    elif not dry:
        by, reason = _otherwise(formula, composition, known_as, water, alcohol)
    acids = {key: Acid(pkas=pkas[key], of_file=True, ph=formula.ph) for key in by_word if key in pkas}
    return Keeping(
        by=by,
        reason=reason,
        judged=judged,
        together=together,
        by_word=by_word,
        acids=acids,
        activity=None if dry else water_activity(composition, known_as, water),
        mistaken=mistaken,
    )


# ── Preservatives ─────────────────────────────────────────────────────────────────────────────────────────────────


def _preservatives(
    formula: Formula,
    composition: Composition,
    known_as: Mapping[str, Sequence[Recognised]],
    pkas: Mapping[str, tuple[Fraction, ...]],
    called: frozenset[str],
) -> Iterator[PreservativeJudged]:
    """Yield the preservatives that are called so, and those seen in a table that work without being called so."""
    found: dict[PreservativeRow, list[tuple[str, Recognised]]] = {}
    table, held = preservatives(), set[str]()
    for key in composition.materials:
        for told in known_as.get(key, ()):
            held.add(told.substance)
            row = table.by_substance.get(told.substance)
            if row is not None:
                found.setdefault(row, []).append((key, told))
    partner = any(row.partner for row in found)
    for row, items in sorted(found.items(), key=lambda entry: entry[0].substances):
        items.sort(key=lambda item: (item[0], item[1].substance))
        acid = acid_of(row, [key for key, _ in items], pkas, known_as, formula.ph)
        judged = _judged(row, items, acid, formula.ph, composition, frozenset(held))
        is_called = any(key in called for key, _ in items)
        if judged.effect is Effect.LITTLE and partner:
            judged = replace(judged, is_sure=False)
        if is_called or (judged.effect is Effect.WORKS and row.memory.isdisjoint({"usual", "pH"})):
            yield replace(judged, called=is_called)


def _judged(
    row: PreservativeRow,
    items: Sequence[tuple[str, Recognised]],
    acid: Acid | None,
    ph: AcidityRange | None,
    composition: Composition,
    held: frozenset[str],
) -> PreservativeJudged:
    share = _share(row, items, composition)
    takers = tuple(sorted(row.takers & held))
    effect, is_sure = _at_ph(row, acid, ph)
    if not isinstance(share, Missing) and share < row.usual[0] and (effect is Effect.WORKS or not is_sure):
        effect, is_sure = Effect.LITTLE, row.is_sure_of("usual")
    elif isinstance(share, Missing) and not (effect is Effect.PH_BEYOND and is_sure):
        effect, is_sure = Effect.UNKNOWN, False
    elif effect is Effect.WORKS and takers:
        effect, is_sure = Effect.TAKEN_UP, row.is_sure_of("taken up by")
    elif effect is Effect.WORKS and row.partner:
        effect, is_sure = Effect.PARTNER, False
    return PreservativeJudged(
        row=row,
        substances=tuple(dict.fromkeys(told.substance for _, told in items)),
        materials=tuple(dict.fromkeys(key for key, _ in items)),
        share=share,
        effect=effect,
        is_sure=is_sure,
        called=False,
        ph=ph,
        acid=acid,
        takers=takers,
    )


def _share(row: PreservativeRow, items: Sequence[tuple[str, Recognised]], composition: Composition) -> Known:
    """Return the least share of the product, acids and their salts as the acid."""
    if isinstance(composition.shares, Missing):
        return composition.shares
    total = ZERO
    for key, told in items:
        if key in composition.at_most:
            continue
        part = times(told.low, composition.shares[key])
        factor = counted(told.substance, spelt(row.acid)) if row.acid else ONE
        if isinstance(part, Missing):
            return part
        total += part * (factor if factor is not None else ONE)
    return total


def _at_ph(row: PreservativeRow, acid: Acid | None, ph: AcidityRange | None) -> tuple[Effect, bool]:
    """Return how a preservative stands at the formula's pH, and whether that is sure.

    A weak acid works at a lower pH all the better.  Above its working pH it is not said to fail while more than a tenth
    of it is undissociated.
    """
    least, most = row.ph
    low, high = ORDINARY_PH if ph is None else (ph.low.value, ph.high.value)
    under = least if row.pka is None else None
    inside = (under is None or low >= under) and (most is None or high <= most)
    if inside:
        return Effect.WORKS, True
    if ph is None:
        return Effect.PH_UNWRITTEN, False
    if (most is not None and low > most) or (under is not None and high < under):
        active = acid is not None and undissociated(acid.pkas[0], low, *acid.pkas[1:]) > STILL_ACTIVE
        return Effect.PH_BEYOND, row.is_sure_of("pH") and not active
    return Effect.PH_CROSSES, False


def _add_up(judged: Sequence[PreservativeJudged]) -> bool:
    """Tell whether several preservatives that are each below their usual share make one of usual share together."""
    parts = [
        item.share / item.row.usual[0]
        for item in judged
        if item.effect is Effect.LITTLE
        and not item.row.partner
        and not item.takers
        and _at_ph(item.row, item.acid, item.ph)[0] is Effect.WORKS
        and not isinstance(item.share, Missing)
    ]
    return sum(parts) >= ONE


# ── What else keeps it ────────────────────────────────────────────────────────────────────────────────────────────


def _otherwise(
    formula: Formula,
    composition: Composition,
    known_as: Mapping[str, Sequence[Recognised]],
    water: Known,
    alcohol: Known,
) -> tuple[Preserver | None, Saying | None]:
    """Return what else keeps it, and why."""
    kept = preservatives().kept
    ph = formula.ph
    if ph is not None and ph.low.value >= kept["alkali"].numbers["pH"]:
        told = says("kept-by-alkali", ph=ph.low.text, least=kept["alkali"].numbers["pH"], source=kept["alkali"].source)
        return Preserver.ALKALI, told
    if isinstance(water, Missing) or isinstance(alcohol, Missing) or isinstance(composition.shares, Missing):
        return None, None
    salt, sugar, glycerol, glycol = (
        _sum(kept[key].substances, composition.shares, composition, known_as)
        for key in ("salt", "sucrose", "glycerol", "glycol")
    )
    if not (salt or sugar or glycerol or glycol or alcohol):
        return None, None
    least = kept["salt"].numbers["share"] / 100
    if salt and salt >= least * (salt + water):
        told = says("kept-by-salt", share=salt / (salt + water), least=least, source=kept["salt"].source)
        return Preserver.SALT, told
    least = kept["sucrose"].numbers["grams"] / kept["sucrose"].numbers["in"]
    if sugar and sugar >= least * (sugar + water):
        told = says("kept-by-sugar", share=sugar / (sugar + water), least=least, source=kept["sucrose"].source)
        return Preserver.SUGAR, told
    free = free_water(water, sugar, glycerol)
    if not free:
        told = says("kept-by-holding", source=kept["glycerol"].source)
        return (Preserver.GLYCEROL if glycerol else Preserver.SUGAR), told
    spirit = alcohol / ethanol.density(ONE)
    counts = spirit + glycol / kept["glycol"].numbers["density"]
    numbers = kept["ethanol"].numbers
    acid = ph is not None and ph.high.value <= numbers["acid pH"]
    least = (numbers["acid share"] if acid else numbers["share"]) / 100
    if counts and counts >= least * (counts + free):
        told = says(
            "kept-by-alcohol" if not glycol else "kept-by-glycol" if not spirit else "kept-by-both",
            share=counts / (counts + free),
            least=least,
            source=kept["ethanol"].source,
        )
        return (Preserver.ALCOHOL if spirit >= counts - spirit else Preserver.GLYCOL), told
    return None, None


def free_water(water: Fraction, sugar: Fraction, glycerol: Fraction) -> Fraction:
    """Return the millilitres of water that sugar and glycerol leave free for microbes, of so many grams of each.

    Sugar holds 450 mL for 850 g, glycerol its own volume of water.

    Source: the table of preservatives (compounding laboratory of the University of North Carolina, Preserving Syrups).

    >>> free_water(Fraction(600), Fraction(500), Fraction(0))
    Fraction(5700, 17)
    """
    kept = preservatives().kept
    held = sugar * kept["sucrose"].numbers["holds"] / kept["sucrose"].numbers["grams"]
    held += glycerol * kept["glycerol"].numbers["holds"] / kept["glycerol"].numbers["density"]
    return max(ZERO, water - held)


def _sum(
    substances: Sequence[str],
    shares: Mapping[str, Fraction],
    composition: Composition,
    known_as: Mapping[str, Sequence[Recognised]],
) -> Fraction:
    """Return the least share of some substances in the product; what is not known adds nothing."""
    total = ZERO
    for key, share in shares.items():
        for told in known_as.get(key, ()):
            if told.substance in substances and key not in composition.at_most:
                part = times(told.low, share)
                total += ZERO if isinstance(part, Missing) else part
    return total
