"""Storage: the kind of preparation from its composition, the published period, the use-by date and its reason.

Enters: a formula, its composition, the published periods.  Leaves: `StorageFigure`, and from it a date.

Named choices.  A period of months is judged as 30 days a month (so six months do not go beyond 180 days), while its
date is a calendar date; the earlier date counts.  The day of making is day 0: date + n days (a hospital page counts it
as day 1, T08-06).  Less than 1 % of free water does not make a preparation one that can spoil (own choice, no source).
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from functools import lru_cache

from ..findings import Missing
from ..fraction import Fraction
from ..model import (
    ETHANOL,
    ROUTES,
    Book,
    Formula,
    KeeperPeriods,
    Kind,
    Known,
    Material,
    Period,
    Preserved,
    Preserver,
    Site,
    StoragePlace,
)
from ..reference import storage_periods
from ..reference.preservatives import MistakenRow
from ..wording.saying import Saying, says
from .amounts import Amounts
from .composition import Composition
from .functions import preserves
from .known import ONE, add, times
from .preserving import Keeping, keeping, mistaken_for
from .recognised import Recognised
from .same import Same
from .strengths import strength_of_material
from .waters import Waters, water_in, waters_of

DAYS_A_MONTH = 30
"""For judging a period of months against one of days."""
ALWAYS_LONGER = 6
"""From so many calendar months on, they last longer than 30 days each whatever the day of making: six of them are 181
to 184 days.  Fewer may not be: two months from 31 December end after 59 days (own arithmetic)."""


class Preparation(StrEnum):
    """The kind of preparation, by what could spoil in it."""

    WATER = "water that can spoil, unpreserved"
    PRESERVED = "contains water and a preservative"
    ALCOHOL = "contains water and alcohol"
    SELF_KEEPING = "contains water and keeps by what is dissolved in it"
    NO_WATER = "no water"


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodRule:
    """A longest period, and who says so."""

    period: Period
    """The longest period."""
    place: StoragePlace | None
    """Where it has to be kept for that; None when the rule names none."""
    whose: Saying
    """Whose period it is: assigned, the rule with its source, the keeper's own, an intermediate's."""
    for_the_body: bool = False
    """True for a published period that counts only where one is borrowed, not for what touches nobody."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageFigure:
    """The topic's figures for one formula."""

    preparation: Preparation | Missing
    """What kind it is."""
    water: Known
    """Free water, share of the product."""
    alcohol: Known
    """Ethanol, share of the product by weight."""
    preservatives: tuple[str, ...]
    """Keys of the materials that are called preservatives, in the formula or in its intermediates, and are not only
    mistaken for one."""
    mistaken: Mapping[str, MistakenRow]
    """Keys of the materials that are called preservatives and are none → what they are."""
    keeping: Keeping
    """What keeps it from spoiling, as far as that can be reckoned."""
    by_word_of_formula: Preserved | None
    """What the formula says that keeps it, with its reason, where nothing that could be reckoned does."""
    brings_water: bool
    """True when water is among the ingredients, whether or not its share is known."""
    unsure: tuple[str, ...]
    """Keys of the materials of which it is not known whether they bring water."""
    rule: PeriodRule | Missing
    """The longest period without a reason of one's own: the published one, or the keeper's."""
    published: PeriodRule | Missing
    """The published period, borrowed where it is not a medicine."""
    limits: tuple[PeriodRule, ...]
    """Every limit on the period, shortest first: the assigned period, the rule, the intermediates'."""
    period: Period | Missing
    """The shortest of them."""
    whose: Saying | None
    """Whose it is; None where none is known."""


NO_PERIOD = Missing(says=says("no-period"))
OFF_THE_BODY = frozenset({Site.ROOM, Site.TEXTILES, Site.SURFACES})
"""Where what is used touches nobody."""


def untested(kind: Preparation | Missing, formula: Formula) -> bool:
    """Tell whether what keeps it is not known to have been tested: nothing is written as `because:`."""
    because = formula.storage is not None and bool(formula.storage.because)
    kept = (Preparation.PRESERVED, Preparation.ALCOHOL, Preparation.SELF_KEEPING)
    return kind in kept and not because


def borrows(formula: Formula) -> bool:
    """Tell whether the published periods, which are for medicines, are borrowed for a formula or are its own.

    Not for a household product, nor for what is used in rooms, on textiles and on surfaces alone: a candle, a wax for
    furniture, a room scent.

    Source: own choice, no source.
    """
    if formula.kind is Kind.MEDICINE:
        return True
    return formula.kind is not Kind.HOUSEHOLD and not (formula.sites and formula.sites <= OFF_THE_BODY)


def days_of(period: Period) -> int:
    """Return a period as days for judging: 30 a month."""
    return period.days + DAYS_A_MONTH * period.months


def after(made: date, period: Period) -> date:
    """Return the last day of a period that starts on the day of making: that date + n days, or + n months.

    Where the month has no such day, its last day counts.  Sources disagree: here the day of making is day 0, while a
    hospital page counts it as day 1.

    Source: own arithmetic; day of making as day 1: University of Illinois, veterinary teaching hospital, use-by dates.

    >>> after(date(2026, 8, 31), Period(months=6, text="6 months"))
    datetime.date(2027, 2, 28)
    """
    month = made.month - 1 + period.months
    year, month = made.year + month // 12, month % 12 + 1
    return date(year, month, min(made.day, monthrange(year, month)[1])) + timedelta(days=period.days)


def use_by(made: date, limits: Sequence[PeriodRule]) -> tuple[date, Saying] | Missing:
    """Return the last day of use, up to and including, and whose limit it is: the earliest of all limits.

    The limits are the period assigned in the formula, the longest period of the rule for its kind of preparation, and
    those of its intermediates.  A longer period than the rule's needs a reason of the keeper's (`because`), and never
    holds for unpreserved water.

    Source: the periods in the table below; that the earliest counts is common practice, no source.
    """
    if not limits:
        return NO_PERIOD
    dated = []
    for limit in limits:
        try:
            dated.append((after(made, limit.period), limit.whose))
        except (OverflowError, ValueError):
            continue  # beyond the calendar: it limits nothing
    return min(dated, default=None, key=lambda reached: reached[0]) or Missing(says=says("beyond-calendar"))


def storage(
    formula: Formula,
    book: Book,
    amounts: Amounts,
    composition: Composition,
    inner: Mapping[str, Composition],
    done: Mapping[str, StorageFigure],
    known_as: Mapping[str, Sequence[Recognised]],
) -> StorageFigure:
    """Return the kind of preparation, by what could spoil in it, and the periods that limit it.

    Water is the sum over the composition, each material by its own.  From 1 % on of what is not bound in
    crystals, in a powder or in a solid the preparation counts as water that can spoil; with a preservative that
    works or may work, as water with a preservative, whose effect is not tested; else with enough alcohol as
    water with alcohol; with enough sugar, glycerol, propylene glycol, salt or alkali as water that keeps by it;
    else as what the formula says under `preserved by:` with its reason.  Periods of months are judged as 30
    days a month.  Published periods are for medicines; for what goes on the body they are borrowed, and called
    so.  For a household product and what is used in rooms, on textiles or on surfaces none is borrowed, except
    for unpreserved water.

    Source: 1 % of water, own choice, no source; what keeps it, as below.
    """
    waters, alcohol = waters_of(book, composition), _alcohol(book, composition)
    called = _preservatives(book, amounts, composition, inner, done)
    mistaken = _mistaken(called, book, known_as, share_known=not isinstance(alcohol, Missing)) | {
        key: row
        for line in amounts.lines
        if line.counts and line.key in done
        for key, row in done[line.key].mistaken.items()
        if key in composition.materials
    }
    preservatives = tuple(key for key in called if key not in mistaken)
    pkas = {key: its for key, its in _pkas_of(Same(book.materials)).items() if key in composition.materials}
    kept = keeping(
        formula, composition, known_as, preservatives, mistaken, pkas, waters.most, alcohol, dry=not waters.counts
    )
    if kept.reason is not None:  # sugar or alcohol is called a preservative with right where it is one
        mistaken = {key: row for key, row in mistaken.items() if not row.by_share}
        kept = replace(kept, mistaken=mistaken)
    word = formula.preserved_by
    if composition.unfiled:
        kind: Preparation | Missing = _strange(composition.unfiled, book)
    else:
        kind = _kind(waters, kept)
    undecided = kind in (Preparation.WATER, Preparation.PRESERVED) and kept.by is None
    if undecided and word is not None and word.is_reasoned:
        kind = _BY_WORD.get(word.what[0], Preparation.SELF_KEEPING)
    else:
        word = None
    published = _published(kind, formula)
    limits = _limits(formula, kind, rule := _keepers(kind, published, book.workroom.periods), amounts, done)
    return StorageFigure(
        preparation=kind,
        water=waters.all,
        alcohol=alcohol,
        preservatives=preservatives,
        mistaken=mistaken,
        keeping=kept,
        by_word_of_formula=word,
        brings_water=waters.counts,
        unsure=waters.unsure,
        rule=rule,
        published=published,
        limits=limits,
        period=limits[0].period if limits else NO_PERIOD,
        whose=limits[0].whose if limits else None,
    )


def _alcohol(book: Book, composition: Composition) -> Known:
    """Return the ethanol of a product, as a share of it by weight."""
    shares = composition.shares
    if isinstance(shares, Missing):
        return shares
    held = _ethanol_in(Same(book.materials))
    return add(times(ethanol, share) for key, share in shares.items() if key in held for ethanol in held[key])


@lru_cache(maxsize=2)
def _pkas_of(materials: Same[Mapping[str, Material]]) -> Mapping[str, tuple[Fraction, ...]]:
    """Return the pKa that the files of a book's materials write."""
    return {key: tuple(pka.value for pka in material.pka) for key, material in materials.record.items() if material.pka}


@lru_cache(maxsize=2)
def _ethanol_in(materials: Same[Mapping[str, Material]]) -> Mapping[str, tuple[Known, ...]]:
    """Return the ethanol that each material of a book lists, by its names, where it lists any."""
    found = {
        key: tuple(ethanol for name in ETHANOL if (ethanol := strength_of_material(material, name)) is not None)
        for key, material in materials.record.items()
        if material.contains
    }
    return {key: held for key, held in found.items() if held}


def _strange(keys: Iterable[str], book: Book) -> Missing:
    """Return why nothing is said of what could spoil: an ingredient without a file may bring anything."""
    return Missing(says=says("unfiled", names=tuple(book.name_of(key) for key in sorted(keys))), reported=True)


def _preservatives(
    book: Book,
    amounts: Amounts,
    composition: Composition,
    inner: Mapping[str, Composition],
    done: Mapping[str, StorageFigure],
) -> tuple[str, ...]:
    """Return the materials that a line or the material itself calls a preservative, and that stay in the product.

    An intermediate brings its own; where it has none and its line calls it a preservative, all it holds counts.  What
    is nothing but water is none, whatever it is called.
    """
    found: dict[str, None] = {}
    for line in amounts.lines:
        if not line.counts:
            continue
        if line.key in done:
            called = sorted(inner[line.key].materials) if preserves(line.line.function) else ()
            found.update(dict.fromkeys(done[line.key].preservatives or _not_water(called, book)))
        elif line.key in book.materials and preserves(line.line.function, book.materials[line.key].function):
            found.update(dict.fromkeys(_not_water((line.key,), book)))
    return tuple(key for key in found if key in composition.materials)


def _not_water(keys: Sequence[str], book: Book) -> tuple[str, ...]:
    return tuple(key for key in keys if water_in(book.materials[key]) != ONE)


_BY_WORD = {Preserver.PRESERVATIVE: Preparation.PRESERVED, Preserver.ALCOHOL: Preparation.ALCOHOL}
"""What a formula says that keeps it → the kind of preparation that it then is, where that has a kind of its own."""


def _mistaken(
    called: Sequence[str], book: Book, known_as: Mapping[str, Sequence[Recognised]], *, share_known: bool
) -> dict[str, MistakenRow]:
    """Return what is called a preservative and is only mistaken for one; by its share only where that is known."""
    found = {key: mistaken_for(book.materials[key], known_as.get(key, ())) for key in called}
    return {key: row for key, row in found.items() if row is not None and (share_known or not row.by_share)}


def _kind(waters: Waters, kept: Keeping) -> Preparation | Missing:
    if not waters.counts:
        return waters.why or Preparation.NO_WATER
    if kept.works:
        return Preparation.PRESERVED
    if kept.by is not None:
        return Preparation.ALCOHOL if kept.by is Preserver.ALCOHOL else Preparation.SELF_KEEPING
    return Preparation.PRESERVED if kept.may_work else Preparation.WATER


def _published(kind: Preparation | Missing, formula: Formula) -> PeriodRule | Missing:
    """Return the published period of the kind; for what is not a medicine it is borrowed, and called so.

    Water that can spoil has one whatever it is for; anything else only where a period is borrowed.
    """
    if isinstance(kind, Missing):
        return kind
    if kind is not Preparation.WATER and not borrows(formula):
        return Missing(says=says("no-period-for-use"))
    entry = storage_periods()[_row_for(kind, formula)]
    own = formula.kind is Kind.MEDICINE
    return PeriodRule(
        period=Period(days=entry.days, text=f"{entry.days} days"),
        place=StoragePlace(entry.place) if entry.place else None,
        whose=says("of-the-rule" if own else "borrowed", rule=entry.words, document=entry.short),
        for_the_body=kind is not Preparation.WATER,
    )


def _row_for(kind: Preparation, formula: Formula) -> str:
    """Return the name of the published period; a liquid without water that is swallowed has its own (T08-03)."""
    if kind is not Preparation.NO_WATER or not (formula.in_pieces or formula.sites & ROUTES):
        return kind.name.lower()
    return "swallowed" if Site.SWALLOWED in formula.sites and not formula.in_pieces else "solid"


def _keepers(
    kind: Preparation | Missing, published: PeriodRule | Missing, periods: KeeperPeriods
) -> PeriodRule | Missing:
    """Return the keeper's own period where the workroom has one; for unpreserved water only if it is shorter."""
    if isinstance(kind, Missing):
        return published
    own = {
        Preparation.WATER: periods.water,
        Preparation.PRESERVED: periods.water_preserved,
        Preparation.ALCOHOL: periods.water_preserved,
        Preparation.SELF_KEEPING: periods.water_preserved,
        Preparation.NO_WATER: periods.no_water,
    }[kind]
    if own is None:
        return published
    if isinstance(published, Missing):
        return PeriodRule(period=own, place=None, whose=says("keepers-own", kind=kind))
    if kind is Preparation.WATER and days_of(own) > days_of(published.period):
        return published
    return PeriodRule(period=own, place=published.place, whose=says("keepers-own", kind=kind))


def _limits(
    formula: Formula,
    kind: Preparation | Missing,
    rule: PeriodRule | Missing,
    amounts: Amounts,
    done: Mapping[str, StorageFigure],
) -> tuple[PeriodRule, ...]:
    """Return every limit, shortest first.

    The rule does not limit a formula whose storage says `because:`, except unpreserved water.  A period that is not
    borrowed for the formula does not come with an intermediate either.
    """
    found: list[PeriodRule] = []
    own = formula.storage
    if own is not None and own.period is not None:
        found.append(PeriodRule(period=own.period, place=own.place, whose=says("assigned")))
    excused = own is not None and bool(own.because) and kind is not Preparation.WATER
    if isinstance(rule, PeriodRule) and not excused:
        found.append(rule)
    for line in amounts.lines:
        inner = done.get(line.key)
        if line.counts and inner is not None:
            its = _earliest([limit for limit in inner.limits if borrows(formula) or not limit.for_the_body])
            found += [
                replace(limit, place=None, whose=says("of-intermediate", name=line.name, whose=limit.whose))
                for limit in its
            ]
    return tuple(sorted(dict.fromkeys(found), key=lambda limit: _length(limit.period)))


def _length(period: Period) -> tuple[int, bool]:
    """Return what a period is put in order by: its days; of equal ones, months last where they are always longer."""
    return days_of(period), period.months >= ALWAYS_LONGER


def _earliest(limits: Sequence[PeriodRule]) -> tuple[PeriodRule, ...]:
    """Return the limits of which one is the earliest whatever the day of making: the shortest in days, and in months.

    Six months can end before or after 180 days.
    """
    in_days = [limit for limit in limits if not limit.period.months]
    in_months = [limit for limit in limits if limit.period.months]
    return (*in_days[:1], *in_months[:1])
