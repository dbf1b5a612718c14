"""The tables of this room as one: the name of a sentence → the sentence."""

from __future__ import annotations

from collections.abc import Mapping

from . import (
    allergens,
    amounts,
    asked,
    batches,
    beginning,
    dangers,
    droppers,
    files,
    findings,
    front,
    holding,
    incompatible,
    issues,
    keys,
    label,
    limits,
    lots,
    measuring,
    method,
    mixtures,
    numbers,
    preserving,
    references,
    slips,
    spirits,
    storage,
    strengths,
    supplies,
    text,
    totals,
    unknown,
    values,
)

FAMILIES = (
    allergens,
    amounts,
    asked,
    batches,
    beginning,
    dangers,
    droppers,
    files,
    findings,
    front,
    incompatible,
    holding,
    issues,
    keys,
    label,
    limits,
    lots,
    measuring,
    method,
    mixtures,
    numbers,
    preserving,
    references,
    slips,
    spirits,
    storage,
    strengths,
    supplies,
    text,
    totals,
    unknown,
    values,
)
"""The families, a file each; no two have a sentence of one name."""

SENTENCES: Mapping[str, str] = {key: sentence for family in FAMILIES for key, sentence in family.SENTENCES.items()}
"""Name → sentence."""
