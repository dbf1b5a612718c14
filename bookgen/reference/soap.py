"""Molar masses of what soap is made with and of what comes of it, read from `soap.yaml`.

Leaves: `SoapTable`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ..fraction import Fraction
from . import table_in

POTASH = "Potassium hydroxide"
"""The alkali in which saponification values are given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoapTable:
    """The whole table."""

    alkalis: Mapping[str, Fraction]
    """First name of an alkali in the table of dangers → its molar mass, g/mol."""
    glycerol: Fraction
    """Molar mass of glycerol, g/mol."""
    least_taken_up: Fraction
    """From so much of what the fats take up, a lye is meant to make soap."""
    least_fat: Fraction
    """From so many grams of fat for 1 g of alkali."""
    most_by_acid: Fraction
    """Grams of potassium hydroxide that 1 g of an acid takes up at most."""

    def as_potash(self, alkali: str) -> Fraction:
        """Return the grams of potassium hydroxide that 1 g of an alkali stands for.

        >>> round(float(soap_table().as_potash("Sodium hydroxide")), 4)
        1.4028
        """
        return self.alkalis[POTASH] / self.alkalis[alkali]


@cache
def soap_table() -> SoapTable:
    """Return the table."""
    table = table_in("soap.yaml")
    figures = {row["name"]: Fraction(row["value"]) for row in table["figures"]}
    return SoapTable(
        alkalis={row["alkali"]: Fraction(row["molar mass"]) for row in table["alkalis"]},
        glycerol=Fraction(table["glycerol"]["molar mass"]),
        least_taken_up=figures["lye that makes soap"] / 100,
        least_fat=figures["fat that makes soap"],
        most_by_acid=figures["alkali that an acid takes up at most"],
    )
