"""Storage and use: water that can spoil, where it is kept, how long, and on whom it is used.

Enters: a formula's storage figure.  Leaves: findings on preparations that can spoil or are kept too long.  The periods
are published for medicines and borrowed for the rest; law and licensed practice decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing, Place
from ..model import Formula, Kind, Person, Site, Status, StoragePlace
from ..reckon.figures import Reckoning
from ..reckon.storage import PeriodRule, Preparation, days_of
from ..reference import storage_periods
from .rule import Case, Said

AT_RISK: tuple[Site | Person, ...] = (
    Site.EYES,
    Site.LIPS,
    Site.MUCOUS_MEMBRANES,
    Site.BROKEN_SKIN,
    Person.SMALL_CHILDREN,
)
"""Where and on whom spoiled water does most harm (common practice, no source)."""


def _unpreserved(case: Case) -> bool:
    return case.figures.storage.preparation is Preparation.WATER


def unpreserved_at_risk(case: Case) -> Iterator[Said]:
    """Unpreserved water is not for eyes, lips, mucous membranes, broken skin or small children; error.

    Source: common practice, no source (microbes grow in water within days).
    """
    use = case.formula.use
    if use is None or not _unpreserved(case):
        return
    places = [one.value for one in AT_RISK if one in use.sites or one in use.persons]
    if places:
        yield Said(
            place=case.place_of("use"),
            words=f"it holds unpreserved water and is meant for {_listed(places)}, where microbes do most harm; "
            "preserve it or change its use",
        )


def unpreserved_in_cupboard(case: Case) -> Iterator[Said]:
    """Unpreserved water is not kept in a cupboard; error.

    Source: T08-01 (14 days, and in the refrigerator; borrowed where it is not a medicine).
    """
    storage = case.formula.storage
    if storage is not None and storage.place is StoragePlace.CUPBOARD and _unpreserved(case):
        yield Said(
            place=storage.at,
            words="it holds unpreserved water and would spoil in a cupboard; keep it in the refrigerator or "
            "preserve it",
        )


def unpreserved_not_cold(case: Case) -> Iterator[Said]:
    """Unpreserved water is kept in the refrigerator; query when another place or (draft aside) none is written.

    Source: T08-01 (14 days, and in the refrigerator; borrowed where it is not a medicine).
    """
    if not _unpreserved(case):
        return
    storage = case.formula.storage
    place = None if storage is None else storage.place
    if place in (StoragePlace.REFRIGERATOR, StoragePlace.FREEZER, StoragePlace.CUPBOARD):
        return  # the cupboard is an error of its own
    if storage is None and case.formula.status is Status.DRAFT:
        return  # not finished; the page says the rule
    told = f"is to be kept in a {place}" if place else "no place of storage is written"
    yield Said(
        place=case.place_of("storage", "ingredients") if storage is None else storage.at,
        words=f"it holds unpreserved water and {told}; keep it in the refrigerator",
    )


def unpreserved_too_long(case: Case) -> Iterator[Said]:
    """Unpreserved water is never given longer than the published period, whatever the reason; error.

    Source: T08-01 (14 days in the refrigerator; borrowed where it is not a medicine).
    """
    limit, storage = case.figures.storage.published, case.formula.storage
    if storage is None or storage.period is None or not isinstance(limit, PeriodRule) or not _unpreserved(case):
        return
    if days_of(storage.period) > days_of(limit.period):
        yield Said(
            place=storage.at,
            words=f"{storage.period.text} is longer than the {limit.period.text} of unpreserved water; shorten it or "
            "preserve it",
        )


def period_beyond_rule(case: Case) -> Iterator[Said]:
    """An assigned period longer than the rule's, or the keeper's own, needs a reason; query without `because:`.

    Source: T08-02 to T08-04 (35, 90 and 180 days, by kind of preparation; borrowed where it is not a medicine).
    A month counts as 30 days here, so 6 months are not beyond 180 days.
    """
    storage, figure = case.formula.storage, case.figures.storage
    if storage is None or storage.period is None or storage.because or not isinstance(figure.rule, PeriodRule):
        return
    if not _longer(case, figure.rule):
        return
    if _unpreserved(case) and isinstance(figure.published, PeriodRule) and _longer(case, figure.published):
        return  # an error already
    yield Said(
        place=storage.at,
        words=f"{storage.period.text} is longer than {figure.rule.period.text}: {figure.rule.words}; shorten it, "
        "or write the reason as `because:`",
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
            words=f"the keeper's {own.text} for unpreserved water is longer than the {published.days} days of the "
            "rule, which are used instead; write the same or less",
        )


def storage_missing(case: Case) -> Iterator[Said]:
    """A medicine or cosmetic that is made says where it is kept; query unless it is a draft or an intermediate.

    Source: common practice, no source.
    """
    if case.formula.storage is None and _given_out(case.formula) and not _unpreserved(case):
        yield Said(
            place=Place(path=case.formula.path),
            words="nothing says where it is kept and how long; write `storage:`, such as cupboard, tight jar, 180 days",
        )


def use_missing(case: Case) -> Iterator[Said]:
    """A medicine or cosmetic that is made says where and on whom it is used; query unless it is a draft.

    Source: common practice, no source (what may go on the hands may harm the eyes).
    """
    if case.formula.use is None and _given_out(case.formula):
        yield Said(
            place=Place(path=case.formula.path),
            words="nothing says where and on whom it is used, so that cannot be judged; write `use:`, such as "
            "leave-on, face, adults",
        )


def water_not_written(reckoning: Reckoning) -> Iterator[Said]:
    """Where it is not known whether a material brings water, no period can be given; query, once for each material.

    Source: common practice, no source.  Asked only where a medicine or cosmetic that is made depends on it.
    """
    users: dict[str, list[str]] = {}
    for figures in reckoning.figures.values():
        figure = figures.storage
        if isinstance(figure.preparation, Missing) and _given_out(figures.formula):
            for key in figure.unsure:
                users.setdefault(key, []).append(figures.formula.code)
    for key, codes in users.items():
        material = reckoning.book.materials[key]
        yield Said(
            place=Place(path=material.path),
            title=material.name,
            concerns=key,
            words=f"it is not written whether it brings water, so it is not known whether {_listed(sorted(codes)[:3])}"
            f"{' and others' if len(codes) > 3 else ''} can spoil; write `water: 0 %` or its share",
        )


def _given_out(formula: Formula) -> bool:
    """Tell whether it is a medicine or cosmetic that is made as such."""
    return (
        formula.kind in (Kind.MEDICINE, Kind.COSMETIC)
        and formula.status in (Status.TRIAL, Status.APPROVED)
        and not (formula.use is not None and formula.use.intermediate)
    )


def _listed(words: list[str]) -> str:
    """Return words as a list in a sentence."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
