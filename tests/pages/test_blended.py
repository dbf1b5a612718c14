"""What stands below a line of diluted ethanol, on paper and in the terminal alike.

Expected figures as in `tests/reckon/test_blends.py`: OIML R 22 and own arithmetic.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main

from ..books_of_text import MATERIALS, ONE_BALANCE, TODAY, formula, write_book

SPIRIT = "density: 0.8074\nkind: liquid\ncontains:\n  ethanol: 96 %vol\nwater: 6.16 %"


def printed(folder: Path, ingredients: str) -> str:
    """Return what `weigh` prints, every run of spaces as one."""
    book = write_book(folder, {"F": formula("F", ingredients)}, {**MATERIALS, "spirit": SPIRIT}, ONE_BALANCE)
    result = CliRunner().invoke(main, ["weigh", "F", "--book", str(book), "--today", TODAY])
    assert result.exit_code == 0, result.stdout
    return " ".join(result.stdout.split())


@pytest.mark.parametrize(
    ("line", "says"),
    [
        pytest.param(
            "60 g of 70 %vol",
            "39.89 g of it and 20.11 g of water, bench balance "
            "70 %vol (62.4 % w/w at 20 °C) from 96 %vol and water; the two shrink by 1.8 mL.",
            id="with its shrinking",
        ),
        pytest.param(
            "3.6 g of 70 %vol",
            "70 %vol (62.4 % w/w at 20 °C) from 96 %vol and water; the two shrink by 0.11 mL.",
            id="a tenth of a millilitre is said",
        ),
        pytest.param(
            "3 g of 70 %vol",
            "70 %vol (62.4 % w/w at 20 °C) from 96 %vol and water. ",
            id="less is not",
        ),
        pytest.param("60 g of 96 %vol", "It has 96 %vol already (93.8 % w/w at 20 °C).", id="strong enough as it is"),
    ],
)
def test_the_two_weights_are_said(tmp_path: Path, line: str, says: str) -> None:
    assert says in printed(tmp_path, f"spirit: {line}; a: 40 g; water: 1 g")


def test_a_fill_of_unknown_weight_is_diluted_first(tmp_path: Path) -> None:
    says = (
        "Dilute it first. For 100 g of it from 96 %vol: 66.48 g, and 33.52 g of water (62.4 % w/w, 70 %vol at 20 °C)."
    )
    assert says in printed(tmp_path, "spirit: to 500 mL of 70 %vol; a: 1 g")


def test_too_little_of_the_strong_one_says_how_strong_it_may_become(tmp_path: Path) -> None:
    # own arithmetic: 0.08 to 0.10 g of 93.84 % w/w in 1.00 g are 7.51 to 9.38 % w/w, rounded outward as %vol
    text = printed(tmp_path, "spirit: 1 g of 10 %vol; a: 99 g; water: 1 g")
    assert "Its strength may really be 9.3 to 12 %vol." in text
    assert "It may really be" not in text


def test_the_ends_of_an_interval_differ_and_what_is_not_weighed_has_none(tmp_path: Path) -> None:
    text = printed(tmp_path, "a: 0.8 g; oil: {amount: to 100 g, error: 0.001 %}")
    assert "It may really be 99.19 to 99.21 %." in text
    tiny = printed(tmp_path / "tiny", "a: 0.00002 g; oil: to 0.002 g")
    assert "less than the balance shows" in tiny
    assert "may really be" not in tiny


def test_a_millilitre_of_it_weighs_so_much_at_20_degrees(tmp_path: Path) -> None:
    """Whatever temperature the density of the strong one is written for: 0.886 g is of 70 %vol at 20 °C (OIML R 22)."""
    materials = {**MATERIALS, "spirit": SPIRIT.replace("0.8074", "0.8117 g/mL at 15 °C")}
    text = formula("F", "spirit: 30 mL of 70 %vol; water: to 100 g")
    book = write_book(tmp_path, {"F": text}, materials, ONE_BALANCE)
    result = CliRunner().invoke(main, ["weigh", "F", "--book", str(book), "--today", TODAY])
    assert "1 mL weighs 0.886 g at 20 °C." in result.stdout
