"""HLB of nonionic emulsifiers and the required HLB of oils, read from `hlb.yaml`.

Leaves: `HlbTable`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from ..fraction import Fraction
from . import spelt, table_in


@dataclass(frozen=True, slots=True, kw_only=True)
class HlbRow:
    """One emulsifier or oil."""

    value: Fraction
    """Its HLB, or the HLB that it requires of an emulsion of oil in water."""
    known: str
    """How that is known, as it is printed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HlbTable:
    """All rows."""

    emulsifiers: Mapping[str, HlbRow]
    """Any name, as `spelt` has it → the row."""
    oils: Mapping[str, HlbRow]
    """Any name, as `spelt` has it → the row."""
    soap_formers: frozenset[str]
    """Names, as `spelt` has them, of what an alkali turns into soap in place."""


@cache
def hlb_table() -> HlbTable:
    """Return the table.

    Raises ValueError, which stops the build and no user, where two rows have one name.
    """
    table = table_in("hlb.yaml")
    oils = _rows(table["oils"], "o/w")
    formers = frozenset(
        spelt(name)
        for former in table["soap formers"]
        for row in ({"names": [former]}, *table["oils"])
        if former in row["names"]
        for name in row["names"]
    )
    return HlbTable(emulsifiers=_rows(table["emulsifiers"], "HLB"), oils=oils, soap_formers=formers)


def _rows(rows: Iterable[Mapping[str, str]], key: str) -> dict[str, HlbRow]:
    found: dict[str, HlbRow] = {}
    for row in rows:
        record = HlbRow(value=Fraction(row[key]), known=row["known"])
        for name in row["names"]:
            if found.setdefault(spelt(name), record) is not record:
                raise ValueError(f"{name} is in another row")
    return found
