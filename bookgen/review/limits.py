"""Limits of the law for cosmetics: what goes beyond them, what has no place in a cosmetic, what may be two substances.

Enters: a formula's `Limits`.  Leaves: findings that name entry, figure and edition.  The law binds what is put on the
market; for the keeper it is a guide, and law and licensed practice decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Place, Severity
from ..model import Person
from ..reckon.ceilings import AgainstLimit, Outcome
from ..reckon.figures import Reckoning
from ..reckon.judgements import judgement
from ..reckon.recognised import NOTHING_LISTED, identities, names_of_tables, strengths_named
from ..reference import spelt
from ..reference.dangers import dangers
from ..reference.dissolving import dissolving
from ..reference.limits import limits
from ..wording.saying import Saying, says
from .rule import Case, Said


def prohibited(case: Case) -> Iterator[Said]:
    """A substance that the law prohibits in cosmetics is in none; error, whatever the reason.

    Source: `limits.yaml`, Annex II.
    """
    yield from _said(case, Outcome.PROHIBITED)


def limit_for_other_use(case: Case) -> Iterator[Said]:
    """A substance that the law has for other uses only is not in this one; error, a query with a reason.

    Source: `limits.yaml`, row by row.
    """
    yield from _said(case, Outcome.NEVER)


def beyond_limit(case: Case) -> Iterator[Said]:
    """A cosmetic holds no more of a substance than the law's limit; error, a query with a reason.

    Source: `limits.yaml`, row by row.
    """
    yield from _said(case, Outcome.BEYOND)


def perhaps_beyond_limit(case: Case) -> Iterator[Said]:
    """What a cosmetic may hold of a substance reaches beyond the law's limit at its high end; query.

    Source: `limits.yaml`, row by row.
    """
    yield from _said(case, Outcome.CROSSES)


def _said(case: Case, outcome: Outcome) -> Iterator[Said]:
    for judged in case.figures.limits.judged:
        if judged.outcome is outcome:
            place, reason = _line_of(case, judged)
            appeals = bool(reason) and outcome is not Outcome.PROHIBITED
            softer = outcome is Outcome.CROSSES or appeals
            yield Said(
                place=place,
                severity=Severity.QUERY if softer else Severity.ERROR,
                says=says("limit-found", judged=judgement(judged), todo=_todo(case, judged, reason)),
            )


def _todo(case: Case, judged: AgainstLimit, reason: str) -> Saying:
    if judged.outcome is Outcome.PROHIBITED:
        return says("limit-take-out")
    if reason:
        return says("limit-reason", reason=reason)
    todo = _way_out(judged)
    use = case.formula.use
    age_open = use is not None and Person.SMALL_CHILDREN in judged.persons - set(use.persons)
    return says("limit-write-age", todo=todo) if age_open else todo


def _way_out(judged: AgainstLimit) -> Saying:
    if judged.outside:
        return says("limit-write-product")
    if judged.outcome is Outcome.NEVER:
        return says("limit-take-out-or-reason")
    return says("limit-use-less" if judged.acidity is None else "limit-lower-ph")


def _line_of(case: Case, judged: AgainstLimit) -> tuple[Place, str]:
    """Return where the line stands that brings most of what counts, and the reason that a line of it gives."""
    keys = [item.material for item in judged.present]
    lines = [line for key in keys for line in case.lines if line.counts and key in case.brought_by(line, kept=True)]
    if not lines:
        return Place(path=case.formula.path), ""
    return lines[0].line.place, next((line.line.because for line in lines if line.line.because), "")


def two_substances(reckoning: Reckoning) -> Iterator[Said]:
    """A material goes by the names of one substance; error that names both, as it cannot be judged as two.

    Source: common practice, no source.
    """
    for material in reckoning.book.materials.values():
        if material.known_as:
            continue
        own = identities(material, names_of_tables())
        found = {substance: name for substance, name in own.items() if substance in limits().by_substance}
        if len(found) > 1:
            yield Said(
                place=material.places.get("name", Place(path=material.path)),
                title=material.name,
                concerns=material.key,
                says=says(
                    "two-substances",
                    names=tuple(found.values()),
                    substances=tuple(found),
                ),
            )


def strength_in_name(reckoning: Reckoning) -> Iterator[Said]:
    """What a strength in a name is a share of is written as `contains:`; query where a table has what is named.

    Nobody can tell a solution of 50 % from a salt of which 50 % is the acid.  Where the rest is written as `water:`,
    nothing is open.

    Source: common practice, no source.
    """
    for material in reckoning.book.materials.values():
        tables = (names_of_tables(), dangers().names)
        named = (strong for names in tables for strong in strengths_named(material, names) if not strong.is_told)
        strong = next(named, None)
        if strong is not None:
            yield Said(
                place=material.places.get("name", Place(path=material.path)),
                title=material.name,
                concerns=material.key,
                says=says(
                    "strength-in-name-by-volume" if strong.by_volume else "strength-in-name",
                    share=strong.share,
                    substance=strong.substance,
                ),
            )


def known_as_nothing(reckoning: Reckoning) -> Iterator[Said]:
    """`known as:` has a name of the tables or says `nothing listed`; query, as it tells nothing otherwise.

    Source: own choice, no source.
    """
    names = names_of_tables().keys() | dangers().names.keys() | dissolving().names.keys()
    for material in reckoning.book.materials.values():
        for name in material.known_as:
            if spelt(name) != NOTHING_LISTED and spelt(name) not in names:
                yield Said(
                    place=material.places.get("known as", Place(path=material.path)),
                    title=material.name,
                    concerns=material.key,
                    says=says("known-as-nothing", name=name),
                )
