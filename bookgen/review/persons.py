"""For whom a formula is not: children under three, use in pregnancy, and whoever has no prescription.

Enters: a formula's `Dangers`, and on whom it is used.  Leaves: queries, as a doctor or pharmacist may have reasons.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ..findings import Severity
from ..model import Kind, Person
from ..reckon.ceilings import Outcome
from ..reckon.dangers import Met
from ..reference.dangers import Peril
from ..wording.saying import says
from .dangers import place_of_any
from .rule import Case, Said

ERRORS = (Outcome.PROHIBITED, Outcome.NEVER, Outcome.BEYOND)
"""How an entry of the law stands where it makes an error."""


def not_for_small_children(case: Case) -> Iterator[Said]:
    """What goes through the skin of children under three, or hurts it, is kept from them; query.

    Where it is for children whose age is not written, it asks for that.  What an entry of the law for cosmetics is
    held against is not asked about.

    Source: `dangers.yaml`, common practice, no source; urea from memory.
    """
    persons = case.formula.use.persons if case.formula.use is not None else ()
    if Person.SMALL_CHILDREN not in persons and Person.CHILDREN not in persons:
        return
    way = says("airways-leave-out" if Person.SMALL_CHILDREN in persons else "airways-write-age")
    for met in _beyond(case, Peril.SMALL_CHILDREN, frozenset(Outcome)):
        row = met.substance
        if row.most:
            told = says("too-much-for-small-children", name=row.name, share=met.share, most=row.most, known=row.known)
        else:
            told = says("not-for-small-children", name=row.name, share=met.share, known=row.known, way=way)
        yield Said(place=place_of_any(case, {met.material}), says=told)


def not_in_pregnancy(case: Case) -> Iterator[Said]:
    """Retinoids, borates, iodine and oils that were used to end pregnancies are in nothing for use in pregnancy; query.

    Where an entry of the law for cosmetics makes it an error, that is told.

    Source: `dangers.yaml`, common practice, no source.
    """
    if case.formula.use is None or Person.PREGNANCY not in case.formula.use.persons:
        return
    for met in _beyond(case, Peril.PREGNANCY, ERRORS):
        row = met.substance
        told = says("not-in-pregnancy", name=row.name, share=met.share, known=row.known)
        yield Said(place=place_of_any(case, {met.material}), says=told)


def on_prescription(case: Case) -> Iterator[Said]:
    """What is given on prescription only in many countries is named; note, a query for what is no medicine.

    Where an entry of the law for cosmetics makes it an error, that is told.

    Source: `dangers.yaml`, from memory; the law of each country has a list of its own.
    """
    medicine = case.formula.kind in (Kind.MEDICINE, None)
    elsewhere = set() if medicine else _judged(case, ERRORS)
    for met in case.figures.dangers.of(Peril.PRESCRIPTION):
        if met.substance.name in elsewhere:
            continue
        name, place = met.substance.name, place_of_any(case, {met.material})
        if medicine:
            yield Said(place=place, says=says("on-prescription", name=name))
        else:
            yield Said(place=place, severity=Severity.QUERY, says=says("on-prescription-elsewhere", name=name))


def _beyond(case: Case, peril: Peril, told: Collection[Outcome]) -> Iterator[Met]:
    """Yield what is there of a kind beyond what is borne, but for what an entry of the law has told with such an
    outcome."""
    elsewhere = _judged(case, told)
    for met in case.figures.dangers.of(peril):
        most = met.substance.most
        if met.share and most is not None and met.share > most and met.substance.name not in elsewhere:
            yield met


def _judged(case: Case, told: Collection[Outcome]) -> set[str]:
    """Return the substances that an entry of the law has told with such an outcome."""
    judged = case.figures.limits.judged
    return {item.substance for verdict in judged if verdict.outcome in told for item in verdict.present}
