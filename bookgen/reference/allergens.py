"""Fragrance allergens, read from `allergens.yaml`: what a label of a cosmetic names above a share of the ready product.

Leaves: `AllergenTable`.  The law binds what is put on the market; for the keeper's own use it is a guide.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ..fraction import Fraction
from ..model import Contact
from . import spelt, table_in


@dataclass(frozen=True, slots=True, kw_only=True)
class AllergenRow:
    """One entry of the list."""

    label: str
    """The name that a label has for it."""
    entry: str
    """Annex and number, such as III/84."""
    mixture: bool
    """True for an oil or an extract, which may hold others of the list."""
    remembered: bool
    """True when its label name is from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AllergenTable:
    """The whole list."""

    rows: tuple[AllergenRow, ...]
    """In the order of the table."""
    names: Mapping[str, AllergenRow]
    """Any name, as `spelt` has it → its entry."""
    above: Mapping[Contact, Fraction]
    """The share of the ready product above which an entry is named; at it nothing is."""
    edition: str
    """The edition as sentences name it."""
    document: str
    """Document and edition in full."""


@cache
def allergens() -> AllergenTable:
    """Return the list of fragrance allergens.

    Raises ValueError, which stops the build and no user, where two entries share a name.
    """
    table = table_in("allergens.yaml")
    names: dict[str, AllergenRow] = {}
    rows = []
    for row in table["allergens"]:
        read = AllergenRow(
            label=row["label"],
            entry=row["entry"],
            mixture="mixture" in row,
            remembered="label from memory" in row,
        )
        rows.append(read)
        for name in (read.label, *row.get("names", ()), *row.get("also", ())):
            if names.setdefault(spelt(name), read) is not read:
                raise ValueError(f"{read.entry}: {name} is {names[spelt(name)].entry} in another row")
    return AllergenTable(
        rows=tuple(rows),
        names=names,
        above={contact: Fraction(table["above"][contact.value]) / 100 for contact in Contact},
        edition=table["short"],
        document=f"{table['document']}, {table['edition']}",
    )
