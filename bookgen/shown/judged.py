"""What was judged, as a page, the terminal and machines show it: what keeps it, and the limits for cosmetics."""

from __future__ import annotations

from collections.abc import Mapping

from ..model import Material
from ..reckon.figures import Figures
from ..reckon.judgements import judgement
from ..reckon.limits import AgainstLimit
from ..reckon.reasons import reasons
from ..show import Signs, sentence
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
"""What the terminal says where nothing was recognised."""


def judged_of(figures: Figures, materials: Mapping[str, Material], signs: Signs) -> JudgedShown:
    """Return what was judged: what keeps it from spoiling, then each entry of the limits."""
    limits = figures.limits
    silent = limits.silent if limits.present else None
    return JudgedShown(
        keeping=tuple(
            coded(sentence(reason.words(signs))) for reason in reasons(figures.storage, figures.formula, materials)
        ),
        entries=tuple(_entry(verdict, signs) for verdict in limits.judged),
        not_judged=coded(silent.words(signs)) if silent is not None else NOTHING,
        assumed=tuple(coded(assumption.words(signs)) for assumption in limits.assumed),
        guide=LAW_IS_A_GUIDE if limits.judged else "",
    )


def _entry(verdict: AgainstLimit, signs: Signs) -> JudgedEntry:
    row = verdict.row
    when = f" ({row.label_when})" if row.label_when else ""
    words = tuple(f"its words for a label{when}: {words}" for words in row.label)
    return JudgedEntry(words=coded(judgement(verdict).words(signs)), asks=(*row.told, *words))
