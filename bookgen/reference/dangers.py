"""Dangers that need no law, read from `dangers.yaml`: what burns, what must never meet, and from which figure on.

Leaves: `DangerTable`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from ..fraction import Fraction
from . import enter, table_in


class Peril(StrEnum):
    """What a substance does that needs a question."""

    CAUSTIC = "caustic"
    ALKALI = "alkali"
    STRONG_ACID = "strong acid"
    PHENOL = "phenol"
    ACID = "acid"
    FRUIT_ACID = "fruit acid"
    HYPOCHLORITE = "hypochlorite"
    AMMONIA = "ammonia"
    ALCOHOL = "alcohol"
    PEROXIDE = "peroxide"
    METAL = "metal"
    AIRWAYS = "narrows the airways"
    SUN = "burns in the sun"
    SMALL_CHILDREN = "not for small children"
    PREGNANCY = "not in pregnancy"
    PRESCRIPTION = "on prescription"


PRACTICE = "common practice"
"""How a row is known that does not say otherwise."""
MEMORY = "from memory"
"""How a row is known that asks and never bars."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Perilous:
    """One substance of the table."""

    name: str
    """The first of its names."""
    perils: frozenset[Peril]
    """What it does."""
    burns_from: Fraction | None
    """Share by weight from which it harms skin; None where the table has none."""
    known: str
    """How its figures are known: `common practice`, `from memory`, or as a document has them."""
    fat_takes_up: Fraction
    """Grams of it that 1 g of fat turns into soap at the most; 0 where it makes none."""
    most: Fraction | None
    """Share by weight of the ready product from which is asked; None where the table has none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Freed:
    """What two set free that must never meet."""

    gas: str
    """Its name."""
    harm: str
    """What is bad about it, as sentences have it after a comma."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerTable:
    """All of it."""

    substances: Mapping[str, Perilous]
    """First name → the substance."""
    names: Mapping[str, str]
    """Any name, as `spelt` has it → the first name of its substance."""
    figures: Mapping[str, Fraction]
    """Name of a figure → its value: a pH, degrees Celsius, or a share of 1."""
    never: Mapping[tuple[Peril, Peril], Freed]
    """Two that must never meet → what they set free."""


@cache
def dangers() -> DangerTable:
    """Return the table of dangers.

    Raises ValueError, which stops the build and no user, where a row cannot be read.
    """
    table = table_in("dangers.yaml")
    names: dict[str, str] = {}
    substances: dict[str, Perilous] = {}
    for row in table["substances"]:
        first = row["names"][0]
        enter(names, row["names"], first)
        substances[first] = Perilous(
            name=first,
            perils=frozenset(map(Peril, row["is"])),
            burns_from=_share(row.get("burns from")),
            known=row.get("class", PRACTICE),
            fat_takes_up=Fraction(row.get("fat takes up", 0)),
            most=_share(row.get("most")),
        )
    return DangerTable(
        substances=substances,
        names=names,
        figures={row["name"]: Fraction(row["value"]) / (100 if row["unit"] == "%" else 1) for row in table["figures"]},
        never={
            (Peril(row["first"]), Peril(row["second"])): Freed(gas=row["sets free"], harm=row["harm"])
            for row in table["never together"]
        },
    )


def figure(name: str) -> Fraction:
    """Return a figure of the table by its name."""
    return dangers().figures[name]


def _share(percent: str | None) -> Fraction | None:
    return None if percent is None else Fraction(percent) / 100
