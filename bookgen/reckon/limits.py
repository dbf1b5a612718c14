"""Limits: what a cosmetic holds of each listed substance, against the entry that holds for its use.

Enters: a formula, its composition and what its materials were recognised as.  Leaves: `Limits`.  The law binds what is
put on the market; for the keeper it is a guide.  Nothing here says that a product may be sold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from ..findings import Missing
from ..model import ROUTES, Contact, Formula, Kind, Person, Site
from ..reference.limits import limits
from ..reference.soap import soap_table
from ..wording.saying import Saying, says
from .ceilings import WORST, AgainstLimit, Outcome, Present, Situation, WordsAsked, against, words_asked
from .composition import Composition
from .functions import UV_FILTERS, items_of
from .known import ZERO, times
from .recognised import Recognised, named

Recognitions = Mapping[str, tuple[Recognised, ...]]
"""Material key → what it was recognised as; materials of which the tables have nothing are left out."""

SKIN = (Site.FACE, Site.BODY, Site.HANDS, Site.FEET, Site.SCALP, Site.HAIR)
"""Where a cosmetic may be used that does not say where."""
NO_SKIN = frozenset({Site.ROOM, Site.TEXTILES, Site.SURFACES})
"""Places of use at which nothing touches skin."""


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
    words: tuple[WordsAsked, ...] = ()
    """What its entries ask for on a label."""


def limits_of(
    formula: Formula,
    composition: Composition,
    known_as: Recognitions,
    preservatives: Iterable[str],
    *,
    taken_up: frozenset[str] = frozenset(),
    judging: bool,
) -> Limits:
    """Return how a cosmetic stands to the limits of the law for cosmetics.

    The substances of an entry are added up over all materials and intermediates at the high end, in the form that the
    entry counts.  Of several figures of an entry the one for the most particular use holds; where the use is not
    written, the strictest of those that may.  A highest figure is inclusive; after a conversion by molar masses up to
    1.0005 times as much counts as at it.  Lye that turned fat into soap is no longer there.

    Source: `limits.yaml`, row by row; the reckoning is own arithmetic.
    """
    present = tuple(_present(composition, known_as, frozenset(preservatives), taken_up))
    silent = _silent(formula, judging=judging)
    if silent is not None or not present:
        return Limits(judged=(), present=present, silent=silent, assumed=())
    situations, assumed = _situations(formula)
    by_key = {row.key: row for item in present for row in limits().by_substance[item.substance]}
    rows = tuple(by_key.values())
    found = [verdict for row in rows for verdict in against(row, present, situations, formula)]
    barred = {verdict.row.key for verdict in found if verdict.outcome in (Outcome.PROHIBITED, Outcome.NEVER)}
    words: dict[tuple[tuple[str, ...], str], WordsAsked] = {}
    for row in rows:
        for told in words_asked(row, present, situations, formula) if row.key not in barred else ():
            words.setdefault((told.asked.words, told.asked.entry), told)
    if len(found) > 1:
        order = {row.key: at for at, row in enumerate(limits().rows)}
        found.sort(key=lambda verdict: (WORST.index(verdict.outcome), order[verdict.row.key]))
    judged = tuple(verdict for at, verdict in enumerate(found) if not _is_said(verdict, found[:at]))
    return Limits(
        judged=judged,
        present=present,
        silent=None,
        assumed=assumed if found else (),
        words=tuple(words.values()),
    )


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
    if formula.sites & ROUTES:
        return says("limits-not-inside")
    if formula.sites and formula.sites <= NO_SKIN:
        return says("limits-not-off-skin")
    return None


def _present(
    composition: Composition, known_as: Recognitions, preservatives: frozenset[str], taken_up: frozenset[str]
) -> Iterator[Present]:
    shares, listed = composition.shares, limits().by_substance
    for key in composition.materials if isinstance(shares, Missing) else shares:
        for told in known_as.get(key, ()):
            if told.substance not in listed or (key in taken_up and told.substance in soap_table().alkalis):
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


def _situations(formula: Formula) -> tuple[tuple[Situation, ...], tuple[Saying, ...]]:
    """Return the ways of use that a formula may have, and what had to be assumed."""
    use, assumed = formula.use, list[Saying]()
    contacts = (use.contact,) if use is not None and use.contact else tuple(Contact)
    sites = tuple(site for site in use.sites if site not in NO_SKIN) if use is not None else ()
    if len(contacts) > 1:
        assumed.append(says("contact-assumed"))
    if not sites:
        assumed.append(says("sites-assumed"))
    persons = frozenset(use.persons) if use is not None else frozenset()
    ages: tuple[frozenset[Person], ...] = (persons,)
    if Person.CHILDREN in persons and Person.SMALL_CHILDREN not in persons:
        ages = (persons, persons | {Person.SMALL_CHILDREN})
        assumed.append(says("age-assumed"))
    products = limits().products & frozenset(items_of(formula.purpose))
    functions = (items_of(line.function) for phase in formula.ingredients for line in phase.lines)
    if any(not UV_FILTERS.isdisjoint(items) for items in functions):
        products |= {"sunscreen"}  # whose limits are those of its filters, whatever it is called
    return tuple(
        Situation(contact, site, on_whom, products)
        for contact in contacts
        for site in sites or SKIN
        for on_whom in ages
    ), tuple(assumed)
