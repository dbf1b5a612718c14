"""The estimate of water activity at its corners, and that it decides nothing."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from bookgen.reckon.activity import activity_over
from bookgen.reckon.figures import reckon
from bookgen.reckon.storage import Preparation, StorageFigure
from bookgen.reference.preservatives import preservatives
from bookgen.source import read_book

from ..books_of_text import MATERIALS, ONE_BALANCE, formula, write_book

SUGARS = {"glycerol": "water: 0 %", "sucrose": "water: 0 %", "xylitol": "water: 0 %", "sodium chloride": "water: 0 %"}


def stored(folder: Path, lines: str, *keys: str, more: dict[str, str] | None = None) -> StorageFigure:
    book = write_book(
        folder / "book", {"F": formula("F", lines, *keys)}, MATERIALS | SUGARS | (more or {}), ONE_BALANCE
    )
    return reckon(read_book(book)).figures["f"].storage


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ("glycerol: 10 g; water: 90 g", True),
        ("glycerol: 9.9 g; water: 90 g", False),
        ("glycerol: 5 g; sucrose: 5 g; water: 90 g", True),
        ("glycerol: 5 g; water: 45 g; a: 50 g", True),
        ("glycerol: 99.5 g; water: 0.5 g", False),
        ("sodium chloride: {amount: 20 g, removed: filtered, left: at most 15 g}; water: 80 g", False),
        ("water: 90 g; a: 10 g", False),
    ],
)
def test_it_is_told_where_solutes_are_a_real_part_of_the_watery_phase(lines, told, tmp_path):
    """A tenth of them and the water, whatever else is there; not where it is too dry to matter."""
    assert (stored(tmp_path, lines).keeping.activity is not None) is told


def test_a_solution_counts_its_own_water(tmp_path):
    figure = stored(tmp_path, "syrup: 100 g", more={"syrup": "known as: sorbitol\nwater: 30 %"})
    assert figure.keeping.activity is not None
    assert round(figure.keeping.activity.estimate, 4) == Fraction("0.7667")


def test_no_more_counts_than_the_figures_reach(tmp_path):
    """Sugar beyond what dissolves holds no water: 67.5 % of it and water give 0.8466 (from memory)."""
    for number, (lines, is_most) in enumerate(
        (
            ("sucrose: 67.5 g; water: 32.5 g", False),
            ("sucrose: 67.6 g; water: 32.4 g", True),
            ("sucrose: 95 g; water: 5 g", True),
        )
    ):
        found = stored(tmp_path / str(number), lines).keeping.activity
        assert found is not None
        assert (round(found.estimate, 4), found.is_most) == (Fraction("0.8466"), is_most)
    salt = stored(tmp_path / "salt", "sodium chloride: 40 g; water: 60 g").keeping.activity
    assert salt is not None
    assert (salt.estimate, salt.is_most) == (Fraction("0.7593"), True)


def test_between_two_figures_of_salt_it_goes_in_a_straight_line():
    """Half way from 1 % to 5 % (0.9942 and 0.9702); own arithmetic."""
    row = preservatives().activity.solutes["Sodium chloride"]
    assert activity_over(row, Fraction(3, 100)) == Fraction("0.9822")
    assert activity_over(row, Fraction(0)) == 1


def test_more_of_a_solute_leaves_less_of_the_activity():
    for row in preservatives().activity.solutes.values():
        steps = [activity_over(row, row.to * step / 20) for step in range(21)]
        assert steps[0] == 1
        assert all(higher > lower for higher, lower in pairwise(steps))


def test_it_has_fifteen_decimals(tmp_path):
    found = stored(tmp_path, "glycerol: 30 g; water: 70 g").keeping.activity
    assert found is not None
    assert found.estimate == Fraction("0.916268161274824")


def test_what_it_is_reckoned_from_stands_the_most_first(tmp_path):
    for number, (lines, first) in enumerate(
        (
            ("glycerol: 20 g; sucrose: 30 g; water: 50 g", "Sucrose"),
            ("glycerol: 30 g; sucrose: 20 g; water: 50 g", "Glycerol"),
        )
    ):
        found = stored(tmp_path / str(number), lines).keeping.activity
        assert found is not None
        assert found.rows[0].substance == first


def test_it_decides_nothing(tmp_path):
    """Xylitol leaves 0.78 of it, below what most moulds need, and the water counts as unpreserved all the same."""
    figure = stored(tmp_path, "xylitol: 65 g; water: 35 g")
    assert figure.keeping.activity is not None
    assert figure.keeping.activity.estimate < preservatives().activity.stops["moulds"] + Fraction("0.02")
    assert figure.preparation is Preparation.WATER


def test_what_is_not_known_adds_nothing(tmp_path):
    lines = "glycerol: {amount: 20 g, left: at most 10 g, removed: filtered}; sucrose: 20 g; water: 80 g"
    figure = stored(tmp_path, lines)
    assert figure.keeping.activity is not None
    assert [row.substance for row in figure.keeping.activity.rows] == ["Sucrose"]
