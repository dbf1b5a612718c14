"""Published check values on preservation: undissociated acids, the table of preservatives, alcohol in free water.

`test_check_values.py` holds the items of `check_values/07-…` to these.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

from bookgen.model import Known
from bookgen.reckon.acids import forms_of, undissociated
from bookgen.reckon.figures import reckon
from bookgen.reckon.preserving import STILL_ACTIVE, free_water
from bookgen.reckon.recognised import counted
from bookgen.reckon.storage import Preparation
from bookgen.reference.preservatives import preservatives
from bookgen.source import read_book

from .books_of_text import formula, write_book

Item = dict[str, Any]


def close(item: Item, found: Fraction, wanted: str) -> None:
    margin = 0 if item["tolerance"] == "exact" else Fraction(item["tolerance"])
    assert abs(found - Fraction(wanted)) <= margin, float(found)


def undissociated_share(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    close(item, undissociated(Fraction(inputs["pKa"]), Fraction(inputs["pH"])) * 100, item["expected"])


def ph_of_a_tenth(item: Item, folder: Path) -> None:
    """T07-17: at that pH a tenth is undissociated, the share down to which it is not said to fail."""
    for acid, pka in item["inputs"].items():
        share = undissociated(Fraction(pka), Fraction(item["expected"][acid]))
        assert abs(share - STILL_ACTIVE) < Fraction("0.00002")


def active_acid(item: Item, folder: Path) -> None:
    """T07-18: share of the salt × what it counts as × its undissociated share."""
    row = preservatives().by_substance["Sodium benzoate"]
    factor = counted("Sodium benzoate", "benzoic acid")
    assert factor is not None
    assert row.pka is not None
    share = undissociated(row.pka, Fraction(item["inputs"]["pH"]))
    close(item, Fraction(item["inputs"]["percent"]) * factor * share, item["expected"])


def active_acids(item: Item, folder: Path) -> None:
    for ph, wanted in zip(item["inputs"]["pH"], item["expected"], strict=True):
        active_acid({**item, "inputs": {**item["inputs"], "pH": ph}, "expected": wanted}, folder)


def buffer(item: Item, folder: Path) -> None:
    """The acid's share of acid and salt is what is undissociated at that pH: more just below it, less just above."""
    inputs, margin = item["inputs"], Fraction(item["tolerance"])
    for salt, acid, ph in zip(inputs["salt"], inputs["acid"], item["expected"], strict=True):
        share = Fraction(acid) / (Fraction(acid) + Fraction(salt))
        least, most = (undissociated(Fraction(inputs["pKa"]), Fraction(ph) + off) for off in (margin, -margin))
        assert least < share < most


def forms(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    found = forms_of([Fraction(pka) for pka in inputs["pKa"]], Fraction(inputs["pH"]))
    for share, wanted in zip(found, item["expected"], strict=True):
        close(item, share * 100, wanted)


def ratio_of_forms(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    acid, salt = forms_of([Fraction(pka) for pka in inputs["pKa"]], Fraction(inputs["pH"]))
    close(item, salt / acid, item["expected"])


def water_activity_of(item: Item, folder: Path) -> None:
    """Each through a book of its own: the estimate of a mixture of so many grams."""
    for number, (parts, wanted) in enumerate(zip(item["inputs"], item["expected"], strict=True)):
        lines = "; ".join(f"{name.casefold()}: {grams} g" for name, grams in parts.items())
        materials = {name.casefold(): "water: 0 %" for name in parts} | {"water": "water: 100 %"}
        book = write_book(folder / str(number), {"F": formula("F", lines)}, materials)
        found = reckon(read_book(book)).figures["f"].storage.keeping.activity
        assert found is not None
        assert {row.substance for row in found.rows} == parts.keys() - {"water"}
        close(item, found.estimate, wanted)


def solutes(item: Item, folder: Path) -> None:
    rows = preservatives().activity.solutes
    found = {
        name: {"K": row.k, "molar mass": row.molar_mass, "to": row.to * 100}
        for name, row in rows.items()
        if not row.points
    }
    assert found == {
        name: {key: Fraction(value) for key, value in row.items()} for name, row in item["expected"].items()
    }
    assert preservatives().activity.water == Fraction("18.015")


def brine(item: Item, folder: Path) -> None:
    row = preservatives().activity.solutes["Sodium chloride"]
    assert dict(row.points) == {
        Fraction(share) / 100: Fraction(activity) for share, activity in item["expected"].items()
    }


def stops(item: Item, folder: Path) -> None:
    assert preservatives().activity.stops == {name: Fraction(value) for name, value in item["expected"].items()}


def syrup(item: Item, folder: Path) -> None:
    """The water is what the sugar's own volume leaves; 18 % of what the sugar does not hold has to be alcohol."""
    inputs, expected = item["inputs"], item["expected"]
    sugar = Fraction(inputs["sucrose"])
    free = free_water(Fraction(inputs["ml"]) - sugar * Fraction(550, 850), sugar, Fraction(0))
    close(item, free, expected["free"])
    close(item, free * preservatives().kept["ethanol"].numbers["share"] / 100, expected["absolute"])


def syrup_by_weight(item: Item, folder: Path) -> None:
    numbers = preservatives().kept["sucrose"].numbers
    inputs = item["inputs"]
    assert numbers["grams"] == Fraction(inputs["sucrose"])
    assert numbers["in"] == Fraction(inputs["ml"]) * Fraction(inputs["gravity"])
    close(item, numbers["grams"] / numbers["in"] * 100, item["expected"])


def watery_part(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    lines = "; ".join(f"{name}: {grams} g" for name, grams in inputs.items())
    materials = {
        "oil": "water: 0 %",
        "spirit": "contains:\n  ethanol: 96 %vol\nwater: 6.1616 %",
        "water": "water: 100 %",
    }
    figure = reckon(read_book(write_book(folder, {"F": formula("F", lines)}, materials))).figures["f"].storage
    water, alcohol = figure.water, figure.alcohol
    assert isinstance(water, Fraction)
    assert isinstance(alcohol, Fraction)
    close(item, alcohol / (alcohol + water) * 100, item["expected"])
    assert figure.preparation is Preparation.WATER


def what_keeps(item: Item, folder: Path) -> None:
    for name, wanted in item["expected"].items():
        key, _, number = name.partition(" ")
        assert preservatives().kept[key].numbers[number] == Fraction(wanted)


def preservative(item: Item, folder: Path) -> None:
    row = preservatives().by_substance[item["inputs"]["substance"]]
    found: dict[str, Known | None] = {
        "lowest": row.usual[0] * 100,
        "highest": row.usual[1] * 100,
        "pH from": row.ph[0],
        "pH to": row.ph[1],
        "pKa": row.pka,
    }
    wanted = {name: Fraction(value) for name, value in item["expected"].items()}
    assert {name: value for name, value in found.items() if value is not None} == wanted
    if item["class"] == "from memory":
        assert row.memory == {"usual", "pH", "taken up by"}
    else:
        assert row.is_sure_of("usual") or item["inputs"]["substance"] == "Chlorphenesin"


PRESERVING: Mapping[str, Callable[[Item, Path], None]] = {
    "undissociated": undissociated_share,
    "pH of a tenth": ph_of_a_tenth,
    "active acid": active_acid,
    "active acids": active_acids,
    "buffer": buffer,
    "forms": forms,
    "ratio of forms": ratio_of_forms,
    "water activity": water_activity_of,
    "solutes": solutes,
    "brine": brine,
    "stops": stops,
    "syrup": syrup,
    "syrup by weight": syrup_by_weight,
    "watery part": watery_part,
    "what keeps": what_keeps,
    "preservative": preservative,
}
"""What is checked → the function that checks it."""
