"""What was judged, as page and terminal show it: what keeps it, limits for cosmetics, fragrance allergens, dangers."""

from __future__ import annotations

from collections.abc import Iterable

from ..language import noted, word
from ..model import Book
from ..reckon.allergens import Allergens
from ..reckon.dangers import Dangers, stands
from ..reckon.figures import Figures
from ..reckon.heat import heat_told
from ..reckon.hlb import hlb_told
from ..reckon.holding import told_of_carrying, told_of_dissolving
from ..reckon.incompatible import clashes_told
from ..reckon.judgements import allergen_judgement, judgement
from ..reckon.limits import Limits
from ..reckon.reasons import acid_curves, reasons
from ..reckon.soap_told import soap_told
from ..show import Signs, sentence
from ..wording.saying import Saying, says
from .judged_records import AcidPicture, JudgedEntry, JudgedShown, JudgedTopic
from .phrases import Phrase, coded, phrase

LAW_IS_A_GUIDE = noted(
    "The law binds what is put on the market; for your own use it is a guide. Substances that no material lists, and "
    "entries that the table here lacks, were not judged."
)
"""What stands below the limits that were judged."""
NOTHING_IS_LISTED = noted(
    "Nothing in it is in the tables of limits for its use, as far as its materials say what they are and what they "
    "contain."
)
"""What stands there where nothing was recognised."""


def judged_of(figures: Figures, book: Book, signs: Signs) -> JudgedShown:
    """Return what was judged, topic by topic: soap, whether it keeps, limits, fragrance allergens, dangers."""
    topics = (
        JudgedTopic(head=word("Soap"), entries=_entries(soap_told(figures.soap), signs)),
        _keeping(figures, book, signs),
        _limits(figures.limits, signs),
        _allergens(figures.allergens, book, signs),
        _dangers(figures.dangers, signs),
        JudgedTopic(
            head=word("What does not go together"), entries=_entries(clashes_told(figures.clashes, book), signs)
        ),
        JudgedTopic(head=word("Emulsion"), entries=_entries(hlb_told(figures.emulsified, book), signs)),
        _holding(figures, book, signs),
        JudgedTopic(head=word("Heat"), entries=_entries(heat_told(figures.heat, book), signs)),
    )
    return JudgedShown(topics=tuple(topic for topic in topics if topic.entries or topic.notes))


def _keeping(figures: Figures, book: Book, signs: Signs) -> JudgedTopic:
    found = reasons(figures.storage, figures.formula, book.materials)
    drawn = {
        curve.beside: AcidPicture(
            pkas=curve.acid.pkas,
            low=curve.ph.low.value,
            high=curve.ph.high.value,
            works=curve.works,
            label=curve.told.words(signs),
        )
        for curve in acid_curves(figures.storage.keeping, book.materials)
    }
    entries = tuple(
        JudgedEntry(words=_told(saying, signs), picture=drawn.get(saying) if drawn else None) for saying in found
    )
    return JudgedTopic(head=word("Whether it keeps"), entries=entries)


def _holding(figures: Figures, book: Book, signs: Signs) -> JudgedTopic:
    """Return how each substance stands to what dissolves of it, then what carries oil into water."""
    carried = told_of_carrying(figures.carrying, book.materials)
    found = (*told_of_dissolving(figures.dissolving), *((carried,) if carried is not None else ()))
    return JudgedTopic(head=word("Whether it holds together"), entries=_entries(found, signs))


def _limits(limits: Limits, signs: Signs) -> JudgedTopic:
    """Return how it stands to the limits, the gravest first; then what was assumed or why nothing was judged."""
    notes = [_told(assumption, signs) for assumption in limits.assumed]
    if limits.silent is not None and limits.present:
        notes.append(coded(word("Not judged: {why}.", why=limits.silent.words(signs))))
    elif limits.silent is None:
        notes.append(phrase(LAW_IS_A_GUIDE if limits.judged else NOTHING_IS_LISTED))
    entries = tuple(
        JudgedEntry(words=_told(judgement(verdict), signs), asks=tuple(map(word, verdict.row.told)))
        for verdict in limits.judged
    )
    return JudgedTopic(head=word("Limits for cosmetics"), entries=entries, notes=tuple(notes))


def _allergens(scents: Allergens, book: Book, signs: Signs) -> JudgedTopic:
    assumed = (scents.assumed,) if scents.assumed is not None and scents.judged else ()
    return JudgedTopic(
        head=word("Fragrance allergens"),
        entries=_entries(allergens_told(scents, book), signs),
        notes=tuple(_told(assumption, signs) for assumption in assumed),
    )


def _dangers(danger: Dangers, signs: Signs) -> JudgedTopic:
    return JudgedTopic(head=word("Dangers"), entries=_entries(stands(danger) if danger.on_body else (), signs))


def _entries(told: Iterable[Saying], signs: Signs) -> tuple[JudgedEntry, ...]:
    return tuple(JudgedEntry(words=_told(saying, signs)) for saying in told)


def _told(saying: Saying, signs: Signs) -> Phrase:
    return coded(sentence(saying.words(signs)))


def allergens_told(scents: Allergens, book: Book) -> tuple[Saying, ...]:
    """Return how the product stands to each fragrance allergen, which label names are from memory, and what is open."""
    remembered = tuple(item.row.label for item in scents.judged if item.named and item.row.remembered)
    silent = tuple(book.name_of(key) for key in scents.silent)
    return (
        *(allergen_judgement(item, scents) for item in scents.judged),
        *((says("allergen-label-remembered", names=remembered),) if remembered else ()),
        *((says("allergens-incomplete", names=silent, count=len(silent)),) if silent else ()),
    )
