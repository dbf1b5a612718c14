"""A table that somebody else laid out becomes materials: what is understood, what is told, and what is refused.

`usda-sr-abbreviated.csv` are eight rows of the abbreviated file of the USDA National Nutrient Database for Standard
Reference, release 28, a work of the United States Government in the public domain, as a public copy of it holds them:
every cell as found, gaps too.  The nutrients are grams in 100 g of the food.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from click import testing
from click.testing import CliRunner

from bookgen.bringing import bring, plan
from bookgen.cli import main
from bookgen.pipeline import check_book
from bookgen.source.foreign import CannotBring, read_foreign
from bookgen.source.old_units import Accepted, Measures, Weights, in_metric
from bookgen.wording.saying import Saying

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
    told = result.output.partition("To look at:\n")[2].partition("\nNew files")[0].splitlines()
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


AMOUNTS = """Code,Title,Phase,Material,Amount,Unit,Function,Noted
K-01,Hand salve,A,beeswax,20,%,consistency,"in: 1, 2004"
K-01,Hand salve,A,olive oil,to 100 g,,,
K-02,Drops,,peppermint spirit,10,minims,,
K-03,Rinse,,vinegar,about,%,,
K-03,Rinse,,water,to 100 g,,,
K-04,Gel,,=A4,5,g,,
K-04,Gel,,,5,g,,
"""


def test_a_table_of_amounts_becomes_formulas_and_none_that_would_lack_a_line(book):
    result = run(book, AMOUNTS, "--yes")
    assert result.exit_code == 0, result.output
    assert "K-02 is not written. A line of it was not understood." in result.output
    assert "0.0616115 mL in the United States and 0.0591939 mL in Britain" in result.output
    assert "K-03 is not written." in result.output
    assert "Row 7, column 4, Material: =A4. A sum of a spreadsheet is no value" in result.output
    assert "Row 8, column 4, Material: empty. It has to say something." in result.output
    salve = book / "formulas" / "hand-salve.md"
    assert salve.read_text(encoding="utf-8") == (
        "---\ncode: K-01\ntitle: Hand salve\nstatus: draft\ningredients:\n  A:\n"
        '    beeswax: "20 %, consistency"\n    # Noted: in: 1, 2004\n    olive oil: to 100 g\n---\n\n## Method\n'
    )
    lines = check_book(book).book.formulas["k-01"].lines
    assert [(line.material, line.function) for line in lines] == [("beeswax", "consistency"), ("olive oil", "")]


@pytest.mark.parametrize(("measures", "amount"), [("us", "0.6161 mL"), ("imperial", "0.5919 mL")])
def test_an_old_unit_is_turned_by_the_measures_that_are_accepted(book, measures, amount):
    result = run(book, AMOUNTS, "--yes", "--measures", measures)
    assert f"Row 4: 10 minims taken as {amount}, at" in result.output
    text = (book / "formulas" / "drops.md").read_text(encoding="utf-8")
    assert f"peppermint spirit: {amount}\n  # 10 minims taken as {amount}, at 0.0" in text


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("Material,Amount\nwax,5 g\n", "needs a column of the key code"),
        ("Code,Material,Amount\nK-1,wax,5 g\n,oil,5 g\n", "Row 3 says no code"),
        ("Code,Material,Amount\nK-1,wax,5 g\nK-1,oil\n", "Row 3: 2 cells where 3 belong."),
    ],
)
def test_a_table_of_which_a_line_may_be_lost_is_refused(book, content, words):
    result = run(book, content, "--yes")
    assert result.exit_code == 2
    assert words in result.output
    assert [path.name for path in (book / "formulas").iterdir()] == ["workroom.yaml"]


@pytest.mark.parametrize(
    ("old", "us", "imperial"),
    [
        ("1000 grains", "64.80 g", "64.80 g"),
        ("1 drachm", "3.888 g", "3.888 g"),
        ("1 scruple", "1.296 g", "1.296 g"),
        ("1 fl oz", "29.57 mL", "28.41 mL"),
        ("1 fluid drachm", "3.697 mL", "3.552 mL"),
        ("100 minims", "6.161 mL", "5.919 mL"),
        ("1 pint", "473.2 mL", "568.3 mL"),
        ("1/2 pt", "236.6 mL", "284.1 mL"),
        ("1½ pints", "709.8 mL", "852.4 mL"),
        ("1 tsp", "4.929 mL", "5.000 mL"),
        ("60 fluid ounces", "1774 mL", "1705 mL"),
    ],
)
def test_old_units_are_those_of_the_tables_of_weights_and_measures(old, us, imperial):
    """NIST Handbook 44, appendix C; Weights and Measures Act 1985, schedule 1; the spoon of Britain: no source."""
    for measures, amount in ((Measures.US, us), (Measures.IMPERIAL, imperial)):
        turned = in_metric(old, comma=False, accepted=Accepted(measures=measures))
        assert isinstance(turned, tuple)
        assert turned[0] == amount


@pytest.mark.parametrize(
    ("old", "avoirdupois", "apothecaries"),
    [
        ("1 oz", "28.35 g", "31.10 g"),
        ("1 lb", "453.6 g", "373.2 g"),
        ("1 1/2 ounces", "42.52 g", "46.66 g"),
        ("¼ pound", "113.4 g", "93.31 g"),
        ("2.5 oz.", "70.87 g", "77.76 g"),
    ],
)
def test_ounces_and_pounds_are_of_two_kinds_and_never_guessed(old, avoirdupois, apothecaries):
    """NIST Handbook 44, appendix C: 28.349523125 g and 31.1034768 g, 453.59237 g and 373.2417216 g."""
    for weights, amount in ((Weights.AVOIRDUPOIS, avoirdupois), (Weights.APOTHECARIES, apothecaries)):
        turned = in_metric(old, comma=False, accepted=Accepted(measures=Measures.US, weights=weights))
        assert isinstance(turned, tuple)
        assert turned[0] == amount
    asked = in_metric(old, comma=False, accepted=Accepted(measures=Measures.US))
    assert isinstance(asked, Saying)
    assert asked.key == "old-weight"


@pytest.mark.parametrize(
    ("cell", "amount"),
    [("½ g", "0.5 g"), ("1/8 %", "0.125 %"), ("2 1/3 parts", "2.333 parts"), ("1⁄2 mL", "0.5 mL"), ("1/2", "0.5")],
)
def test_a_fraction_becomes_decimals(cell, amount):
    turned = in_metric(cell, comma=False, accepted=Accepted())
    assert isinstance(turned, tuple)
    assert turned[0] == amount


@pytest.mark.parametrize("cell", ["1/0 g", "1-1/2 g", "1/2/3 g", "to 100 g", "1 in 2000", "½½ g", "1 2 g", "q.s."])
def test_what_is_no_fraction_is_left_to_the_reader_of_the_book(cell):
    assert in_metric(cell, comma=False, accepted=Accepted()) is None


def test_ounces_are_asked_for_and_turned_by_the_kind_that_is_accepted(book):
    table = "Code,Material,Amount,Unit\nK-1,wax,½,oz\nK-1,water,1/2,g\n"
    asked = run(book, table, "--yes")
    assert "One ounce is 28.3495 g avoirdupois and 31.1035 g apothecaries'" in asked.output
    assert "Nothing to write." in asked.output
    assert run(book, table, "--yes", "--weights", "apothecaries").exit_code == 0
    text = (book / "formulas" / "k-1.md").read_text(encoding="utf-8")
    assert "  wax: 15.55 g\n  # ½ oz taken as 15.55 g, at 31.1035 g each (NIST Handbook 44, appendix C).\n" in text
    assert "  water: 0.5 g\n  # 1/2 g taken as 0.5 g.\n" in text


@pytest.mark.parametrize(("answer", "files"), [("y\n", ["borax.md"]), ("n\n", []), ("\n", []), ("", [])])
def test_at_a_terminal_it_asks_and_only_a_yes_writes(book, monkeypatch, answer, files):
    monkeypatch.setattr(testing._NamedTextIOWrapper, "isatty", lambda self: True)
    result = run(book, "Name,Water %\nBorax,0\n", answer=answer)
    assert result.exit_code == 0
    assert "Write 1 new file? [y/N]" in result.output
    assert list(texts(book)) == files
    assert ("Nothing was written." in result.output) is not bool(files)
