"""Limits: what a cosmetic holds of each listed substance, against the entry that holds for its use.

Enters: a formula, its composition and what its materials were recognised as.  Leaves: `Limits`.  The law binds what is
put on the market; for the keeper it is a guide.  Nothing here says that a product may be sold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from ..findings import Missing
from ..model import Contact, Formula, Kind, Known, Person, Site
from ..reference.limits import Ceiling, LimitRow, Never, Where, limits
from ..wording.saying import Saying, says
from .composition import Composition
from .functions import items_of
from .known import ONE, ZERO, times
from .recognised import Recognised, counted, named

Recognitions = Mapping[str, tuple[Recognised, ...]]
"""Material key → what it was recognised as; materials of which the tables have nothing are left out."""

SLACK = Fraction("1.0005")
"""How far beyond a limit still counts as at it after a conversion: the molar masses carry no more (own choice)."""
SKIN = (Site.FACE, Site.BODY, Site.HANDS, Site.FEET, Site.SCALP, Site.HAIR)
"""Where a cosmetic may be used that does not say where."""
NO_SKIN = frozenset({Site.ROOM, Site.TEXTILES, Site.SURFACES})
"""Places of use at which nothing touches skin."""


class Outcome(StrEnum):
    """How a substance stands to an entry."""

    BELOW = "below"
    """At its limit or below it."""
    CROSSES = "crosses"
    """Between limits that the entry's figure lies within: it may be beyond."""
    BEYOND = "beyond"
    """Beyond its limit."""
    NEVER = "never"
    """The entry has none for this use."""
    PROHIBITED = "prohibited"
    """The entry has none at all."""
    UNKNOWN = "unknown"
    """How much there is of it cannot be reckoned."""


WORST = (Outcome.PROHIBITED, Outcome.NEVER, Outcome.BEYOND, Outcome.CROSSES, Outcome.UNKNOWN, Outcome.BELOW)
"""The gravest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Present:
    """One substance of the tables in the finished product, by one material."""

    substance: str
    """The substance."""
    material: str
    """Key of the material, or the name of what has no file yet."""
    name: str
    """The name by which it was told."""
    low: Known
    """Least share by weight of the finished product."""
    high: Known
    """Greatest share by weight of the finished product."""
    whole: bool
    """True when the material itself is the substance."""
    preserves: bool
    """True when a line calls the material a preservative."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstLimit:
    """One entry, judged."""

    row: LimitRow
    """The entry."""
    ceiling: Ceiling | None
    """The figure that it was judged by; None where the entry has none."""
    where: Saying | None
    """For which use that figure holds; None where it holds for all."""
    present: tuple[Present, ...]
    """What counts, the most first."""
    low: Known
    """Least share, in the form that is counted."""
    high: Known
    """Greatest share, in the form that is counted."""
    outcome: Outcome
    """How it stands."""
    outside: bool = False
    """True when the entry has other uses alone, which `where` then tells."""
    acidity: Fraction | None = None
    """The highest pH of the formula, where the figure is one of pH."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The topic's figures for one formula."""

    judged: tuple[AgainstLimit, ...]
    """The gravest first, then in the order of the table."""
    present: tuple[Present, ...]
    """Every substance of the tables that it holds."""
    silent: Saying | None
    """Why nothing is judged by the law for cosmetics; None where it is."""
    assumed: tuple[Saying, ...]
    """What its use does not say, so that the strictest holds."""


@dataclass(frozen=True, slots=True)
class _Situation:
    """One way of use that the formula may have."""

    contact: Contact
    site: Site
    persons: frozenset[Person]
    products: frozenset[str]

    def is_in(self, where: Where) -> bool:
        return (
            where.contact in (None, self.contact)
            and (not where.sites or self.site in where.sites)
            and (not where.persons or not where.persons.isdisjoint(self.persons))
            and (not where.products or not where.products.isdisjoint(self.products))
        )

    def falls_under(self, entry: Ceiling | Never) -> bool:
        return self.is_in(entry.where) and (entry.but is None or not self.is_in(entry.but))


def limits_of(
    formula: Formula, composition: Composition, known_as: Recognitions, preservatives: Iterable[str], *, judging: bool
) -> Limits:
    """Return how a cosmetic stands to the limits of the law for cosmetics.

    The substances of an entry are added up over all materials and intermediates at the high end, in the form that the
    entry counts.  Of several figures of an entry the one for the most particular use holds; where the use is not
    written, the strictest of those that may.  A highest figure is inclusive; after a conversion by molar masses up to
    1.0005 times as much counts as at it.

    Source: `limits.yaml`, row by row; the reckoning is own arithmetic.
    """
    present = tuple(_present(composition, known_as, frozenset(preservatives)))
    silent = _silent(formula, judging=judging)
    if silent is not None or not present:
        return Limits(judged=(), present=present, silent=silent, assumed=())
    situations, assumed = _situations(formula)
    found = [
        verdict
        for row in dict.fromkeys(row for item in present for row in limits().by_substance[item.substance])
        for verdict in _judged(row, present, situations, formula)
    ]
    order = {row.key: at for at, row in enumerate(limits().rows)}
    found.sort(key=lambda verdict: (WORST.index(verdict.outcome), order[verdict.row.key]))
    judged = tuple(verdict for at, verdict in enumerate(found) if not _is_said(verdict, found[:at]))
    return Limits(judged=judged, present=present, silent=None, assumed=assumed if found else ())


def _is_said(verdict: AgainstLimit, before: Iterable[AgainstLimit]) -> bool:
    """Tell whether a sum over several entries was judged by the same figure under another of them."""
    ceiling = verdict.ceiling
    return ceiling is not None and bool(ceiling.group) and any(ceiling == other.ceiling for other in before)


def _silent(formula: Formula, *, judging: bool) -> Saying | None:
    """Return why the law for cosmetics is not held against a formula, or None."""
    return not_of_a_cosmetic(formula) if judging else says("limits-off")


def not_of_a_cosmetic(formula: Formula) -> Saying | None:
    """Return why a formula is not taken for a cosmetic that somebody may put on the market, or None."""
    use = formula.use
    if use is not None and use.intermediate:
        return says("limits-not-of-intermediates")
    if formula.kind is None and use is None:
        return says("limits-not-of-unknown")
    if formula.kind in (Kind.MEDICINE, Kind.HOUSEHOLD):
        return says("limits-not-of-kind", kind=formula.kind.value)
    if use is not None and use.sites and NO_SKIN.issuperset(use.sites):
        return says("limits-not-off-skin")
    return None


def _present(composition: Composition, known_as: Recognitions, preservatives: frozenset[str]) -> Iterator[Present]:
    shares, listed = composition.shares, limits().by_substance
    for key in composition.materials if isinstance(shares, Missing) else shares:
        for told in known_as.get(key, ()):
            if told.substance not in listed:
                continue
            share = shares if isinstance(shares, Missing) else shares[key]
            low, high = times(told.low, share), times(told.high, share)
            if high == 0:
                continue
            yield Present(
                substance=told.substance,
                material=key,
                name=told.name,
                low=ZERO if key in composition.at_most and not isinstance(high, Missing) else low,
                high=high,
                whole=told.whole,
                preserves=key in preservatives,
            )
    for key in sorted(composition.unfiled):
        if substance := named(key):
            unknown = shares if isinstance(shares, Missing) else Missing(says=says("no-file", name=key))
            yield Present(
                substance=substance,
                material=key,
                name=key,
                low=unknown,
                high=unknown,
                whole=True,
                preserves=False,
            )


def _situations(formula: Formula) -> tuple[tuple[_Situation, ...], tuple[Saying, ...]]:
    """Return the ways of use that a formula may have, and what had to be assumed."""
    use, assumed = formula.use, list[Saying]()
    contacts = (use.contact,) if use is not None and use.contact else tuple(Contact)
    sites = tuple(site for site in use.sites if site not in NO_SKIN) if use is not None else ()
    if len(contacts) > 1:
        assumed.append(says("contact-assumed"))
    if not sites:
        assumed.append(says("sites-assumed"))
    persons = frozenset(use.persons) if use is not None else frozenset()
    products = limits().products & frozenset(items_of(formula.purpose))
    return tuple(_Situation(contact, site, persons, products) for contact in contacts for site in sites or SKIN), tuple(
        assumed
    )


def _judged(
    row: LimitRow, present: tuple[Present, ...], situations: tuple[_Situation, ...], formula: Formula
) -> Iterator[AgainstLimit]:
    """Yield how a formula stands to an entry: one verdict for each of its figures that holds somewhere."""
    mine = tuple(item for item in present if item.substance in row.substances)
    if row.prohibited:
        there = tuple(item for item in mine if item.whole or not row.natural)
        if there:
            yield _verdict(row, None, None, there, Outcome.PROHIBITED)
        return
    here = tuple(item for item in mine if not _is_elsewhere(row, item, situations))
    if not here:
        return
    mine = mine if row.with_preserving else here
    held = [situation for situation in situations if any(situation.falls_under(never) for never in row.never)]
    if held:
        where = next(never.where for never in row.never if held[0].falls_under(never))
        yield _verdict(row, None, _told(where), mine, Outcome.NEVER)
        return
    found: dict[Ceiling, tuple[AgainstLimit, ...]] = {}
    for situation in situations:
        ceilings = _holding(row, situation)
        if not ceilings and row.only:
            yield replace(_verdict(row, None, _uses(row), mine, Outcome.NEVER), outside=True)
            return
        for ceiling in ceilings:
            if ceiling not in found:
                found[ceiling] = tuple(_measured(row, ceiling, mine, present, formula))
    yield from _strictest(verdict for verdicts in found.values() for verdict in verdicts)


def _is_elsewhere(row: LimitRow, item: Present, situations: tuple[_Situation, ...]) -> bool:
    """Tell whether another entry holds for a substance: for what preserves Annex V, for the rest the one beside it."""
    table = limits()
    rows = table.by_substance[item.substance]
    if row.instead and not item.preserves:
        entries: list[Ceiling | Never] = []
        for other in rows:
            if other.key in row.instead:
                entries += (*other.most, *other.never)
        return any(situation.falls_under(entry) for entry in entries for situation in situations)
    return item.preserves and any(row.key in other.instead for other in rows)


def _holding(row: LimitRow, situation: _Situation) -> tuple[Ceiling, ...]:
    """Return the figures of an entry that hold in a situation: of each way of counting the most particular."""
    ways: dict[tuple[str, bool, str, bool], list[Ceiling]] = {}
    for ceiling in row.most:
        if situation.falls_under(ceiling):
            way = (ceiling.counted_as, ceiling.each, ceiling.group, ceiling.share is None)
            ways.setdefault(way, []).append(ceiling)
    found = []
    for ceilings in ways.values():
        most = max(_particular(ceiling.where) for ceiling in ceilings)
        found += [ceiling for ceiling in ceilings if _particular(ceiling.where) == most]
    return tuple(found)


def _particular(where: Where) -> tuple[bool, bool, bool, bool]:
    return bool(where.products), bool(where.persons), bool(where.sites), where.contact is not None


def _measured(
    row: LimitRow, ceiling: Ceiling, mine: tuple[Present, ...], present: tuple[Present, ...], formula: Formula
) -> Iterator[AgainstLimit]:
    """Yield the verdict on a figure: on the sum, or on each substance where each counts for itself."""
    where = _told(ceiling.where)
    if ceiling.ph is not None:
        if formula.ph is not None and formula.ph.high.value > ceiling.ph:
            outcome = Outcome.BEYOND if formula.ph.low.value > ceiling.ph else Outcome.CROSSES
            yield replace(_verdict(row, ceiling, where, mine, outcome), acidity=formula.ph.high.value)
        return
    table = limits()
    if ceiling.group:
        rows = [other for other in table.rows if ceiling.group in other.sums]
        mine = tuple(item for item in present if any(item.substance in other.substances for other in rows))
    groups = [mine]
    if ceiling.each:
        groups = [
            tuple(item for item in mine if item.substance == name)
            for name in dict.fromkeys(item.substance for item in mine)
        ]
    for group in groups:
        low, high, turned = _sum(group, ceiling)
        yield AgainstLimit(
            row=row,
            ceiling=ceiling,
            where=where,
            present=_most_first(group),
            low=low,
            high=high,
            outcome=_stands(low, high, ceiling, turned=turned),
        )


def _sum(group: tuple[Present, ...], ceiling: Ceiling) -> tuple[Known, Known, bool]:
    """Return the least and the greatest sum in the form that is counted, and whether a molar mass was used."""
    low, high, turned = ZERO, ZERO, False
    for item in group:
        factor = counted(item.substance, ceiling.counted_as)
        if factor is None:
            unknown = Missing(says=says("not-counted-as", name=item.substance, form=ceiling.counted_as))
            return unknown, unknown, turned
        if isinstance(item.high, Missing) or isinstance(item.low, Missing):
            return item.low, item.high, turned
        low, high, turned = low + item.low * factor, high + item.high * factor, turned or factor != ONE
    return low, high, turned


def _stands(low: Known, high: Known, ceiling: Ceiling, *, turned: bool) -> Outcome:
    """Return how an interval stands to a figure."""
    if isinstance(low, Missing) or isinstance(high, Missing) or ceiling.share is None:
        return Outcome.UNKNOWN
    most = ceiling.share * (SLACK if turned and not ceiling.below else 1)
    if high < most or (high == most and not ceiling.below):
        return Outcome.BELOW
    beyond = low >= most if ceiling.below else low > most
    return Outcome.BEYOND if beyond else Outcome.CROSSES


def _strictest(judged: Iterable[AgainstLimit]) -> Iterator[AgainstLimit]:
    """Yield of each way of counting the verdict that is gravest, and of those alike the one with the lowest figure."""
    best: dict[tuple[str, bool, str, bool, tuple[str, ...]], AgainstLimit] = {}
    for verdict in judged:
        ceiling = verdict.ceiling
        if ceiling is None:
            continue
        names = tuple(sorted({item.substance for item in verdict.present}))
        way = (ceiling.counted_as, ceiling.each, ceiling.group, ceiling.share is None, names)
        other = best.get(way)
        if other is None or _gravity(verdict) < _gravity(other):
            best[way] = verdict
    yield from best.values()


def _gravity(verdict: AgainstLimit) -> tuple[int, Fraction]:
    share = verdict.ceiling.share if verdict.ceiling is not None and verdict.ceiling.share is not None else ZERO
    return WORST.index(verdict.outcome), share


def _verdict(
    row: LimitRow, ceiling: Ceiling | None, where: Saying | None, mine: tuple[Present, ...], outcome: Outcome
) -> AgainstLimit:
    low, high, _ = _sum(mine, ceiling) if ceiling is not None else (_add(mine, "low"), _add(mine, "high"), False)
    return AgainstLimit(
        row=row, ceiling=ceiling, where=where, present=_most_first(mine), low=low, high=high, outcome=outcome
    )


def _add(mine: tuple[Present, ...], end: str) -> Known:
    total = ZERO
    for item in mine:
        share = item.low if end == "low" else item.high
        if isinstance(share, Missing):
            return share
        total += share
    return total


def _most_first(group: tuple[Present, ...]) -> tuple[Present, ...]:
    return tuple(
        sorted(group, key=lambda item: (ZERO if isinstance(item.high, Missing) else -item.high, item.substance))
    )


def _uses(row: LimitRow) -> Saying:
    """Return the uses that an entry has, in words."""
    return says("uses-told", uses=tuple(dict.fromkeys(told for most in row.most if (told := _told(most.where)))))


def _told(where: Where) -> Saying | None:
    """Return a use in words; None for any."""
    words = (
        *((where.contact.value,) if where.contact else ()),
        *sorted(site.value for site in where.sites),
        *sorted(person.value for person in where.persons),
        *sorted(where.products),
    )
    return says("use-told", words=words) if words else None
