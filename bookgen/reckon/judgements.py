"""What is said of an entry of the limits: how a formula stands to it, with figure, use and edition.

Enters: `AgainstLimit`.  Leaves: a saying, the same for findings, pages and machines.
"""

from __future__ import annotations

from ..findings import Missing
from ..wording.saying import Saying, says
from .limits import AgainstLimit, Outcome, Present


def judgement(verdict: AgainstLimit) -> Saying:
    """Return how a formula stands to an entry."""
    row, ceiling = verdict.row, verdict.ceiling
    names = names_of(verdict.present)
    edition = says("limit-summaries" if row.secondary else "limit-edition", edition=row.edition)
    if verdict.outcome is Outcome.PROHIBITED:
        return says("limit-prohibited", names=names, entry=row.entry, edition=edition)
    if verdict.outside:
        return says("limit-only", names=names, entry=row.entry, uses=verdict.where, edition=edition)
    if ceiling is None:
        use = says("limit-for", use=verdict.where) if verdict.where is not None else None
        return says("limit-never", names=names, entry=row.entry, where=use, edition=edition)
    where = says("limit-where", use=verdict.where) if verdict.where is not None else None
    if ceiling.share is None:
        return says(
            "limit-ph-beyond" if verdict.outcome is Outcome.BEYOND else "limit-ph-crosses",
            names=names,
            entry=row.entry,
            ph=verdict.acidity,
            most=ceiling.ph,
            where=where,
            edition=edition,
        )
    form = says("limit-form", form=ceiling.counted_as) if ceiling.counted_as else None
    less = says("limit-less") if ceiling.below else None
    if isinstance(verdict.high, Missing):
        return says(
            "limit-unknown",
            names=names,
            entry=row.entry,
            most=ceiling.share,
            form=form,
            less=less,
            where=where,
            edition=edition,
        )
    return says(
        "limit-at"
        if verdict.outcome is Outcome.BELOW and verdict.high >= ceiling.share
        else "limit-below"
        if verdict.outcome is Outcome.BELOW
        else "limit-crosses"
        if verdict.outcome is Outcome.CROSSES
        else "limit-beyond",
        names=names,
        entry=row.entry,
        amount=verdict.high,
        most=ceiling.share,
        form=form,
        less=less,
        where=where,
        edition=edition,
    )


def names_of(present: tuple[Present, ...]) -> tuple[str, ...]:
    """Return the substances that count, each once, the most first."""
    return tuple(dict.fromkeys(item.substance for item in present))
