"""Published check values on densities, water and alcohol: through the commands where one answers, else the function.

`test_check_values.py` holds the items of `check_values/05-…` to these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from bookgen.model import Density
from bookgen.reckon.densities import TWENTY, grams_per_ml, water
from bookgen.reckon.ethanol import (
    contraction_ml,
    density,
    expansion_ml,
    mass_share,
    mixed_share,
    volume_ml,
    volume_share,
)
from bookgen.reckon.standing import by_density
from bookgen.source.densities import read_density

from .books_of_text import formula, run, write_book
from .strength_values import asked

Item = dict[str, Any]
Point = tuple[Fraction, Fraction]
FIFTEEN = Fraction(15)
SIXTY_F = Fraction("15.56")
"""60 °F, to which strengths by volume refer in the USA."""


def percent(number: str) -> Fraction:
    return Fraction(number) / 100


def near(item: Item, found: Fraction | Mapping[str, Fraction]) -> None:
    """Compare with what the item expects, each figure within its own tolerance or exactly."""
    expected, tolerance = item["expected"], item["tolerance"]
    pairs = found if isinstance(found, Mapping) else {"": found}
    wanted = expected if isinstance(expected, dict) else {"": expected}
    assert pairs.keys() == wanted.keys()
    for key, figure in pairs.items():
        allowed = "0" if tolerance == "exact" else tolerance.get(key) or tolerance["abs"]
        assert abs(figure - Fraction(wanted[key])) <= Fraction(allowed), (key, float(figure))


def written(text: str) -> Density:
    read = read_density(text, comma=False)
    assert isinstance(read, Density), read
    return read


# ── Water ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def of_water(item: Item, folder: Path) -> None:
    """At each temperature; beyond 40 °C the formula is not published, and the book says so."""
    degrees, expected = item["inputs"]["temperature_C"], item["expected"]
    degrees, expected = ([one] if isinstance(one, str) else one for one in (degrees, expected))
    for at_c, wanted in zip(degrees, expected, strict=True):
        if Fraction(at_c) > 40:
            with pytest.raises(ValueError, match="known from 0 to 40 °C"):
                water(Fraction(at_c))
            continue
        near(item | {"expected": wanted}, water(Fraction(at_c)) * 1000)


def older_formula(item: Item, folder: Path) -> None:
    """T05-10: the formula of 1975 agrees with ours; the copy with two digits changed round does not."""
    at_c, constant = Fraction(item["inputs"]["temperature_C"]), Fraction(item["inputs"]["constant"])
    terms = ("999.83952", "16.945176", "-7.9870401e-3", "-46.170461e-6", "105.56302e-9", "-280.54253e-12")
    above = sum(Fraction(term) * at_c**power for power, term in enumerate(terms))
    near(item, above / (1 + constant * at_c))
    near(item, water(at_c) * 1000)
    misprinted = above / (1 + Fraction("0.016897850") * at_c)
    assert round(misprinted, 2) == Fraction("997.94")
    assert abs(misprinted - water(at_c) * 1000) > Fraction(item["tolerance"]["abs"])


# ── Alcohol ───────────────────────────────────────────────────────────────────────────────────────────────────────


def by_volume(item: Item, folder: Path) -> None:
    share = mass_share(percent(item["inputs"]["percent_vol"]))
    near(item, {"percent_mass": share * 100, "density_kg_m3": density(share) * 1000})


def by_mass(item: Item, folder: Path) -> None:
    share = percent(item["inputs"]["percent_mass"])
    near(item, {"percent_vol": volume_share(share) * 100, "density_kg_m3": density(share) * 1000})


def of_alcohol(item: Item, folder: Path) -> None:
    at_c = Fraction(item["inputs"]["temperature_C"])
    for mass, wanted in points_of(item):
        near(item | {"expected": wanted}, density(percent(mass), at_c))


def points_of(item: Item) -> list[tuple[str, str]]:
    """Return the points of a table of densities, (% by mass, g/cm³), as an item has them, one or several."""
    masses, densities = item["inputs"]["percent_mass"], item["expected"]
    if isinstance(masses, str):
        return [(masses, densities)]
    return list(zip(masses, densities, strict=True))


def mass_from_volume(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    near(item, mass_share(percent(inputs["percent_vol"]), Fraction(inputs["temperature_C"])) * 100)


def volume_from_mass(item: Item, folder: Path) -> None:
    near(item, volume_share(percent(item["inputs"]["percent_mass"]), SIXTY_F) * 100)


def water_for(strong_ml: Fraction, start: str, target: str, at_c: Fraction) -> tuple[Fraction, Fraction, Fraction]:
    """Return the grams of a strong alcohol, its strength by mass, and the grams of water that bring it down."""
    strong, want = mass_share(percent(start), at_c), mass_share(percent(target), at_c)
    grams = strong_ml * density(strong, at_c)
    return grams, strong, grams * (strong / want - 1)


def diluting_a_volume(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    grams, strong, added = water_for(Fraction(inputs["strong_mL"]), inputs["start"], inputs["target"], TWENTY)
    final = volume_ml(grams + added, mixed_share(grams, strong, added))
    found = {
        "water_g": added,
        "water_mL": volume_ml(added, Fraction(0)),
        "final_mL": final,
        "contraction_mL": contraction_ml(grams, strong, added),
    }
    near(item, found)
    assert expansion_ml(grams, strong, added) == 0


def diluted(item: Item, folder: Path) -> None:
    """With `dilute`, to a weight or to a volume."""
    inputs, wanted = item["inputs"], item["expected"]
    total = f"{inputs['total_g']} g" if "total_g" in inputs else f"{inputs['total_mL']} mL"
    answer = asked(folder, "dilute", f"{inputs['start']}%vol", "to", f"{inputs['target']}%vol", "--obtain", total)
    strong, thin = ({"g": Fraction(one["grams"]), "mL": Fraction(one["ml"])} for one in answer["lines"])
    found = {f"strong_{unit}": strong[unit] for unit in ("g", "mL")}
    found |= {f"water_{unit}": thin[unit] for unit in ("g", "mL")}
    near(item, {key: found[key] for key in wanted})


def mixed_volumes(item: Item, folder: Path) -> None:
    """T05-23: pure ethanol at 20 °C.  T05-24: of 95 % by volume at 60 °F, both measured at 25 °C."""
    inputs = item["inputs"]
    if "ethanol_mL" in inputs:
        strong, at_c, reference, poured = Fraction(1), TWENTY, TWENTY, inputs["ethanol_mL"]
    else:
        at_c, reference, poured = Fraction(25), SIXTY_F, inputs["alcohol_mL"]
        strong = mass_share(percent("95"), reference)
    grams = Fraction(poured) * density(strong, at_c)
    added = Fraction(inputs["water_mL"]) * density(Fraction(0), at_c)
    share = mixed_share(grams, strong, added)
    ml = volume_ml(grams + added, share, at_c)
    near(item, {"mL": ml, "percent_mass": share * 100, "percent_vol": volume_share(share, reference) * 100})
    shrinks = Fraction(poured) + Fraction(inputs["water_mL"]) - ml
    assert contraction_ml(grams, strong, added, at_c) == shrinks > 0


class Measured:
    """A table of densities that were measured, g/cm³ at 20 °C by % of ethanol by mass, read between its points."""

    def __init__(self, items: Iterable[Item]) -> None:
        points = [point for item in items for point in points_of(item)]
        self.points = sorted({(Fraction(mass), Fraction(dense)) for mass, dense in points})
        (_, self.water), (_, self.ethanol) = self.points[0], self.points[-1]

    def density(self, mass: Fraction) -> Fraction:
        """Return the density at so much % by mass, on the line between two points a percent apart at most."""
        (below, low), (above, high) = self._around(lambda one: one[0], mass)
        return low if above == below else low + (high - low) * (mass - below) / (above - below)

    def mass(self, volume: Fraction) -> Fraction:
        """Return % by mass of % by volume: mass × density rises evenly enough between two points."""
        (below, low), (above, high) = self._around(lambda one: one[0] * one[1], volume * self.ethanol)
        first, second = below * low, above * high
        return (
            below if first == second else below + (volume * self.ethanol - first) / (second - first) * (above - below)
        )

    def volume(self, mass: Fraction) -> Fraction:
        """Return % by volume of % by mass."""
        return mass * self.density(mass) / self.ethanol

    def _around(self, key: Callable[[Point], Fraction], wanted: Fraction) -> tuple[Point, Point]:
        below = max(one for one in self.points if key(one) <= wanted)
        above = min(one for one in self.points if key(one) >= wanted)
        assert above[0] - below[0] <= 1, "the table has no lines so near"
        return below, above


def beside_the_table(item: Item, table: Measured) -> None:
    """A figure computed with the directive's formula, found again from measured densities alone.

    The old densities lie up to 0.00008 g/cm³ above the formula's; 3 in 10,000 and 0.03 of the unit leave room for that.
    """
    inputs = {key: Fraction(value) for key, value in item["inputs"].items()}
    found: dict[str, Fraction] = {}
    match item["checks"]:
        case "alcohol by volume":
            mass = table.mass(inputs["percent_vol"])
            found = {"percent_mass": mass, "density_kg_m3": table.density(mass) * 1000}
        case "alcohol by mass":
            mass = inputs["percent_mass"]
            found = {"percent_vol": table.volume(mass), "density_kg_m3": table.density(mass) * 1000}
        case "mixing volumes":
            ethanol, water_g = inputs["ethanol_mL"] * table.ethanol, inputs["water_mL"] * table.water
            mass = ethanol / (ethanol + water_g) * 100
            ml = (ethanol + water_g) / table.density(mass)
            found = {"mL": ml, "percent_mass": mass, "percent_vol": table.volume(mass)}
        case _:
            strong, thin = table.mass(inputs["start"]), table.mass(inputs["target"])
            if "strong_mL" in inputs:
                total = inputs["strong_mL"] * table.density(strong) * strong / thin
            else:
                total = inputs["total_g"] if "total_g" in inputs else inputs["total_mL"] * table.density(thin)
            strong_g = total * thin / strong
            strong_ml, final_ml = strong_g / table.density(strong), total / table.density(thin)
            water_ml = (total - strong_g) / table.water
            found = {
                "strong_g": strong_g, "strong_mL": strong_ml, "water_g": total - strong_g, "water_mL": water_ml,
                "final_mL": final_ml, "contraction_mL": strong_ml + water_ml - final_ml,
            }  # fmt: skip
    for key, wanted in item["expected"].items():
        room = Fraction(wanted) * Fraction("0.0003") + Fraction("0.03")
        assert abs(found[key] - Fraction(wanted)) <= room, (key, float(found[key]))


def water_to_add(item: Item, folder: Path) -> None:
    """T05-32 to T05-37: cells of an old table for 15 °C."""
    inputs = item["inputs"]
    at_c = Fraction(inputs["reference_C"])
    _, _, added = water_for(Fraction(inputs["strong_mL"]), inputs["start"], inputs["target"], at_c)
    near(item, volume_ml(added, Fraction(0), at_c))


def misprinted_cells(item: Item, folder: Path) -> None:
    """T05-38: four cells of that table do not hold; what they should say is reckoned."""
    found = {}
    for cell, printed in item["inputs"]["printed"].items():
        start, target = cell.split("_")
        _, _, added = water_for(Fraction(100), start, target, FIFTEEN)
        found[cell] = volume_ml(added, Fraction(0), FIFTEEN)
        assert abs(found[cell] - Fraction(printed)) > Fraction(item["tolerance"]["abs"])
    near(item, found)


def alcohol_of_95_degrees(item: Item, folder: Path) -> None:
    at_c = Fraction(item["inputs"]["temperature_C"])
    share = mass_share(percent(item["inputs"]["percent_vol"]), at_c)
    thin, strong = density(Fraction(0), at_c), density(share, at_c)
    found = {
        "percent_mass": share * 100,
        "water_volumes": 100 * strong * (1 - share) / thin,
        "sg_15_15": strong / thin,
    }
    near(item, found)


# ── Other densities ───────────────────────────────────────────────────────────────────────────────────────────────


def specific_gravity(item: Item, folder: Path) -> None:
    """T05-41, T05-42: a volume of so much a millilitre weighs what the source weighed."""
    inputs = item["inputs"]
    (grams,) = weighed(folder, item["expected"], f"{inputs['mL']} mL")
    assert grams == Fraction(inputs["g"])


def mass_and_volume(item: Item, folder: Path) -> None:
    (ml, light), (grams, heavy) = item["inputs"]["a"], item["inputs"]["b"]
    found = by_density(Fraction(grams), written(heavy), to_ml=True)
    assert isinstance(found, Fraction)
    near(item, {"g": weighed(folder, light, f"{ml} mL")[0], "mL": found})


def of_a_solution(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    in_all = Fraction(inputs["solute_g"]) + Fraction(inputs["water_g"])
    product = Density(number=Fraction(item["expected"]), text="4/3 g/mL")
    assert by_density(in_all, product, to_ml=True) == Fraction(inputs["mL"])
    near(item | {"expected": item["printed"]}, grams_per_ml(product))


def gravity_in_grams(item: Item, folder: Path) -> None:
    """A range of specific gravity at 25/25 °C, read and weighed: × 0.99705."""
    expected = item["expected"]
    at_25 = Fraction("0.99705")
    for key in ("low", "high"):
        text = f"{expected[key]} at 25/25 °C"
        found = grams_per_ml(written(text))
        assert abs(found - Fraction(expected[key]) * at_25) < Fraction("0.000005")
        assert weighed(folder / key, text, "100 mL") == [found * 100]
    if "mid_g_per_mL" in expected:
        middle = (Fraction(expected["low"]) + Fraction(expected["high"])) / 2
        found = grams_per_ml(Density(number=middle, relative_to_c=Fraction(25), text="1.036 at 25/25 °C"))
        assert abs(found - Fraction(expected["mid_g_per_mL"])) <= Fraction(item["tolerance"]["abs"])


def weighed(folder: Path, dense: str, *amounts: str) -> list[Fraction]:
    """Return the exact grams of lines in mL of a liquid with that density."""
    lines = "; ".join(f"m{number}: {amount}" for number, amount in enumerate(amounts))
    materials = {f"m{number}": f"density: {dense}\nwater: 0 %" for number in range(len(amounts))}
    room = "balances:\n  - {name: fine, readability: 0.0001 g, capacity: 9000 g}\n"
    status, answer = run(write_book(folder, {"F": formula("F", lines)}, materials, room), "weigh", "F")
    assert status == 0, answer
    return [Fraction(line["grams"]) for line in answer["lines"]]


DENSITIES: dict[str, Callable[[Item, Path], None]] = {
    "density of water": of_water,
    "another formula for water": older_formula,
    "alcohol by volume": by_volume,
    "alcohol by mass": by_mass,
    "density of alcohol": of_alcohol,
    "mass from volume": mass_from_volume,
    "volume from mass": volume_from_mass,
    "diluting a volume": diluting_a_volume,
    "diluting by weight": diluted,
    "diluting to a volume": diluted,
    "mixing volumes": mixed_volumes,
    "water to add": water_to_add,
    "misprinted cells": misprinted_cells,
    "alcohol of 95 degrees": alcohol_of_95_degrees,
    "specific gravity": specific_gravity,
    "mass and volume": mass_and_volume,
    "density of a solution": of_a_solution,
    "specific gravity in g/mL": gravity_in_grams,
}
DENSITY_FACTS = {
    "T05-40": "a specific gravity from three weighings; the book takes the figure, not the weighings",
    **{f"T05-{number}": "glycerol and water: the book holds no such table" for number in range(51, 56)},
    "T05-56": "salt and water: the book holds no such table",
}
"""Items with nothing to compute, and why."""
