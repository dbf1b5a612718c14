"""The list of ingredients for a label, as a page and the terminal show it: a line to be copied, and its notes."""

from __future__ import annotations

from ..findings import Missing
from ..language import noted, word
from ..model import Quantity
from ..reckon.figures import Figures
from ..reckon.judgements import words_judgement
from ..reckon.label import LabelList, asks_for_content
from ..show import Signs
from ..wording.saying import Saying, says
from .held import held_words
from .judged_records import LabelShown
from .phrases import coded

A_DRAFT = noted("A draft, by weight in the finished product; the law on labels decides.")
"""What stands below a list."""


def label_of(figures: Figures, signs: Signs, *, on_paper: bool = False) -> LabelShown | None:
    """Return the list with what is to be known of it; None for what is no cosmetic.

    A sheet says what the list is in its heading, and in its foot who decides.
    """
    label = figures.label
    if label.entries == ():
        return None
    notes = tuple(coded(f"{told.words(signs)}.") for told in label_notes(label))
    return LabelShown(
        text=label.text,
        asked=tuple(coded(f"{words_judgement(asked).words(signs)}: {asked.text}") for asked in figures.limits.words),
        notes=(*notes, coded(word(A_DRAFT))) if label.text and not on_paper else notes,
    )


def content_told(figures: Figures, container: Quantity, signs: Signs) -> str:
    """Return what a label says of how much a container holds; empty for what is no cosmetic."""
    if figures.label.entries == ():
        return ""
    if not asks_for_content(container):
        return says("label-content").words(signs)
    return says("label-content-named", content=held_words(container, signs)).words(signs)


def label_notes(label: LabelList) -> tuple[Saying, ...]:
    """Return what makes the list incomplete, or why there is none, and what is to be known of its order."""
    if isinstance(label.entries, Missing):
        return (says("label-unknown", why=label.entries.says),)
    return (*label.open, *label.told)
