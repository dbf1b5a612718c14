"""Published check values on what dissolves: solubilities row by row, misread bases, free acids, sums of water.

`test_check_values.py` holds the items of `check_values/12-…` to these.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

from bookgen.reckon.dissolving import free_acid, water_wanted
from bookgen.reference.dissolving import as_hydrate, dissolving, of_solution

Item = dict[str, Any]


def close(item: Item, found: Fraction, wanted: str) -> None:
    margin = 0 if item["tolerance"] == "exact" else Fraction(item["tolerance"])
    assert abs(found - Fraction(wanted)) <= margin, float(found)


def solubility(item: Item, folder: Path) -> None:
    row = dissolving().rows[item["inputs"]["substance"]]
    close(item, row.grams, item["expected"]["grams"])
    assert row.at_c == Fraction(item["expected"]["at"])
    assert row.from_memory is (item["class"] == "from memory")


def hydrate(item: Item, folder: Path) -> None:
    percent, dry, wet = (Fraction(item["inputs"][key]) for key in ("percent", "dry", "hydrate"))
    found = as_hydrate(of_solution(percent), dry, wet)
    close(item, found, item["expected"])
    assert found == dissolving().rows["Magnesium sulfate heptahydrate"].grams


def solution(item: Item, folder: Path) -> None:
    for percent, wanted in zip(item["inputs"]["percents"], item["expected"], strict=True):
        close(item, of_solution(Fraction(percent)), wanted)


def wanted(item: Item, folder: Path) -> None:
    parts = [(Fraction(grams), 100 / Fraction(ratio)) for grams, ratio in item["inputs"]["parts"]]
    found = water_wanted(parts)
    close(item, found, item["expected"])
    assert found > Fraction(item["inputs"]["there"])


def acidified(item: Item, folder: Path) -> None:
    inputs, expected = item["inputs"], item["expected"]
    as_acid, pka = Fraction(inputs["grams"]) * Fraction(inputs["factor"]), Fraction(inputs["pKa"])
    most = dissolving().rows["Benzoic acid"].grams
    for ph, grams, out in zip(inputs["pHs"], expected["grams"], expected["comes_out"], strict=True):
        found = free_acid(as_acid, pka, Fraction(ph))
        close(item, found, grams)
        assert (found > most) is (out == "yes")
    close(item, free_acid(as_acid, pka, Fraction(expected["begins"])), str(most))


DISSOLVING: Mapping[str, Callable[[Item, Path], None]] = {
    "solubility": solubility,
    "as hydrate": hydrate,
    "of solution": solution,
    "water wanted": wanted,
    "free acid": acidified,
}
"""What is checked → the function that checks it."""
