"""Published check values on soap: lye for fats by their saponification values, values by molar mass.

`test_check_values.py` holds the items of `check_values/15-…` to these.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import molmass

from bookgen.model import Line, Mass, Superfat
from bookgen.reckon.lye import TakingUp, lye_line
from bookgen.reference.soap import POTASH, soap_table

Item = dict[str, Any]
NAOH = "Sodium hydroxide"


def close(item: Item, found: Fraction) -> None:
    assert abs(found - Fraction(item["expected"])) <= Fraction(item["tolerance"]), float(found)


def alkali_for_alkali(item: Item, folder: Path) -> None:
    close(item, 1 / soap_table().as_potash(NAOH))


def lye_for_fats(item: Item, folder: Path) -> None:
    """A superfat of 0 is refused in a file, and is the lye itself to the arithmetic."""
    inputs = item["inputs"]
    rate = soap_table().as_potash(inputs["alkali"].capitalize())
    factors = [Fraction(value) * rate for value in inputs.get("printed_factor", ())]
    takes = [Fraction(value) / 1000 for value in inputs.get("takes_up", ())] or factors
    superfat = Superfat(share=Fraction(inputs["superfat"]) / 100, text="")
    weights = [Mass(grams=Fraction(grams), text="") for grams in inputs["grams"]]
    lines = [Line(material=str(at), amount=weight) for at, weight in enumerate(weights)]
    taking = TakingUp(
        fat=lambda line: takes[int(line.material)],
        alkali=lambda line: Fraction(inputs["purity"]) / 100 * rate,
        besides=lambda line: Fraction(0),
    )
    found = lye_line([*lines, Line(material="lye", amount=superfat)], taking)
    assert found is not None
    grams = found.weight([*(weight.grams for weight in weights), Fraction(0)])
    assert isinstance(grams, Fraction)
    close(item, grams)


def value_by_molar_mass(item: Item, folder: Path) -> None:
    """Three alkalis to one fat, by the table's mass of potassium hydroxide."""
    mass = Fraction(molmass.Formula(item["inputs"]["formula"]).mass)
    close(item, 3 * soap_table().alkalis[POTASH] * 1000 / mass)


SOAP: Mapping[str, Callable[[Item, Path], None]] = {
    "alkali for alkali": alkali_for_alkali,
    "lye for fats": lye_for_fats,
    "value by molar mass": value_by_molar_mass,
}
