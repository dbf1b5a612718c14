"""The list of ingredients for a label, for machines: each with its exact share and where it stands."""

from __future__ import annotations

from ..findings import Missing
from ..reckon.figures import Figures
from ..reckon.judgements import words_judgement
from ..shown.label import label_notes
from .text import percent_json


def label_json(figures: Figures) -> dict[str, object] | None:
    """Return the list of ingredients for a label, with the words asked for beside it; None for what is no cosmetic."""
    label = figures.label
    if label.entries == ():
        return None
    entries = () if isinstance(label.entries, Missing) else label.entries
    return {
        "text": label.text or None,
        "complete": bool(entries) and not label.open,
        "ingredients": [
            {
                "name": entry.name,
                "percent_low": percent_json(entry.low),
                "percent_high": percent_json(entry.high),
                "stands": entry.part.name.lower().replace("_", " "),
                "label_name": not entry.nameless,
                "allergen": entry.allergen,
            }
            for entry in entries
        ],
        "words": [
            {
                "words": list(told.asked.words),
                "entry": told.asked.entry,
                "edition": told.asked.edition,
                "when": told.asked.when or None,
                "sure": not told.perhaps,
                "says": words_judgement(told).words(),
            }
            for told in figures.limits.words
        ],
        "notes": [told.words() for told in label_notes(label)],
    }
