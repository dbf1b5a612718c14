"""What was judged, as page and terminal show it: what keeps it, limits for cosmetics, fragrance allergens, dangers."""

from __future__ import annotations

from ..model import Book
from ..reckon.allergens import Allergens
from ..reckon.ceilings import AgainstLimit
from ..reckon.dangers import stands
from ..reckon.figures import Figures
from ..reckon.judgements import allergen_judgement, judgement
from ..reckon.reasons import reasons
from ..show import Signs, sentence
from ..wording.saying import Saying, says
from .judged_records import JudgedEntry, JudgedShown
from .phrases import NOTHING, coded

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


def judged_of(figures: Figures, book: Book, signs: Signs) -> JudgedShown:
    """Return what was judged: what keeps it from spoiling, entries of the limits, fragrance allergens, dangers."""
    limits, scents = figures.limits, figures.allergens
    silent = limits.silent if limits.present else None
    danger = figures.dangers
    dangers = tuple(coded(told.words(signs)) for told in stands(danger)) if danger.on_body else ()
    return JudgedShown(
        keeping=tuple(
            coded(sentence(reason.words(signs))) for reason in reasons(figures.storage, figures.formula, book.materials)
        ),
        entries=tuple(_entry(verdict, signs) for verdict in limits.judged),
        not_judged=coded(silent.words(signs)) if silent is not None else NOTHING,
        assumed=tuple(coded(assumption.words(signs)) for assumption in limits.assumed or _assumed(scents)),
        allergens=tuple(coded(told.words(signs)) for told in allergens_told(scents, book)),
        dangers=dangers,
        guide=LAW_IS_A_GUIDE if limits.judged or scents.judged else "",
    )


def allergens_told(scents: Allergens, book: Book) -> tuple[Saying, ...]:
    """Return how the product stands to each fragrance allergen, which label names are from memory, and what is open."""
    remembered = tuple(item.row.label for item in scents.judged if item.named and item.row.remembered)
    silent = tuple(book.name_of(key) for key in scents.silent)
    return (
        *(allergen_judgement(item, scents) for item in scents.judged),
        *((says("allergen-label-remembered", names=remembered),) if remembered else ()),
        *((says("allergens-incomplete", names=silent, count=len(silent)),) if silent else ()),
    )


def _assumed(scents: Allergens) -> tuple[Saying, ...]:
    return (scents.assumed,) if scents.assumed is not None and scents.judged else ()


def _entry(verdict: AgainstLimit, signs: Signs) -> JudgedEntry:
    row = verdict.row
    when = f" ({row.label_when})" if row.label_when else ""
    words = tuple(f"its words for a label{when}: {words}" for words in row.label)
    return JudgedEntry(words=coded(judgement(verdict).words(signs)), asks=(*row.told, *words))
