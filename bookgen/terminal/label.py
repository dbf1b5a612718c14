"""The list of ingredients for a label, as text for the terminal: one line to be copied, then its notes."""

from __future__ import annotations

from ..shown.judged_records import LabelShown
from ..shown.plain import in_one_line
from .columns import WIDEST, wrapped


def label_text(shown: LabelShown, width: int = WIDEST) -> str:
    """Return the list, wrapped by nobody so that it can be copied as it is, and each note."""
    notes = [line for told in (*shown.asked, *shown.notes) for line in wrapped(in_one_line(told), 2, width)]
    return "\n".join((*((shown.text,) if shown.text else ()), *notes))
