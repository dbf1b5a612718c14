"""One entry of the table of limits: how much a product holds of its substances, against the figure of its use.

Enters: an entry, what is present, the ways of use that the formula may have.  Leaves: `AgainstLimit`, one a figure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from ..findings import Missing
from ..fraction import Fraction
from ..language import word
from ..model import Contact, Formula, Known, Person, Site
from ..reference.limits import Ceiling, LabelWords, LimitRow, Never, Where, limits
from ..wording.saying import Saying, says
from .known import ONE, ZERO
from .recognised import counted

SLACK = Fraction("1.0005")
"""How far beyond a limit still counts as at it after a conversion: the molar masses carry no more (own choice)."""


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
    persons: frozenset[Person] = frozenset()
    """On whom alone it holds; empty for all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WordsAsked:
    """Words that an entry asks for on a label of the product."""

    asked: LabelWords
    """The words, with their entry and what no key tells."""
    where: Saying | None
    """For which use; None for any."""
    perhaps: bool
    """True where the product may be at the figure or below it, or how much there is is not known."""

    @property
    def text(self) -> str:
        """The words in quotation marks, in the language that is being spoken."""
        return " ".join(word("“{words}”", words=word(words)) for words in self.asked.words)


@dataclass(frozen=True, slots=True)
class Situation:
    """One way of use that a formula may have."""

    contact: Contact
    """Leave-on or rinse-off."""
    site: Site
    """Where."""
    persons: frozenset[Person]
    """On whom."""
    products: frozenset[str]
    """Which of the products that an entry names."""

    def is_in(self, where: Where) -> bool:
        """Tell whether something holds in it."""
        return (
            where.contact in (None, self.contact)
            and (not where.sites or self.site in where.sites)
            and (not where.persons or not where.persons.isdisjoint(self.persons))
            and (not where.products or not where.products.isdisjoint(self.products))
        )

    def falls_under(self, entry: Ceiling | Never) -> bool:
        """Tell whether it is one for which an entry has something."""
        return self.is_in(entry.where) and (entry.but is None or not self.is_in(entry.but))


def against(
    row: LimitRow, present: tuple[Present, ...], situations: tuple[Situation, ...], formula: Formula
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
        yield replace(_verdict(row, None, _told(where), mine, Outcome.NEVER), persons=where.persons)
        return
    found: dict[int, tuple[AgainstLimit, ...]] = {}  # by the figure's identity, which costs less than its hash
    for situation in situations:
        ceilings = _holding(row, situation)
        if not ceilings and row.only:
            yield replace(_verdict(row, None, _uses(row), mine, Outcome.NEVER), outside=True)
            return
        for ceiling in ceilings:
            if id(ceiling) not in found:
                found[id(ceiling)] = tuple(_measured(row, ceiling, mine, present, formula))
    yield from _strictest(verdict for verdicts in found.values() for verdict in verdicts)


def words_asked(
    row: LimitRow, present: tuple[Present, ...], situations: tuple[Situation, ...], formula: Formula
) -> Iterator[WordsAsked]:
    """Yield the words that an entry asks for on a label of a product that holds its substances.

    Those with a figure are asked for above it, at the high end of what there may be; at it exactly they are not.

    Source: `limits.yaml`, row by row.
    """
    mine = tuple(
        item for item in present if item.substance in row.substances and not _is_elsewhere(row, item, situations)
    )
    for asked in row.label if mine else ():
        if not any(situation.is_in(asked.where) for situation in situations):
            continue
        outcome = Outcome.BEYOND
        if asked.above is not None:
            (verdict,) = _measured(row, asked.above, mine, present, formula)
            outcome = verdict.outcome
        if outcome is not Outcome.BELOW:
            yield WordsAsked(asked=asked, where=_told(asked.where), perhaps=outcome is not Outcome.BEYOND)


def _is_elsewhere(row: LimitRow, item: Present, situations: tuple[Situation, ...]) -> bool:
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


def _holding(row: LimitRow, situation: Situation) -> tuple[Ceiling, ...]:
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
            verdict = _verdict(row, ceiling, where, mine, outcome)
            yield replace(verdict, acidity=formula.ph.high.value, persons=ceiling.where.persons)
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
            persons=ceiling.where.persons,
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
