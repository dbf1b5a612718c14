"""Heat that materials bear: each figure at its edge, where silence is right, what an intermediate hands on."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.pipeline import check_book, publish
from bookgen.reference import spelt
from bookgen.reference.heat import heat_limits

from ..books_of_text import write_book

CREAM = "kind: cosmetic\nuse: leave-on, face\n"
WOOD = "kind: household\nuse: surfaces\n"
SUPPOSITORY = "kind: medicine\npurpose: soothing, suppository\n"


def text_of(code: str, head: str, celsius: str, name: str) -> str:
    phase = f"  A, warm to {celsius} °C:\n    oil: to 100 g\n    {name}: 5 g\n"
    return f"---\ncode: {code}\ntitle: {code}\n{head}ingredients:\n{phase}---\n"


def hot(folder: Path, head: str, celsius: str, name: str, front: str = "water: 0 %", **formulas: str) -> list[str]:
    """Return what is said of the heat of a formula that warms 5 g of a material."""
    materials = {"oil": "water: 0 %", "thing": f"also: {name}\n{front}"}
    book = write_book(folder / "book", {"X": text_of("X", head, celsius, name), **formulas}, materials)
    return [finding.message for finding in check_book(book).review.findings if finding.rule == "too-hot"]


CASES = [
    (SUPPOSITORY, "35", "cocoa butter"),
    (CREAM, "40", "Vitamin C"),
    (CREAM, "40", "sodium ascorbate"),
    (CREAM, "60", "D-Panthenol"),
    (CREAM, "40", "honey"),
    (CREAM, "40", "papain"),
    (CREAM, "40", "lactobacillus ferment"),
    (CREAM, "40", "retinol"),
    (CREAM, "45", "benzyl alcohol"),
    (CREAM, "60", "diazolidinyl urea"),
    (CREAM, "45", "linseed oil"),
    (CREAM, "50", "sodium bicarbonate"),
]


@pytest.mark.parametrize(("head", "celsius", "name"), CASES, ids=[name for _, _, name in CASES])
def test_a_figure_of_the_table_holds_at_its_edge(head, celsius, name, tmp_path):
    assert hot(tmp_path / "at", head, celsius, name) == []
    (told,) = hot(tmp_path / "beyond", head, f"{celsius}.1", name)
    assert f"goes in at {celsius}.1 °C and bears only {celsius} °C (" in told


@pytest.mark.parametrize(
    ("head", "celsius", "name"),
    [
        (CREAM, "75", "cocoa butter"),
        (WOOD, "180", "linseed oil"),
        (CREAM, "75", "ascorbyl palmitate"),
        (CREAM, "75", "honeysuckle"),
        (CREAM, "75", "phenoxyethanol"),
        (CREAM, "75", "carbomer"),
    ],
)
def test_silence_is_right(head, celsius, name, tmp_path):
    assert hot(tmp_path, head, celsius, name) == []


def test_the_keepers_word_stands_before_the_tables(tmp_path):
    assert hot(tmp_path / "more", CREAM, "70", "honey", "bears: 70 °C\nwater: 0 %") == []
    (told,) = hot(tmp_path / "less", CREAM, "31", "honey", "bears: 30.5 °C\nwater: 0 %")
    assert "bears only 30.5 °C (as its file says); add it" in told
    spirit = "bears: 70 °C\ncontains:\n  ethanol: 90 % w/w\nwater: 0 %"
    assert hot(tmp_path / "spirit", CREAM, "70", "spirit", spirit) == []


def test_the_lowest_of_several_figures_counts(tmp_path):
    two = "contains:\n  panthenol: 50 %\n  honey: 50 %\nwater: 0 %"
    (told,) = hot(tmp_path, CREAM, "61", "mixed", two)
    assert "bears only 40 °C (common practice): its enzymes are lost" in told


def test_what_has_no_file_yet_is_told_by_its_name(tmp_path):
    text = text_of("X", CREAM, "41", "vitamin c")
    book = write_book(tmp_path / "book", {"X": text}, {"oil": "water: 0 %"})
    found = [finding.message for finding in check_book(book).review.findings if finding.rule == "too-hot"]
    (told,) = found
    assert told.startswith("X, line 9: vitamin c goes in at 41 °C and bears only 40 °C (common practice): it turns")


@pytest.mark.parametrize(
    ("front", "celsius", "told"),
    [
        ("contains:\n  ethanol: 20.0 % w/w\nwater: 0 %", "31", True),
        ("contains:\n  ethanol: 19.9 % w/w\nwater: 0 %", "31", False),
        ("function: aroma\nwater: 50 %", "51", True),
        ("function: aroma\nwater: 50.1 %", "51", False),
    ],
)
def test_what_burns_or_smells_counts_from_its_share_on(front, celsius, told, tmp_path):
    assert bool(hot(tmp_path, WOOD, celsius, "thing of it", front)) is told


@pytest.mark.parametrize(
    ("lines", "celsius", "told"),
    [
        ("spirit: 40 g\n  oil: 60 g", "31", True),
        ("spirit: 39.9 g\n  oil: 60.1 g", "31", False),
        ("scent: 50 g\n  oil: 50 g", "51", True),
        ("scent: 49.9 g\n  oil: 50.1 g", "51", False),
    ],
)
def test_an_intermediate_bears_what_its_ethanol_and_its_scent_bear(lines, celsius, told, tmp_path):
    formulas = {
        "M": f"---\ncode: M\ntitle: M\nuse: intermediate\ningredients:\n  {lines}\n---\n",
        "X": text_of("X", WOOD, celsius, "M"),
    }
    materials = {
        "oil": "water: 0 %",
        "spirit": "contains:\n  ethanol: 50 % w/w\nwater: 0 %",
        "scent": "function: aroma\nwater: 0 %",
    }
    found = check_book(write_book(tmp_path / "book", formulas, materials)).review.findings
    assert ("too-hot" in {finding.rule for finding in found}) is told


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("linseed oil", "45 °C in what goes onto somebody (common practice)"),
        ("cocoa butter", "35 °C in pessaries and suppositories (compounding laboratory of"),
        ("honey", "40 °C (common practice)"),
    ],
)
def test_a_materials_page_says_where_a_figure_counts(name, words, tmp_path):
    book = write_book(tmp_path / "book", {"X": text_of("X", CREAM, "20", name)}, {"oil": "", "thing": f"also: {name}"})
    publish(check_book(book), tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "materials" / "thing.html").read_text("utf-8")
    assert words in page.replace("\u202f", " ")  # a number stays with its unit


BASE = "use: intermediate\n"


@pytest.mark.parametrize(
    ("inner", "told"),
    [
        # made cold, so that the cream is the first to heat it
        (BASE + "ingredients:\n  oil: to 100 g\n  thing: 1 g\n", ["X"]),
        # made too hot in the intermediate: told there, and not again
        (BASE + "ingredients:\n  A, warm to 65 °C:\n    oil: to 100 g\n    thing: 1 g\n", ["N"]),
        # just not too hot in the intermediate
        (BASE + "ingredients:\n  A, warm to 60 °C:\n    oil: to 100 g\n    thing: 1 g\n", ["X"]),
        # taken out again
        (BASE + "ingredients:\n  oil: to 100 g\n  thing: {amount: 1 g, removed: strained}\n", []),
    ],
)
def test_an_intermediate_bears_no_more_than_what_is_in_it(inner, told, tmp_path):
    formulas = {
        "N": f"---\ncode: N\ntitle: N\n{inner}---\n",
        "M": "---\ncode: M\ntitle: M\nuse: intermediate\ningredients:\n  N: 50 g\n  oil: 50 g\n---\n",
        "X": text_of("X", CREAM, "61", "M"),
    }
    materials = {"oil": "water: 0 %", "thing": "bears: 60 °C\nwater: 0 %"}
    found = check_book(write_book(tmp_path / "book", formulas, materials)).review.findings
    assert [str(finding.place.path) for finding in found if finding.rule == "too-hot"] == [
        f"formulas/{code}.md" for code in told
    ]


def test_a_scent_of_which_there_is_little_hands_its_heat_on_no_further(tmp_path):
    """The base is aromatic as a whole, the cream with 1 % of it is not."""
    formulas = {
        "N": f"---\ncode: N\ntitle: N\n{BASE}ingredients:\n  scent: 100 g\n---\n",
        "M": f"---\ncode: M\ntitle: M\n{BASE}ingredients:\n  N: 1 g\n  oil: 99 g\n---\n",
        "X": text_of("X", CREAM, "61", "M"),
    }
    book = write_book(tmp_path / "book", formulas, {"oil": "water: 0 %", "scent": "function: aroma\nwater: 0 %"})
    assert "too-hot" not in {finding.rule for finding in check_book(book).review.findings}


def test_what_each_line_bears_is_told_with_what_was_judged(tmp_path):
    materials = {"oil": "bears: 80.5 °C\nwater: 0 %", "thing": "also: honey\nwater: 0 %"}
    root = write_book(tmp_path / "book", {"X": text_of("X", CREAM, "60", "thing")}, materials)
    lines = [
        "Oil at 60 °C: bears 80.5 °C (as its file says).",
        "Thing at 60 °C: too hot, bears 40 °C (common practice).",
    ]
    command = ["check", "--explain", "X", "--book", str(root)]
    said = CliRunner().invoke(main, command).stdout
    for line in lines:
        assert line in said
    answer = json.loads(CliRunner().invoke(main, [*command, "--json"]).stdout)["judged"]["heat"]
    assert answer == [
        {"line": "oil", "celsius": "60", "bears_celsius": "80.5", "for": "oil", "known": "as its file says",
         "too_hot": False},
        {"line": "thing", "celsius": "60", "bears_celsius": "40", "for": "thing", "known": "common practice",
         "too_hot": True},
    ]  # fmt: skip
    publish(check_book(root), tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "formulas" / "X.html").read_text("utf-8").replace("\u202f", " ")
    for line in lines:
        assert line in page
    own = (tmp_path / "site" / "materials" / "oil.html").read_text("utf-8").replace("\u202f", " ")
    assert "80.5 °C (as its file says)" in own


def test_the_table_is_this():
    """Common practice, no source, but for cocoa butter, which was read, and the carbonate, from memory."""
    rows = {name: row.celsius for name, row in heat_limits().by_substance.items()}
    assert {celsius: sorted(name for name in rows if rows[name] == celsius) for celsius in set(rows.values())} == {
        Fraction(35): ["Cocoa butter"],
        Fraction(40): [
            "Ascorbic acid", "Bifida ferment lysate", "Bromelain", "Honey", "Lactobacillus", "Lactobacillus ferment",
            "Lactococcus ferment lysate", "Leuconostoc/radish root ferment filtrate", "Papain", "Retinal", "Retinol",
            "Saccharomyces ferment", "Sodium ascorbate", "Streptococcus thermophilus ferment",
        ],
        Fraction(45): ["Benzyl alcohol", "Borage oil", "Evening primrose oil", "Linseed oil", "Rosehip oil"],
        Fraction(50): ["Sodium bicarbonate"],
        Fraction(60): [
            "2-Bromo-2-nitropropane-1,3-diol", "DMDM hydantoin", "Diazolidinyl urea", "Imidazolidinyl urea",
            "Methylchloroisothiazolinone", "Methylisothiazolinone", "Panthenol",
        ],
    }  # fmt: skip
    known = {name: row.known for name, row in heat_limits().by_substance.items() if row.known != "common practice"}
    assert known == {
        "Cocoa butter": "compounding laboratory of the University of North Carolina",
        "Sodium bicarbonate": "from memory",
    }
    assert all(spelt(name) == name for name in heat_limits().names)
