"""How hot a substance may become in the making, read from `heat.yaml`.

Leaves: `HeatTable`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ..fraction import Fraction
from . import enter, table_in


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatRow:
    """What substances alike bear."""

    celsius: Fraction
    """Degrees Celsius that they bear."""
    beyond: str
    """What happens beyond, as a clause."""
    known: str
    """How that is known, as it is printed."""
    only_in: Mapping[str, str]
    """Purposes of a formula, in lower case, without which nothing is asked, of many → of one; empty for any."""
    on_body: bool
    """True where nothing is asked of what goes onto nobody."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatTable:
    """All rows."""

    by_substance: Mapping[str, HeatRow]
    """First name of a substance → its row."""
    names: Mapping[str, str]
    """Any name, as `spelt` has it → the first name of its substance."""


@cache
def heat_limits() -> HeatTable:
    """Return the table.

    Raises ValueError, which stops the build and no user, where two rows have one name.
    """
    table = table_in("heat.yaml")
    names: dict[str, str] = {}
    by_substance: dict[str, HeatRow] = {}
    for row in table["heat"]:
        record = HeatRow(
            celsius=Fraction(row["bears"]),
            beyond=row["beyond"],
            known=row["known"],
            only_in=row.get("only in", {}),
            on_body="on body" in row,
        )
        for first, *others in row["names"]:
            enter(names, (first, *others), first)
            by_substance[first] = record
    return HeatTable(by_substance=by_substance, names=names)
