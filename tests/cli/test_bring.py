"""A table that somebody else laid out becomes materials: what is understood, what is told, and what is refused.

`usda-sr-abbreviated.csv` are eight rows of the abbreviated file of the USDA National Nutrient Database for Standard
Reference, release 28, a work of the United States Government in the public domain, as a public copy of it holds them:
every cell as found, gaps too.  The nutrients are grams in 100 g of the food.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.bringing import bring, plan
from bookgen.cli import main
from bookgen.pipeline import check_book
from bookgen.source.foreign import CannotBring, read_foreign

REAL = Path(__file__).with_name("usda-sr-abbreviated.csv")
TABLE = """Name;Density (g/mL);Water %;INCI;Bought;Also
Olive oil;0,915;0;OLEA EUROPAEA FRUIT OIL;in: 1, 2004;sweet oil; salad
Odd;about 1;=A1;;circa 1998;
Glycerol 85;1,225 g/mL at 20 °C;15;;;
Short;1
Olive oil;;;;;
;1;;;;
"""


@pytest.fixture
def book(tmp_path) -> Path:
    (tmp_path / "formulas").mkdir()
    (tmp_path / "formulas" / "workroom.yaml").write_text("title: Wash-house\n", encoding="utf-8")
    return tmp_path


def run(book: Path, content: str | bytes, *words: str, answer: str = ""):
    file = book / "old.csv"
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    return CliRunner().invoke(main, ["bring", str(file), "--book", str(book), *words], input=answer)


def texts(book: Path) -> dict[str, str]:
    return {path.name: path.read_text(encoding="utf-8") for path in book.glob("formulas/materials/*.md")}


def test_a_table_of_materials_becomes_files_and_each_cell_not_understood_is_told(book):
    result = run(book, TABLE.replace("sweet oil; salad", '"sweet oil; salad"'), "--yes")
    assert result.exit_code == 0, result.output
    assert "Read as UTF-8, cells parted by semicolons, decimal comma." in result.output
    assert "Bought: not known, kept as a remark" in result.output
    told = result.output.partition("Not understood:\n")[2].partition("\nNew files")[0].splitlines()
    assert [line.split(",")[:2] for line in told[1:]] == [
        ["  Row 3", " column 2"], ["  Row 3", " column 3"], ["  Row 6", " column 1"], ["  Row 7", " column 1"],
    ]  # fmt: skip
    assert told[0] == "  Row 5: 2 cells where 6 belong. The row is left out."
    assert texts(book) == {
        "olive-oil.md": "---\nname: Olive oil\ndensity: 0.915 g/mL\nwater: 0 %\nlabel: OLEA EUROPAEA FRUIT OIL\n"
        "also:\n  - sweet oil\n  - salad\n# Bought: in: 1, 2004\n---\n",
        "glycerol-85.md": "---\nname: Glycerol 85\ndensity: 1.225 g/mL at 20 °C\nwater: 15 %\n---\n",
        "odd.md": "---\nname: Odd\n# Density (g/mL): about 1\n# Water %: =A1\n# Bought: circa 1998\n---\n",
    }
    materials = check_book(book).book.materials
    assert {key: str(material.density and material.density.text) for key, material in materials.items()} == {
        "olive-oil": "0.915 g/mL", "glycerol-85": "1.225 g/mL at 20 °C", "odd": "None",
    }  # fmt: skip
    assert not [found for found in check_book(book).book.findings if "materials" in found.place.path]


def test_nothing_is_written_without_a_yes_and_nothing_is_written_over(book):
    refused = run(book, "Name,Water %\nBorax,0\n")
    assert refused.exit_code == 2
    assert "say --yes" in refused.output
    assert not texts(book)
    assert run(book, "Name,Water %\nBorax,0\n", "--yes").exit_code == 0
    before = texts(book)
    again = run(book, "Name,Water %\nborax,5\n", "--yes")
    assert again.exit_code == 0
    assert "formulas/materials/borax.md is called so already; the row is left out." in again.output
    assert texts(book) == before


def test_a_bare_figure_without_a_unit_is_no_density_and_no_share(book):
    result = run(book, "Name,Density,Water\nBorax,1.73,47\n", "--yes")
    assert result.output.count("Its unit stands neither in the cell nor in the head.") == 2
    assert texts(book) == {"borax.md": "---\nname: Borax\n# Density: 1.73\n# Water: 47\n---\n"}


def test_a_book_with_a_decimal_comma_gets_its_own_sign(book):
    (book / "formulas" / "workroom.yaml").write_text("decimal: comma\n", encoding="utf-8")
    run(book, "Name,Density (g/mL)\nBorax,1.730\nSoda,2.5\n", "--yes")
    assert 'density: "1,730 g/mL"' in texts(book)["borax.md"]
    assert {material.density.number for material in check_book(book).book.materials.values() if material.density} == {
        Fraction("1.73"),
        Fraction("2.5"),
    }


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("Name\nBorax\n", "table-one-column"),
        ("", "table-empty"),
        ("Name,Water\n", "table-empty"),
        ("Name,Water\n" + "Borax,0\n" * 100_000, "table-too-long"),
        ("Name,Water\nBorax,\"cut", "table-cut-off"),
        ("Name,water,Water\nBorax,0,0\n", "table-heads-twice"),
        ("Na\0me,Water\nBorax,0\n", "table-not-text"),
        (b"Name,Water\nB\x81rax,0\n", "table-not-text"),
        ("Na,me;Water\nBorax;0\n", "table-parted-twice"),
        ("Name;Density\nBorax;1,730\n", "table-decimal"),
    ],
)  # fmt: skip
def test_what_is_no_table_is_refused_in_words(content, sentence):
    with pytest.raises(CannotBring) as refused:
        read_foreign(content.encode() if isinstance(content, str) else content)
    assert refused.value.says.key == sentence


@pytest.mark.parametrize(
    ("codec", "called"), [("utf-8-sig", "UTF-8"), ("utf-16", "UTF-16"), ("windows-1252", "Windows-1252")]
)
def test_the_encoding_is_found_and_told(codec, called):
    table = read_foreign("Name\tForm\r\nCrème 1,3-diol\tliquid\r\n".encode(codec))
    assert (table.encoding, table.delimiter, table.comma) == (called, "tabs", False)
    assert table.rows == ((2, ("Crème 1,3-diol", "liquid")),)


def test_a_table_that_nobody_here_wrote_is_brought_in_with_its_report(book):
    with pytest.raises(CannotBring):
        plan(book, REAL)
    planned = plan(book, REAL, taken=("Shrt_Desc=name", "Water_(g)=water, %"))
    assert [str(told) for told in planned.brought.told] == [
        "Row 3, column 3, Shrt_Desc: empty. It has to say something; the row is left out."
    ]
    assert bring(book, planned) == tuple(planned.brought.files)
    water = {key: material.water for key, material in check_book(book).book.materials.items()}
    assert {key: share and float(share.share * 100) for key, share in water.items()} == {
        "cheese-cheshire": None, "cloves-ground": 9.87, "coriander-seed": 8.86, "salt-table": 0.2,
        "vinegar-cider": 93.81, "vanilla-extract": 52.58, "vinegar-distilled": 94.78,
    }  # fmt: skip
    assert "# GmWt_Desc2: 1 tbsp" in planned.brought.files["formulas/materials/salt-table.md"]


def test_a_column_is_taken_only_for_what_there_is(book):
    for taken, sentence in (("Moisture=water, %", "no-such-head"), ("Shrt_Desc=smell", "no-such-key")):
        with pytest.raises(CannotBring) as refused:
            plan(book, REAL, taken=(taken,))
        assert refused.value.says.key == sentence
