"""Rules on soap: lye follows the fats, and no more of it goes in than they take up.

Enters: a formula's `Soap`.  Leaves: findings on lye whose weight is not known, or that nothing takes up.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Place, Severity
from ..model import Superfat
from ..reckon.soap import SoapMade
from ..wording.saying import says
from .amounts import gaps_of_cause
from .rule import Case, Said


def two_lyes(case: Case) -> Iterator[Said]:
    """One lye alone can follow the fats; error at the second.

    Source: own choice, no source.
    """
    asking = [line for line in case.lines if isinstance(line.line.amount, Superfat)]
    if not asking:
        return
    first = asking[0]
    for line in case.lines:
        if line is first or not line.counts:
            continue
        if isinstance(line.line.amount, Superfat):
            told = says("two-lyes", first=first.line.material, second=line.line.material)
            yield Said(place=line.line.amount_place, says=told)
            return


def _brings_lye(case: Case, key: str) -> bool:
    """Tell whether an ingredient brings lye that fat would take up."""
    inner = case.reckoning.figures.get(key)
    held = {key} if inner is None else inner.composition.materials - inner.soap.taken_up
    return any(met.material in held and met.substance.fat_takes_up for met in case.figures.dangers.met)


def lye_evaporates(case: Case) -> Iterator[Said]:
    """Of a lye its water alone dries away, and the alkali stays; error where the loss is written on its line.

    Source: own arithmetic.
    """
    for line in case.lines:
        loss = line.line.evaporates
        if loss is not None and not line.line.made_up and _brings_lye(case, line.key):
            place = line.line.places.get("evaporates", line.line.amount_place)
            yield Said(place=place, says=says("lye-evaporates", name=line.line.material))


def fat_evaporates(case: Case) -> Iterator[Said]:
    """Fat does not dry away while soap is made; error where a loss is written on its line.

    Source: common practice, no source.
    """
    made = case.figures.soap.made
    for line in case.lines if made is not None else ():
        loss = line.line.evaporates
        if loss is not None and not line.line.made_up and made is not None and line.key in made.fats:
            place = line.line.places.get("evaporates", line.line.amount_place)
            yield Said(place=place, says=says("fat-evaporates", name=line.line.material))


def other_lye_enough(case: Case) -> Iterator[Said]:
    """Another lye leaves the fats something to take up; error.

    Source: own arithmetic.
    """
    return gaps_of_cause(case, "other-lye-enough", says("less-other-lye"))


def no_fat_for_lye(case: Case) -> Iterator[Said]:
    """Lye that follows the fats needs fats; error.

    Source: own arithmetic.
    """
    return gaps_of_cause(case, "no-fat-for-lye", says("write-fat-or-amount"))


def missing_saponification(case: Case) -> Iterator[Said]:
    """Lye that follows the fats needs to know what each takes up; error.

    Source: the definition of the saponification value.
    """
    return gaps_of_cause(case, "missing-saponification", says("write-saponification"))


def missing_lye_strength(case: Case) -> Iterator[Said]:
    """Lye that follows the fats needs to know how much alkali it holds; error (it is never taken as pure).

    Source: common practice, no source.
    """
    return gaps_of_cause(case, "missing-lye-strength", says("write-lye-strength"))


def caustic_soap(case: Case) -> Iterator[Said]:
    """No more lye goes in than the fats take up at the low end of their ranges; error, a query beside as much of an
    acid as may take up the rest.

    Source: own arithmetic on the saponification values; that lye burns skin, common practice, no source.
    """
    made = case.figures.soap.made
    if made is None or made.is_sound or made.unjudged or any(fat_evaporates(case)):
        return
    lye, place = _lye(case, made)
    if made.acids:
        told = says("caustic-unless", lye=lye, share=-made.low, acids=made.acids)
        yield Said(place=place, says=told, severity=Severity.QUERY)
        return
    yield Said(place=place, says=says("caustic", lye=lye, share=-made.low))


def soap_not_judged(case: Case) -> Iterator[Said]:
    """Where lye makes soap, it is known what the fats take up; error.

    Source: that lye burns skin, common practice, no source.
    """
    made = case.figures.soap.made
    if made is not None and made.unjudged:
        lye, place = _lye(case, made)
        yield Said(place=place, says=says("soap-not-judged", lye=lye, names=made.unjudged))


def _lye(case: Case, made: SoapMade) -> tuple[str, Place]:
    """Return the name of the lye and where its line stands."""
    return case.reckoning.book.name_of(made.lyes[0]), case.line_with(made.lyes)
