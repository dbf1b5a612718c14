"""What moulds take, by published examples under both definitions of displacement, and by plain arithmetic."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookgen.cli import main
from bookgen.pipeline import check_book
from bookgen.shown.shelf import shelf_of
from bookgen.shown.wanted import wishes
from bookgen.source.pieces import read_displaces

from ..books_of_text import ON_THAT_DAY, formula, weigh, write_book

D, F = "{} g per g of fat", "{} g of fat per g"
EXAMPLES = (
    # pieces, mould, (grams each, displaces), base: as printed there, or own arithmetic on its figures
    (10, "2", [("0.4", D.format("4.7"))], "19.1489"),  # pharmacy calculation text, ch. 8; its answer is about 19.15
    (1, "2", [("0.4", D.format("5"))], "1.92"),  # examination question, secondary
    (10, "1", [("0.5", D.format("5"))], "9"),  # teaching page on displacement values
    (15, "1", [("0.05", D.format("0.7"))], "13.9286"),  # Rees, Smith and Watson 2015, ch. 9 (rounds to 13.9)
    (
        15,
        "1",
        [("0.05", D.format("0.7")), ("0.3", D.format("1.5"))],
        "10.9286",
    ),  # the same and paracetamol, from memory
    (8, "2", [("0.15", D.format("1.5")), ("0.25", D.format("4.7"))], "14.7745"),  # examination question, secondary
    (8, "1.11", [("0.125", F.format("0.72"))], "8.16"),  # PTA-Forum, "Rezeptur gegen den Mangel"
    (8, "1.11", [("0.125", D.format("0.72"))], "7.4911"),  # the same figure taken for the other definition
    (10, "1", [("0.1", F.format("0.7"))], "9.3"),  # Universität Freiburg, question without printed answer
)


def book(folder: Path, pieces: int, mould: str, lines: list[tuple[str, str]]) -> Path:
    names = ("a", "b")[: len(lines)]
    given = "; ".join(f"{name}: {each} g each" for name, (each, _) in zip(names, lines, strict=True))
    materials = {name: f"displaces: {how}" for name, (_, how) in zip(names, lines, strict=True)} | {"fat": ""}
    text = formula("S", f"{given}; fat: q.s.", f"makes: {pieces} suppositories", f"mould: {mould} g of fat")
    return write_book(folder, {"S": text}, materials=materials)


@pytest.mark.parametrize(("pieces", "mould", "lines", "base"), EXAMPLES)
def test_published_examples(tmp_path: Path, pieces: int, mould: str, lines: list[tuple[str, str]], base: str) -> None:
    answer = weigh(book(tmp_path, pieces, mould, lines), "S", None)
    assert abs(Fraction(answer["lines"][-1]["grams"]) - Fraction(base)) <= Fraction(5, 100000)
    assert answer["pieces"]["count"] == str(pieces)
    if (pieces, len(lines)) == (15, 1):  # the book says 0.98 g
        assert abs(Fraction(answer["pieces"]["each_g"]) - Fraction("0.97857")) < Fraction(1, 10**5)


@given(
    f=st.fractions(Fraction(1, 5), Fraction(3, 2), max_denominator=20),
    share=st.integers(1, 30),
    pieces=st.integers(1, 40),
)
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_shares_in_a_mould_fill_it(
    tmp_path_factory: pytest.TempPathFactory, f: Fraction, share: int, pieces: int
) -> None:
    """A line in percent: base and what it displaces fill the moulds, and the share is of the whole."""
    f = Fraction(round(f * 100), 100)
    text = formula("S", f"a: {share} %; fat: q.s.", f"makes: {pieces} pieces", "mould: 2.04 g of fat")
    materials = {"a": f"displaces: {float(f)} g of fat per g", "fat": ""}
    folder = write_book(tmp_path_factory.mktemp("mould"), {"S": text}, materials=materials)
    drug, base = (Fraction(line["grams"]) for line in weigh(folder, "S", None)["lines"])
    assert base + f * drug == Fraction("2.04") * pieces
    assert drug / (drug + base) == Fraction(share, 100)


def test_the_two_definitions_are_inverses() -> None:
    one, other = read_displaces("0.72 g of fat per g", False), read_displaces("0.72 g per g of fat", False)
    assert one.grams * other.grams == 1  # type: ignore[union-attr]


def test_what_a_piece_holds_is_apart_by_semicolons_where_a_name_has_a_comma(tmp_path: Path) -> None:
    text = formula("K", "a: 100 mg each; b: 50 mg each; gly: to 300 mg each", "makes: 30 capsules")
    folder = write_book(tmp_path, {"K": text})
    (folder / "formulas" / "materials" / "a.md").write_text("---\nname: citrate, dried\n---\n", encoding="utf-8")
    told = CliRunner(env=ON_THAT_DAY).invoke(main, ["weigh", "K", "--book", str(folder)]).stdout.replace("\u202f", " ")
    assert "\nOne capsule 300 mg (with 100 mg of citrate, dried; 50.0 mg of b)\n" in told


def test_pieces_are_asked_for_by_their_number(tmp_path: Path) -> None:
    text = formula("K", "a: 250 mg each; b: to 300 mg each", "makes: 30 capsules", "yield: 80 %", "dose: 2 capsules")
    folder = write_book(tmp_path, {"K": text})
    told = CliRunner(env=ON_THAT_DAY).invoke(main, ["weigh", "K", "--obtain", "12 + 2", "--book", str(folder)])
    assert "\nTo obtain 12 + 2 capsules = 4.2 g  ·" in told.stdout
    assert "\nOne capsule 300 mg (with 250 mg of a)\n" in told.stdout.replace("\u202f", " ")
    assert "\nOne dose 2 capsules (with 500 mg of a; no advice on how much to take)\n" in (
        told.stdout.replace("\u202f", " ")
    )
    as_written = CliRunner(env=ON_THAT_DAY).invoke(main, ["weigh", "K", "--book", str(folder)])
    assert "\nTo obtain 24 capsules = 7.2 g  ·" in as_written.stdout
    checked = check_book(folder)
    shelf = shelf_of(checked.reckoning, checked.review)
    (figures,) = checked.reckoning.figures.values()
    assert wishes(figures, shelf).replace("\u202f", " ").startswith("For example 12 + 2, 250 g, ")
    answer = weigh(folder, "K", "12 + 2")
    assert (answer["obtain"]["text"], answer["obtain"]["g"]) == ("12 + 2 capsules", "4.2")
    assert [line["grams"] for line in answer["lines"]] == ["4.375", "0.875"]
    assert answer["pieces"]["each_holds"] == [{"line": 0, "name": "a", "g": "0.25"}]
    assert answer["dose"]["holds"] == [{"line": 0, "name": "a", "g": "0.5", "at_most": False}]
    assert weigh(folder, "K", "1 capsule")["obtain"]["g"] == "0.3"
