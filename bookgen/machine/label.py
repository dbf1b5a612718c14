"""The list of ingredients for a label, for machines: each with its exact share and where it stands."""

from __future__ import annotations

from ..findings import Missing
from ..model import Known
from ..reckon.label import LabelList
from ..show import exact
from ..shown.label import label_notes


def label_json(label: LabelList) -> dict[str, object] | None:
    """Return the list of ingredients for a label; None for what is no cosmetic."""
    if label.entries == ():
        return None
    entries = () if isinstance(label.entries, Missing) else label.entries
    return {
        "text": label.text or None,
        "complete": bool(entries) and not label.open,
        "ingredients": [
            {
                "name": entry.name,
                "percent_low": _percent(entry.low),
                "percent_high": _percent(entry.high),
                "stands": entry.part.name.lower().replace("_", " "),
                "label_name": not entry.nameless,
                "allergen": entry.allergen,
            }
            for entry in entries
        ],
        "notes": [told.words() for told in label_notes(label)],
    }


def _percent(share: Known) -> str | None:
    return None if isinstance(share, Missing) else exact(share * 100)
