"""Salts that are made in the vessel, and words for water of crystallisation, read from `neutralised.yaml`.

Leaves: `NeutralisedTable`, for what a list of ingredients asks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from . import spelt, table_in


@dataclass(frozen=True, slots=True, kw_only=True)
class NeutralisedTable:
    """The whole table."""

    salts: Mapping[tuple[str, str], str]
    """Label names of an acid and of an alkali, as `spelt` has them → that of their salt."""
    hydrates: frozenset[str]
    """Last words of names that tell water of crystallisation."""


@cache
def neutralised() -> NeutralisedTable:
    """Return the table."""
    table = table_in("neutralised.yaml")
    return NeutralisedTable(
        salts={
            (spelt(pair["acid"]), spelt(alkali)): salt
            for pair in table["salts"]
            for alkali, salt in pair["with"].items()
        },
        hydrates=frozenset(table["hydrates"]),
    )
