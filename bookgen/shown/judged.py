"""What was judged by the limits of the law for cosmetics, as a page, the terminal and machines show it."""

from __future__ import annotations

from ..reckon.judgements import judgement
from ..reckon.limits import AgainstLimit, Limits
from ..show import Signs
from .phrases import NOTHING, coded
from .records import JudgedEntry, JudgedShown

LAW_IS_A_GUIDE = (
    "The law binds what is put on the market; for your own use it is a guide. Substances that no material lists, and "
    "entries that the table here lacks, were not judged."
)
"""What stands below every list of what was judged."""
NOTHING_IS_LISTED = (
    "The tables of limits have nothing that is in it for its use, as far as its materials say what they are and what "
    "they contain."
)
"""What is said where nothing was recognised."""


def judged_of(limits: Limits, signs: Signs) -> JudgedShown | None:
    """Return what was judged; None where the product holds nothing that is listed for its use."""
    if not limits.present or (limits.silent is None and not limits.judged):
        return None
    return JudgedShown(
        entries=tuple(_entry(verdict, signs) for verdict in limits.judged),
        not_judged=coded(limits.silent.words(signs)) if limits.silent is not None else NOTHING,
        assumed=tuple(coded(assumption.words(signs)) for assumption in limits.assumed),
        guide=LAW_IS_A_GUIDE if limits.judged else "",
    )


def _entry(verdict: AgainstLimit, signs: Signs) -> JudgedEntry:
    row = verdict.row
    when = f" ({row.label_when})" if row.label_when else ""
    words = tuple(f"its words for a label{when}: {words}" for words in row.label)
    return JudgedEntry(words=coded(judgement(verdict).words(signs)), asks=(*row.told, *words))
