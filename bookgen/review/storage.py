"""Storage and use: where and how long a product is kept, where and on whom it is used.

Enters: a formula's storage figure.  Leaves: findings on periods beyond a rule and on what is not written.  The periods
are published for medicines and borrowed for the rest; law and licensed practice decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing, Place
from ..model import ROUTES, Formula, Kind, Site, Status
from ..reckon.figures import Reckoning
from ..reckon.storage import OFF_THE_BODY, PeriodRule, days_of
from ..reference import storage_periods
from ..wording.saying import says
from .rule import Case, Said, with_errors
from .spoiling import too_long, unpreserved

GIVEN_OUT = (Kind.MEDICINE, Kind.COSMETIC)
"""Kinds that are for somebody's body."""
ON_THE_BODY = frozenset(Site) - OFF_THE_BODY - ROUTES
"""Places of use where it matters whether a product stays or is washed away."""


def period_beyond_rule(case: Case) -> Iterator[Said]:
    """An assigned period longer than the rule's, or the keeper's own, needs a reason; query without `because:`.

    Source: T08-02 to T08-04 (35, 90 and 180 days, by kind of preparation; borrowed for what goes on the body).
    A month counts as 30 days here, so 6 months are not beyond 180 days.
    """
    storage, figure = case.formula.storage, case.figures.storage
    if storage is None or storage.period is None or storage.because or not isinstance(figure.rule, PeriodRule):
        return
    if not _longer(case, figure.rule) or too_long(case):
        return  # longer than the published period of unpreserved water is told already
    yield Said(
        place=storage.at,
        says=says(
            "period-beyond-rule",
            period=storage.period.text,
            limit=figure.rule.period.text,
            whose=figure.rule.whose,
        ),
    )


def _longer(case: Case, limit: PeriodRule) -> bool:
    """Tell whether the assigned period is longer than a limit."""
    storage = case.formula.storage
    return storage is not None and storage.period is not None and days_of(storage.period) > days_of(limit.period)


def keepers_water_period(reckoning: Reckoning) -> Iterator[Said]:
    """The keeper's own period for unpreserved water may only be shorter than the rule; query, the rule's is used.

    Source: T08-01 (14 days in the refrigerator).
    """
    workroom = reckoning.book.workroom
    own, published = workroom.periods.water, storage_periods()["water"]
    if own is not None and days_of(own) > published.days:
        yield Said(
            place=workroom.places.get("periods", Place(path=workroom.path)),
            title=workroom.title,
            says=says("keepers-water-period", period=own.text, days=published.days),
        )


def storage_missing(case: Case) -> Iterator[Said]:
    """A medicine or cosmetic that is made says where it is kept; query unless it is a draft or an intermediate.

    Source: common practice, no source.
    """
    if case.formula.storage is None and _given_out(case.formula) and not unpreserved(case):
        yield Said(
            place=Place(path=case.formula.path),
            says=says("storage-missing"),
        )


def use_missing(case: Case) -> Iterator[Said]:
    """A medicine or cosmetic that is made says where and on whom it is used; query unless it is a draft.

    Source: common practice, no source (what may go on the hands may harm the eyes).
    """
    if case.formula.use is None and _given_out(case.formula):
        yield Said(
            place=Place(path=case.formula.path),
            says=says("use-missing"),
        )


def contact_missing(case: Case) -> Iterator[Said]:
    """A medicine or cosmetic for the body says whether it stays or is washed away; query, cautions depend on it.

    Source: common practice, no source.
    """
    use = case.formula.use
    if use is None or use.contact is not None or not _for_somebody(case.formula):
        return
    sites = tuple(site.value for site in use.sites if site in ON_THE_BODY)
    if sites:
        yield Said(
            place=case.place_of("use"),
            says=says("contact-missing", sites=sites),
        )


def water_not_written(reckoning: Reckoning) -> Iterator[Said]:
    """Where it is not known whether a material brings water, no period can be given; query, once for each material.

    Source: common practice, no source.  Asked only where a medicine or cosmetic depends on it: one that is made, or a
    draft that says already where or how long it is kept; and not of a material of which nothing is written at all.
    """
    users: dict[str, list[str]] = {}
    unread = with_errors(reckoning.book)
    for figures in reckoning.figures.values():
        figure = figures.storage
        formula = figures.formula
        says_where = formula.status is Status.DRAFT and formula.storage is not None
        if isinstance(figure.preparation, Missing) and (_given_out(formula) or (says_where and _for_somebody(formula))):
            for key in figure.unsure:
                users.setdefault(key, []).append(figures.formula.code)
    for key, codes in users.items():
        material = reckoning.book.materials[key]
        if material.path in unread or material.is_bare:
            continue  # its water may be what could not be read; of a bare name that is told with the rest
        yield Said(
            place=Place(path=material.path),
            title=material.name,
            concerns=key,
            says=says("water-not-written", codes=tuple(sorted(codes))),
        )


def _given_out(formula: Formula) -> bool:
    """Tell whether it is a medicine or cosmetic that is made as such."""
    return _for_somebody(formula) and formula.status in (Status.TRIAL, Status.APPROVED)


def _for_somebody(formula: Formula) -> bool:
    """Tell whether it is a medicine or cosmetic, and not only an ingredient of others."""
    return formula.kind in GIVEN_OUT and not (formula.use is not None and formula.use.intermediate)
