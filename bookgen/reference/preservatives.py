"""What keeps water from spoiling, read from `preservatives.yaml`: preservatives, what else keeps, what is mistaken.

Leaves: `PreservativeTable`.  Shares are of the whole, 1 = all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from ..fraction import Fraction
from ..language import noted
from . import spelt, table_in
from .limits import limits

MEMORY = "memory"
"""The source of what was not seen."""
BY_SHARE = noted("it keeps water only from a much larger share on")
"""Why sugar, glycerol, propylene glycol and salt are no preservatives as they are used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PreservativeRow:
    """One preservative in all its forms."""

    substances: tuple[str, ...]
    """Its forms, by the first of their names; the first of them names the row."""
    acid: str
    """The acid that its salts are counted as; empty where it is no weak acid."""
    pka: Fraction | None
    """pKa of the acid at 25 °C; None where it is no weak acid."""
    usual: tuple[Fraction, Fraction]
    """Lowest and highest usual share of the product."""
    ph: tuple[Fraction | None, Fraction | None]
    """Lowest and highest pH at which it works; None for an end that is not given."""
    takers: frozenset[str]
    """Substances that take it up, by the first of their names."""
    partner: bool
    """True for what supports a preservative and is not one by itself."""
    source: tuple[str, ...]
    """Where it stands, as sentences name it."""
    memory: frozenset[str]
    """Its columns that were not seen: `usual`, `pH`, `taken up by`."""
    disputed: frozenset[str]
    """Its columns on which sources disagree."""

    def __hash__(self) -> int:
        """Return a hash of the substances, which no other row has: that of every figure would cost more."""
        return hash(self.substances)

    def is_sure_of(self, column: str) -> bool:
        """Tell whether a column was seen and is not disputed, so that a judgement may rest on it."""
        return column not in self.memory and column not in self.disputed


@dataclass(frozen=True, slots=True, kw_only=True)
class MistakenRow:
    """What is called a preservative and is none."""

    substances: tuple[str, ...]
    """What it is, by the first of its names."""
    why: str
    """Why it does not preserve, as a clause."""
    source: str
    """Where that stands, as sentences name it."""
    by_share: bool = False
    """True for what keeps water from a larger share on, as sugar and salt do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRow:
    """Something other than a preservative that keeps water from its published share on."""

    substances: tuple[str, ...]
    """The substance, by the first of its names; empty for alkali."""
    numbers: Mapping[str, Fraction]
    """Its figures, as the table names them."""
    source: str
    """Where they stand, as sentences name it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoluteRow:
    """What lowers the water activity of a solution, and how it is estimated: by K of Norrish or by points."""

    substance: str
    """The substance, by the first of its names."""
    k: Fraction
    """K of Norrish, for natural logarithms; 0 where there are points."""
    molar_mass: Fraction
    """Grams of a mole; 0 where there are points."""
    to: Fraction
    """Share of it and water up to which it is reckoned."""
    points: tuple[tuple[Fraction, Fraction], ...]
    """Share of it and water → water activity, the lowest share first; empty where K is known."""
    source: str
    """Where the figures stand, as sentences name it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ActivityTable:
    """Figures for an estimate of water activity."""

    water: Fraction
    """Grams of a mole of water."""
    solutes: Mapping[str, SoluteRow]
    """Substance → its row."""
    stops: Mapping[str, Fraction]
    """bacteria, yeasts, moulds, all → the water activity below which most, many, most, all of them stop growing."""
    source: str
    """Where that stands, as sentences name it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PreservativeTable:
    """All rows."""

    by_substance: Mapping[str, PreservativeRow]
    """First name of a substance → its row."""
    mistaken: Mapping[str, MistakenRow]
    """First name of a substance → what it is mistaken for."""
    kept: Mapping[str, KeptRow]
    """sucrose, glycerol, glycol, salt, ethanol, alkali → their figures."""
    activity: ActivityTable
    """What lowers the water activity."""
    names: Mapping[str, str]
    """Any name, as `spelt` has it → the first name of its substance; those of the limits aside."""


@cache
def preservatives() -> PreservativeTable:
    """Return the table.

    Raises ValueError, which stops the build and no user, where a row cannot be read.
    """
    table = table_in("preservatives.yaml")
    sources = {key: source["short"] for key, source in table["sources"].items()}
    names: dict[str, str] = {}
    takers = {group: frozenset(_firsts(lists, names)) for group, lists in table["takers"].items()}
    by_substance: dict[str, PreservativeRow] = {}
    for row in table["preservatives"]:
        record = _row(row, takers, sources, names)
        by_substance |= dict.fromkeys(record.substances, record)
    mistaken: dict[str, MistakenRow] = {}
    for row in table["mistaken"]:
        found = MistakenRow(
            substances=tuple(_firsts(row["names"], names)), why=row["why"], source=sources[row["source"]]
        )
        mistaken |= dict.fromkeys(found.substances, found)
    kept = {
        key: KeptRow(
            substances=tuple(_firsts(row.get("names", ()), names)),
            numbers={name: Fraction(value) for name, value in row.items() if name not in ("names", "source")},
            source=sources[row["source"]],
        )
        for key, row in table["kept"].items()
    }
    for other in kept.values():
        less = MistakenRow(substances=other.substances, why=BY_SHARE, source=other.source, by_share=True)
        mistaken |= dict.fromkeys(other.substances, less)
    activity = _activity(table["activity"], sources, names)
    return PreservativeTable(by_substance=by_substance, mistaken=mistaken, kept=kept, activity=activity, names=names)


def _firsts(lists: Sequence[Sequence[str]], names: dict[str, str]) -> Iterator[str]:
    """Yield the first name of each substance, and enter its names; one that the limits have goes by theirs."""
    of_limits = limits().names
    for first, *others in lists:
        called = of_limits.get(spelt(first), names.get(spelt(first), first))
        for name in (first, *others):
            known = of_limits.get(spelt(name)) or names.setdefault(spelt(name), called)
            if known != called:
                raise ValueError(f"{name} is {known} and {called}")
        yield called


def _row(
    row: Mapping[str, Any], takers: Mapping[str, frozenset[str]], sources: Mapping[str, str], names: dict[str, str]
) -> PreservativeRow:
    columns = {"usual", "pH", "taken up by"}
    if row["class"] not in {"seen", MEMORY} or not columns.issuperset(
        {*row.get("memory", ()), *row.get("disputed", ())}
    ):
        raise ValueError(f"{row['names'][0][0]}: how it was seen cannot be read")
    low, high = (Fraction(share) / 100 for share in row["usual"])
    least, most = (Fraction(end) if end else None for end in row["pH"])
    return PreservativeRow(
        substances=tuple(_firsts(row["names"], names)),
        acid=row.get("acid", ""),
        pka=Fraction(row["pKa"]) if "pKa" in row else None,
        usual=(low, high),
        ph=(least, most),
        takers=frozenset().union(*(takers[group] for group in row["taken up by"])),
        partner="partner" in row,
        source=tuple(sources[source] for source in row["source"]),
        memory=frozenset(columns if row["class"] == MEMORY else row.get("memory", ())),
        disputed=frozenset(row.get("disputed", ())),
    )


def _activity(table: Mapping[str, Any], sources: Mapping[str, str], names: dict[str, str]) -> ActivityTable:
    rows = []
    for row in (*table["solutes"], table["brine"]):
        points = tuple((Fraction(share) / 100, Fraction(activity)) for share, activity in row.get("points", {}).items())
        if points != tuple(sorted(points)) or ("K" in row) == bool(points):
            raise ValueError(f"{row['names'][0][0]}: neither K nor points in order")
        rows.append(
            SoluteRow(
                substance=next(_firsts(row["names"], names)),
                k=Fraction(row.get("K", 0)),
                molar_mass=Fraction(row.get("molar mass", 0)),
                to=points[-1][0] if points else Fraction(row["to"]) / 100,
                points=points,
                source=sources[row["source"]],
            )
        )
    stops = {name: Fraction(value) for name, value in table["stops"].items() if name != "source"}
    return ActivityTable(
        water=Fraction(table["water"]),
        solutes={row.substance: row for row in rows},
        stops=stops,
        source=sources[table["stops"]["source"]],
    )
