"""A label for what one batch is filled into: what it says, by what the preparation is for.

Enters: one batch, what is asked of its label, the shelf.  Leaves: `JarLabel`.  A label claims
nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from .. import show
from ..findings import Missing
from ..language import ENGLISH, noted, spoken, turned_items, word
from ..model import StoragePlace
from ..reckon.labelled import (
    ActiveStrength,
    LabelSort,
    LabelWish,
    content_on_label,
    keeps_after_opening,
    sort_of_label,
    strengths_on_label,
)
from ..reckon.weighing import Weighing
from .cautions import cautions_of, handled_in_order, hazards_in_product
from .formula import place_of, with_article
from .head import dose_fact
from .held import held_words
from .plain import in_one_line
from .records import Caution
from .shelf import Shelf

OWN_USE = noted("Not for handing on")
"""What is printed on a label that may lack what one for others says."""
COMPOUNDED = noted("Compounded preparation.")
"""What a medicine's label says of how it came about (USP <795>, from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelPiece:
    """One part of a label's text."""

    term: str
    """What it is, before a colon; empty where the words say it."""
    text: str
    """The words."""
    long: bool = False
    """True for what may stand on a leaflet: cautions and the list of ingredients."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JarLabel:
    """One label."""

    language: str
    """Language of its words."""
    name: str
    """The name."""
    use_by: str
    """Directly under the name: until when it is to be used, or how long once it is open."""
    marks: tuple[str, ...]
    """`DRAFT`, `Not for handing on`; in a frame."""
    brief: tuple[LabelPiece, ...]
    """What stands in one line as long as there is room: content, place, batch."""
    pieces: tuple[LabelPiece, ...]
    """The rest, each in lines of its own."""


def jar_label(weighing: Weighing, wish: LabelWish, shelf: Shelf) -> JarLabel:
    """Return the label of a batch that may have one (`why_no_label`)."""
    figures, formula, sort = weighing.figures, weighing.formula, sort_of_label(weighing.figures)
    stamp = shelf.stamp(figures.key)
    code = formula.code or figures.key
    name = formula.title or code
    return JarLabel(
        language=shelf.book.workroom.language,
        name=f"{code} {name}" if sort is LabelSort.INTERMEDIATE else name,
        use_by=_use_by(weighing, wish, sort),
        marks=tuple(
            mark for mark in (word(stamp).upper() if stamp else "", "" if wish.handed_on else word(OWN_USE)) if mark
        ),
        brief=tuple(_brief(weighing, wish, sort, shelf)),
        pieces=tuple(piece for piece in _pieces(weighing, sort, shelf) if piece.text),
    )


def on_leaflet(label: JarLabel) -> tuple[JarLabel, JarLabel]:
    """Return the label without what may stand on a leaflet, and the leaflet."""
    short = tuple(piece for piece in label.pieces if not piece.long)
    kept = tuple(piece for piece in label.pieces if piece.long)
    first, *rest = (piece.term for piece in kept) if kept else ("",)
    names = show.listing([first, *(name if spoken() != ENGLISH else name.lower() for name in rest)])
    told = LabelPiece(term=names, text=word("see the leaflet"))
    return replace(label, pieces=(*short, told) if kept else short), replace(label, pieces=kept)


def _use_by(weighing: Weighing, wish: LabelWish, sort: LabelSort) -> str:
    """Return until when it is to be used; of a cosmetic that keeps beyond 30 months how long once it is open."""
    if sort is LabelSort.COSMETIC and keeps_after_opening(weighing.figures) and wish.after_opening is not None:
        period = wish.after_opening
        return word("Use within {period} of opening", period=show.period(period.days, period.months))
    return "" if isinstance(weighing.use_by, Missing) else word("Use by {day}", day=show.day(weighing.use_by))


def _brief(weighing: Weighing, wish: LabelWish, sort: LabelSort, shelf: Shelf) -> Iterator[LabelPiece]:
    content = content_on_label(weighing, wish)
    if content is not None and sort in (LabelSort.COSMETIC, LabelSort.MEDICINE):
        yield LabelPiece(term="", text=held_words(content, shelf.signs, show.DOWN))
    if sort is LabelSort.INTERMEDIATE:
        yield LabelPiece(term=word("Made"), text=show.day(wish.made))
    place = place_of(weighing.figures)
    if place is not None and place is not StoragePlace.CUPBOARD:
        yield LabelPiece(term="", text=word("Keep in {place}", place=with_article(place)))
    called = f"{weighing.formula.code or weighing.figures.key}-{show.day(wish.made)}"
    yield LabelPiece(term=word("Batch", "label"), text=wish.batch or called)


def _pieces(weighing: Weighing, sort: LabelSort, shelf: Shelf) -> Iterator[LabelPiece]:
    figures, formula, signs = weighing.figures, weighing.formula, shelf.signs
    handled = handled_in_order(figures, shelf)
    purpose = LabelPiece(term="", text=show.sentence(show.written(formula.purpose, signs)))
    if sort is LabelSort.MEDICINE:
        piece = figures.pieces.form.one_piece if figures.pieces else ""
        strengths = (_strength(strength, piece, signs) for strength in strengths_on_label(figures))
        yield LabelPiece(term=word("Contains"), text=", ".join(filter(None, strengths)))
        if figures.dose is not None:
            fact = dose_fact(figures.dose, signs)
            yield LabelPiece(term=fact.term, text=f"{fact.text} {in_one_line(fact.note)}")
        yield purpose
        yield LabelPiece(term=word("Use"), text=turned_items(formula.use.text) if formula.use else "")
        yield LabelPiece(term="", text=word(COMPOUNDED))
    elif sort is LabelSort.COSMETIC:
        yield purpose
    if sort in (LabelSort.INTERMEDIATE, LabelSort.PLAIN):
        yield _told(word("Hazards"), hazards_in_product(figures, shelf, handled), long=False)
    if sort is not LabelSort.INTERMEDIATE:
        law = {asked.text for asked in figures.limits.words}
        cautions = (
            replace(caution, who="") if caution.text in law else caution
            for caution in cautions_of(figures, shelf, handled)
        )
        yield _told(word("Cautions"), tuple(cautions), long=True)
    if sort is LabelSort.COSMETIC and figures.label.text:
        term, _, names = figures.label.text.partition(": ")
        yield LabelPiece(term=term, text=names, long=True)
    if sort in (LabelSort.COSMETIC, LabelSort.MEDICINE):
        yield LabelPiece(term="", text=shelf.book.workroom.responsible)


def _strength(strength: ActiveStrength, piece: str, signs: show.Signs) -> str:
    """Return how much there is of an active: in one piece by weight, else as a percentage; empty where not known."""
    if strength.each is not None:
        return word(
            "{name} {grams} in one {piece}",
            name=strength.name,
            grams=show.small_weight(strength.each, signs),
            piece=word(piece),
        )
    if isinstance(strength.share, Missing):
        return ""
    return f"{strength.name} {show.with_unit(show.plain(strength.share * 100, signs), '%')}"


def _told(term: str, cautions: tuple[Caution, ...], *, long: bool) -> LabelPiece:
    sentences = (f"{_begun(caution.who)}: {caution.text}" if caution.who else caution.text for caution in cautions)
    return LabelPiece(term=term, text=" ".join(sentences), long=long)


def _begun(name: str) -> str:
    """Return a name as a sentence begins with it; `d-limonene` keeps its letter, which says what it is."""
    return name if name[1:2] == "-" else name[:1].upper() + name[1:]
