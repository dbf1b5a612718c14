"""What is said of an entry of the limits or of the fragrance allergens: how a formula stands to it, figure and use.

Enters: `AgainstLimit`, or `AllergenJudged`.  Leaves: a saying, the same for findings, pages and machines.
"""

from __future__ import annotations

from ..findings import Missing
from ..reference import spelt
from ..reference.allergens import allergens
from ..wording.saying import Saying, says
from .allergens import AllergenJudged, Allergens
from .ceilings import AgainstLimit, Outcome, Present, WordsAsked


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
    is_itself = all(spelt(name) == spelt(ceiling.counted_as) for name in names)
    form = says("limit-form", form=ceiling.counted_as) if ceiling.counted_as and not is_itself else None
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


def words_judgement(asked: WordsAsked) -> Saying:
    """Return where words for a label come from, and for what they are asked for."""
    label = asked.asked
    return says(
        "label-words-from",
        entry=label.entry,
        edition=label.edition,
        use=says("limit-where", use=asked.where) if asked.where is not None else None,
        when=says("label-words-when", when=label.when) if label.when else None,
        perhaps=says("label-words-perhaps", most=label.above.share) if asked.perhaps and label.above else None,
    )


def allergen_judgement(item: AllergenJudged, found: Allergens) -> Saying:
    """Return how a formula stands to an entry of the fragrance allergens."""
    row, contact, edition = item.row, found.contact.value, allergens().edition
    if isinstance(item.high, Missing):
        return says(
            "allergen-unknown", name=row.label, least=found.above, entry=row.entry, contact=contact, edition=edition
        )
    return says(
        "allergen-below"
        if item.outcome is Outcome.BELOW
        else "allergen-perhaps"
        if item.outcome is Outcome.CROSSES
        else "allergen-named"
        if item.low == item.high
        else "allergen-named-up-to",
        name=row.label,
        amount=item.high,
        least=found.above,
        entry=row.entry,
        contact=contact,
        edition=edition,
    )


def names_of(present: tuple[Present, ...]) -> tuple[str, ...]:
    """Return the substances that count, each once, the most first."""
    return tuple(dict.fromkeys(item.substance for item in present))
