"""The binder's leaves: what is printed, what identifies each of them, and what has to be printed after a change."""

from __future__ import annotations

from .comparing import Comparison, State, compare, earlier_looks, other_paper, record_of, row_on_record
from .effective import effective_sheets, is_list, look_of, row_of
from .filing import filing_sheet, on_letters
from .front import BEFORE_LIST
from .leaves import Bindery, bindery_for, leaves_of, sheets_of
from .records import EffectiveRow, LeafKind, Sheet
from .style import faces, look_words, sheet_style

__all__ = [
    "BEFORE_LIST",
    "Bindery",
    "Comparison",
    "EffectiveRow",
    "LeafKind",
    "Sheet",
    "State",
    "bindery_for",
    "compare",
    "earlier_looks",
    "effective_sheets",
    "faces",
    "filing_sheet",
    "is_list",
    "leaves_of",
    "look_of",
    "look_words",
    "on_letters",
    "other_paper",
    "record_of",
    "row_of",
    "row_on_record",
    "sheet_style",
    "sheets_of",
]
