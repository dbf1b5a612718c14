"""Diluents at their limits: what thins what, how much of it may be taken, which of several is taken.

Source: common practice, no source, as in the rules that are held to; the figures are own arithmetic.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

import pytest

from bookgen.model import MaterialKind, Solvent
from bookgen.reckon.diluents import Diluent, thins
from bookgen.reckon.figures import reckon
from bookgen.reckon.ways import Measure
from bookgen.source import read_book

from ..books_of_text import formula, write_book

MATERIALS = {
    "salt": "kind: crystals\nsoluble: water\nwater: 0 %",
    "dye": "kind: powder\nsoluble: water\nwater: 0 %",
    "plain": "water: 0 %",
    "water": "water: 100 %",
    "rose-water": "water: 99.9 %",
}


def thinners(folder: Path, ingredients: str, materials: Mapping[str, str] = MATERIALS) -> Mapping[int, Diluent]:
    """Return the diluents of a formula's lines."""
    book = write_book(folder / "book", {"F": formula("F", ingredients)}, materials)
    return reckon(read_book(book)).figures["f"].thinners


@pytest.mark.parametrize(
    ("front", "able"),
    [
        pytest.param("water: 90 %", {Solvent.WATER}, id="90 % of free water"),
        pytest.param("water: 89.9 %", set(), id="less free water"),
        pytest.param("contains:\n  ethanol: 50 %", {Solvent.ETHANOL}, id="half ethanol"),
        pytest.param("contains:\n  Ethanol: 49.9 %", set(), id="less ethanol"),
        pytest.param("contains:\n  alcohol: 96 %vol", {Solvent.ETHANOL}, id="ethanol by another name"),
        pytest.param("kind: liquid\nsoluble: oil", {Solvent.OIL}, id="a fixed oil"),
        pytest.param("kind: wax\nsoluble: oil", set(), id="a wax"),
        pytest.param("kind: liquid\nsoluble: [oil, ethanol]", set(), id="no fixed oil, as ethanol dissolves it"),
        pytest.param("kind: liquid\nsoluble: oil\ndrops:\n  pipette: 0.025 g", set(), id="what is counted in drops"),
        pytest.param("kind: powder\nsoluble: water", {MaterialKind.POWDER}, id="a powder"),
        pytest.param("kind: crystals\nsoluble: water", set(), id="crystals are triturated, but with nothing of theirs"),
    ],
)
def test_what_a_material_can_thin(tmp_path: Path, front: str, able: set[Solvent | MaterialKind]) -> None:
    book = write_book(tmp_path / "book", {"F": formula("F", "thing: 1 g")}, {"thing": front})
    assert thins(read_book(book)).get("thing", frozenset()) == able


def test_half_of_a_diluent_is_spared(tmp_path: Path) -> None:
    # 99 g of water: 49.5 g for 1 g of salt; the batch stands at 100 g to each gram
    assert thinners(tmp_path, "salt: 1 %; water: to 100 g") == {
        0: Diluent(index=1, measure=Measure.DILUTE, diluent_per_gram=Fraction("49.5"), batch_per_gram=Fraction(100))
    }


def test_lines_share_what_is_not_spared(tmp_path: Path) -> None:
    # 96 g of water, half of it spared: 24 g for 1 g of salt, and 24 g for 3 g of dye
    found = thinners(tmp_path, "salt: 1 %; dye: 3 %; water: to 100 g")
    assert {number: one.diluent_per_gram for number, one in found.items()} == {0: 24, 1: 8}


@pytest.mark.parametrize(
    ("line", "is_thinned"),
    [
        # half of the water is at least four times the salt: a stock 1 in 5, the mildest there is
        ("salt: 5 %; plain: 55 %; water: 40 %", True),
        ("salt: 5 %; plain: 55.1 %; water: 39.9 %", False),
        # a tenth of the formula can be weighed where anything of it can; here water is enough for both
        ("salt: 9.99 %; water: to 100 g", True),
        ("salt: 10 %; water: to 100 g", False),
    ],
)
def test_what_is_little_enough_to_be_thinned(tmp_path: Path, line: str, is_thinned: bool) -> None:
    assert (0 in thinners(tmp_path, line)) is is_thinned


@pytest.mark.parametrize(
    ("share", "diluent"),
    [pytest.param("10", 1, id="a tenth in its own phase"), pytest.param("9.9", 2, id="less, and the fill serves")],
)
def test_a_large_line_of_the_same_phase_goes_before_the_fill(tmp_path: Path, share: str, diluent: int) -> None:
    found = thinners(tmp_path, f"A: {{salt: 0.05 %, rose-water: {share} %}}; B: {{water: to 100 g}}")
    assert found[0].index == diluent


@pytest.mark.parametrize(("share", "is_thinned"), [("10 %", True), ("9.99 %", False)])
def test_a_powder_triturates_where_it_makes_up_a_tenth(tmp_path: Path, share: str, is_thinned: bool) -> None:
    powders = {"red": "kind: powder", "talc": "kind: powder", "plain": "water: 0 %"}
    found = thinners(tmp_path, f"red: 0.1 %; talc: {share}; plain: to 100 g", powders)
    assert [diluent.measure for diluent in found.values()] == [Measure.TRITURATE] * is_thinned
