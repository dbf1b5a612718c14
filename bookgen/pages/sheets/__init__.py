"""The binder's leaves: what is printed, what identifies each of them, and what has to be printed after a change."""

from __future__ import annotations

from .effective import effective_sheet, row_of
from .front import BEFORE_LIST
from .leaves import Bench, bench_for, leaves_of
from .shown import EffectiveRow, Kind, Sheet
from .style import faces, sheet_style

__all__ = [
    "BEFORE_LIST",
    "Bench",
    "EffectiveRow",
    "Kind",
    "Sheet",
    "bench_for",
    "effective_sheet",
    "faces",
    "leaves_of",
    "row_of",
    "sheet_style",
]
