"""How much dissolves in water and what carries oil into it, read from `dissolving.yaml`.

Leaves: `DissolvingTable`.  Solubilities are in grams to 100 g of water, as a substance is weighed in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any

from ..fraction import Fraction
from . import spelt, table_in

HUNDRED = Fraction(100)


class SaltSide(StrEnum):
    """Which of the two that make a salt of each other a substance is."""

    ACID = "acid"
    ALKALI = "alkali"


@dataclass(frozen=True, slots=True, kw_only=True)
class SolubilityRow:
    """One substance of the table."""

    name: str
    """The first of its names."""
    grams: Fraction
    """Grams of it, as it is weighed in, that 100 g of water dissolve."""
    at_c: Fraction
    """Degrees Celsius at which they do."""
    saturates: str
    """The name of the row whose saturation it shares; its own where it shares none."""
    also_in: frozenset[str]
    """Other solvents in which it dissolves as well or better: `ethanol`, `oil`."""
    side: SaltSide | None
    """Acid or alkali, where the other makes a salt of it; None for neither."""
    acid: str
    """The acid that it gives at a low pH; empty where it is no such salt."""
    left_solid: bool
    """True where a scrub or a polish may hold crystals of it on purpose."""
    raised_by: frozenset[str]
    """What keeps more of it dissolved, by the first of its names."""
    source: str
    """Where it stands, as sentences name it."""
    from_memory: bool
    """True for a figure that was not seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DissolvingTable:
    """All of it."""

    rows: Mapping[str, SolubilityRow]
    """First name of a substance → its row."""
    names: Mapping[str, str]
    """Any name of the whole table, as `spelt` has it → the first name of its substance."""
    other_solvents: frozenset[str]
    """Liquids that take up what also dissolves in ethanol, by the first of their names."""
    other_acids: frozenset[str]
    """Acids without a row, by the first of their names."""
    carriers: frozenset[str]
    """What carries oil into water, by the first of its names."""
    soap_makers: frozenset[str]
    """What carries it by making soap of fat, by the first of its names."""


def of_solution(percent: Fraction) -> Fraction:
    """Return how many grams dissolve in 100 g of water, from the percentage of the saturated solution.

    Source: own arithmetic; pages that print 59.2 % of the solution as 59.2 g in 100 mL of water misread it.

    >>> of_solution(Fraction(60))
    Fraction(150, 1)
    """
    return percent * HUNDRED / (HUNDRED - percent)


def as_hydrate(grams: Fraction, dry: Fraction, hydrate: Fraction) -> Fraction:
    """Return how much of a hydrate 100 g of water dissolve, from the grams of the form without water.

    `dry` and `hydrate` are the molar masses.  So many grams in 100 g of water come from grams × hydrate ÷ dry of the
    hydrate, which brings its own water, and from what is left to be added of the 100 g.

    Source: own arithmetic; tables that print the figure without water beside the formula of the hydrate misread it.
    """
    weighed = grams * hydrate / dry
    return weighed * HUNDRED / (HUNDRED + grams - weighed)


@cache
def dissolving() -> DissolvingTable:
    """Return the table.

    Raises ValueError, which stops the build and no user, where a row cannot be read.
    """
    table = table_in("dissolving.yaml")
    sources = {key: source["short"] for key, source in table["sources"].items()}
    names: dict[str, str] = {}
    for row in table["solubilities"]:
        _entered([row["names"]], names)
    rows = {row["names"][0]: _row(row, sources, names) for row in table["solubilities"]}
    for row in rows.values():
        if row.saturates not in rows or (row.acid and row.acid not in rows):
            raise ValueError(f"{row.name}: what it shares or gives is in no row")
    return DissolvingTable(
        rows=rows,
        other_solvents=_entered(table["other solvents"], names),
        other_acids=_entered(table["other acids"], names),
        carriers=_entered(table["carriers"], names),
        soap_makers=_entered(table["makes soap"], names),
        names=names,
    )


def _entered(lists: Iterable[Sequence[str]], names: dict[str, str]) -> frozenset[str]:
    """Enter names of substances, and return the first name of each; one that is there goes by what it has there."""
    found = set()
    for called in lists:
        first = names.get(spelt(called[0]), called[0])
        found.add(first)
        for name in called:
            known = names.setdefault(spelt(name), first)
            if known != first:
                found.add(known)
    return frozenset(found)


def _row(row: Mapping[str, Any], sources: Mapping[str, str], names: dict[str, str]) -> SolubilityRow:
    name = row["names"][0]
    if row["class"] not in {"seen", "secondary", "memory"}:
        raise ValueError(f"{name}: how it was seen cannot be read")
    grams = _grams(Fraction(row["grams"]), row["as"])
    if "molar masses" in row:
        dry, hydrate = map(Fraction, row["molar masses"])
        grams = as_hydrate(grams, dry, hydrate)
    return SolubilityRow(
        name=name,
        grams=grams,
        at_c=Fraction(row["at"]),
        saturates=row.get("shares with", name),
        also_in=frozenset(row.get("also in", ())),
        side=SaltSide(row["is"]) if "is" in row else None,
        left_solid=row.get("left solid") == "yes",
        acid=row.get("acid", ""),
        raised_by=_entered(row.get("raised by", ()), names),
        source=sources[row["source"]],
        from_memory=row["class"] == "memory",
    )


def _grams(figure: Fraction, counted: str) -> Fraction:
    """Return the grams in 100 g of water, low reading, of a figure as it is printed."""
    match counted:
        case "100 g" | "100 mL" | "unsaid":
            return figure
        case "1 in":
            return HUNDRED / figure
        case "solution":
            return of_solution(figure)
    raise ValueError(f"{counted} is not what a solubility counts")
