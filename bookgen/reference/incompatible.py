"""What does not go together, read from `incompatible.yaml`: groups of substances, and pairs of groups.

Leaves: `IncompatibleTable`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from ..fraction import Fraction
from . import enter, table_in

MEMORY = "from memory"
"""How a pair is known that was not read; such a pair never bars a formula."""


class Medium(StrEnum):
    """In what alone a pair is asked about."""

    ANYWHERE = ""
    WATER = "water"
    POWDER = "powder"


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRow:
    """Two groups that do not go together."""

    first: str
    """A group."""
    second: str
    """Another; the same one where any two of it do not go together."""
    least: Fraction
    """Share of the product from which the second group counts; of one group twice, all of it."""
    medium: Medium
    """In what alone it is asked about."""
    unless: str
    """A group that prevents it; empty for none."""
    bars: bool
    """True for what burns or bursts."""
    reason: str
    """What happens, as a clause."""
    todo: str
    """What to do, as a clause."""
    known: str
    """How that is known, as it is printed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IncompatibleTable:
    """All of it."""

    groups: Mapping[str, frozenset[str]]
    """Group → its substances, by the first of their names."""
    groups_of: Mapping[str, frozenset[str]]
    """First name of a substance → its groups."""
    names: Mapping[str, str]
    """Any name, as `spelt` has it → the first name of its substance."""
    pairs: tuple[PairRow, ...]
    """In the order of the table."""
    figures: Mapping[str, Fraction]
    """Name of a figure → its share."""


@cache
def incompatible() -> IncompatibleTable:
    """Return the table.

    Raises ValueError, which stops the build and no user, where a name has two substances, a pair has no such group, or
    one from memory bars.
    """
    table = table_in("incompatible.yaml")
    names: dict[str, str] = {}
    groups: dict[str, frozenset[str]] = {}
    for group, lists in table["groups"].items():
        for first, *others in lists:
            enter(names, (first, *others), first)
        groups[group] = frozenset(first for first, *_ in lists)
    pairs = tuple(_pair(row) for row in table["pairs"])
    for pair in pairs:
        if not {pair.first, pair.second, pair.unless or pair.first} <= groups.keys():
            raise ValueError(f"{pair.first} and {pair.second}: no such group")
        if pair.bars and MEMORY in pair.known:
            raise ValueError(f"{pair.first} and {pair.second}: what rests on memory does not bar")
    return IncompatibleTable(
        groups=groups,
        groups_of={
            name: frozenset(group for group, held in groups.items() if name in held) for name in set(names.values())
        },
        names=names,
        pairs=pairs,
        figures={row["name"]: Fraction(row["value"]) / 100 for row in table["figures"]},
    )


def _pair(row: Mapping[str, str]) -> PairRow:
    return PairRow(
        first=row["first"],
        second=row["second"],
        least=Fraction(row.get("from", 0)) / 100,
        medium=Medium(row.get("in", "")),
        unless=row.get("unless", ""),
        bars="bars" in row,
        reason=row["reason"],
        todo=row["do"],
        known=row["known"],
    )
