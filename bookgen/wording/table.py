"""The tables of this room as one: the name of a sentence → the sentence."""

from __future__ import annotations

from collections.abc import Mapping

from . import droppers, findings, measuring, method, numbers, slips, spirits, storage, totals, unknown

FAMILIES = (droppers, findings, measuring, method, numbers, slips, spirits, storage, totals, unknown)
"""The families, a file each; no two have a sentence of one name."""

SENTENCES: Mapping[str, str] = {key: text for family in FAMILIES for key, text in family.SENTENCES.items()}
"""Name → sentence."""
