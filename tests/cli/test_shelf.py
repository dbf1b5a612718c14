"""What stands on the shelf: text and JSON, what is past its date, what nobody knows."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from tests.books_of_text import MATERIALS, TODAY, formula, run, write_book

GLYCEROL = (
    "density: 1.26\nwater: 0 %\ndisposal: Down the drain with much water.\nlots:\n"
    "  GL-1: {received: 2025-01-10, amount: 1 kg, expires: 2026-01}\n"
    "  GL-2: {received: 2026-01-10, amount: 1 kg, expires: 2028-03, price: 7.20 EUR/kg}\n"
    "  GL-3: {received: 2025-06-02, amount: 1 kg, retest: 2026-02, counted: 640 g on 2026-02-20, price: 8 EUR/kg}\n"
    "  GL-4: {received: 2026-01-12, expires: 2027-01-31}\n"
    "  GL-5: {received: 2026-01-12, amount: 100 g, used up: 2026-02-01}"
)


def record(batch: str, of: str, weighed: str, more: str = "") -> str:
    lines = "\n".join(f"  {line.strip()}" for line in weighed.split(";"))
    made = batch.removeprefix(f"{of}-")[:10]
    return f"---\nbatch: {batch}\nof: {of}, issue 1\nmade: {made}\nobtain: 100 g\n{more}weighed:\n{lines}\n---\n"


@pytest.fixture(scope="module")
def book(tmp_path_factory) -> Path:
    """A base and a cream of it; five lots of glycerol, of which one is old and one is gone."""
    folder = write_book(
        tmp_path_factory.mktemp("shelf"),
        {
            "base": formula("N-01", "gly: 40 g; a: to 100 g", "storage: cupboard, jar, 6 months"),
            "cream": formula("C-01", "N-01: 50 g; gly: 5 g; a: to 100 g", "makes: 100 g").replace(
                "use: intermediate", "kind: household"
            ),
        },
        {**MATERIALS, "gly": GLYCEROL},
    )
    batches = folder / "formulas" / "batches"
    batches.mkdir()
    for name, text in {
        "N-01-2026-02-01": record("N-01-2026-02-01", "N-01", "gly: 40.2 g, lot GL-2; a: 60 g", "came out: 99 g\n"),
        "C-01-2026-02-03": record("C-01-2026-02-03", "C-01", "N-01: 50 g, lot N-01-2026-02-01; gly: 5 g, lot GL-2;"
                                  "a: 45 g", "came out: 98 g\nfilled: 2 x 45 g\noutcome: good\n"),
    }.items():  # fmt: skip
        (batches / f"{name}.md").write_text(text, encoding="utf-8")
    return folder


def told(book: Path, *words: str, today: str = TODAY) -> str:
    result = CliRunner(env={"COLUMNS": ""}).invoke(main, [*words, "--today", today, "--book", str(book)])
    assert result.exit_code == 0, result.output
    return result.stdout.rpartition("\n\n")[0] + "\n"


def test_the_shelf_as_text(book: Path) -> None:
    assert (
        told(book, "shelf")
        == """\
On the shelf on 2026-03-02
  N-01 Formula N-01
    N-01-2026-02-01       49 g  until 2026-07-31
  gly
    GL-1                1000 g  until 2026-01-31  past its date
    GL-4             not known  until 2027-01-31  it is not written how much there was of the lot GL-4
    GL-2               954.8 g  until 2028-03-31
    GL-3                 640 g  no date written   to be tested again 2026-02-28, which is past

To be thrown away, being past its date; then write `discarded:` at the lot
  GL-1 of gly, 1000 g
      Down the drain with much water.

To be tested again before use: this date is no expiry date
  GL-3  gly  640 g  by 2026-02-28
"""
    )


def test_an_intermediate_past_its_date_is_thrown_away_as_what_is_in_it(book: Path) -> None:
    text = told(book, "shelf", today="2026-09-01")
    assert "  N-01-2026-02-01 of N-01 Formula N-01, 49 g\n      gly in it: Down the drain with much water.\n" in text


def test_on_a_day_before_anything_came_nothing_is_there(book: Path) -> None:
    assert told(book, "shelf", today="2024-01-01") == "By the records nothing is there on 2024-01-01.\n"


def test_the_shelf_for_machines(book: Path) -> None:
    status, answer = run(book, "shelf")
    assert status == 0
    assert answer["day"] == TODAY
    base, gly = answer["items"]
    assert (gly["material"], base["material"], base["name"]) == ("gly", "N-01", "Formula N-01")
    assert [(lot["lot"], lot["left"], lot["state"]) for lot in gly["lots"]] == [
        ("GL-1", "1000", "past its date"),
        ("GL-4", None, "good"),
        ("GL-2", "954.8", "good"),
        ("GL-3", "640", "to be tested again"),
    ]
    assert gly["lots"][1]["why"] == {"left": "it is not written how much there was of the lot GL-4"}
    assert base["lots"] == [
        {"lot": "N-01-2026-02-01", "left": "49", "unit": "g", "until": "2026-07-31", "retest": None, "state": "good",
         "why": {}, "is_batch": True, "until_by": "use by"}
    ]  # fmt: skip
    assert gly["disposal"] == [{"of": "gly", "how": "Down the drain with much water."}]
    assert answer["to_throw_away"] == ["GL-1"]


def test_an_error_in_a_record_is_told_beside_what_is_there(book: Path, tmp_path: Path) -> None:
    import shutil

    copy = tmp_path / "book"
    shutil.copytree(book, copy)
    wrong = record("C-01-2026-02-09", "C-01", "gly: 5 g, lot GL-9; N-01: 50 g; a: 45 g")
    (copy / "formulas" / "batches" / "C-01-2026-02-09.md").write_text(wrong, encoding="utf-8")
    text = told(copy, "shelf")
    assert "What lots and records have wrong, so that this may not be right" in text
    assert "gly has no lot GL-9" in text


def test_a_batch_names_its_lots_and_what_need_not_be_made(book: Path) -> None:
    text = told(book, "weigh", "C-01", "--obtain", "60 g")
    assert (
        "\nMake first  N-01 Formula N-01: obtain 30.00 g on the bench balance; weigh in all 30.00 g; "
        "or take 30 g from\n"
        "            N-01-2026-02-01 (49 g left, until 2026-07-31)\n"
    ) in text
    assert "\n      from N-01-2026-02-01 (49 g left, until 2026-07-31)\n" in text
    assert (
        "\n      from GL-4 (how much is left is not known, until 2027-01-31), else 3 g from GL-2 (954.8 g left, until\n"
        "      2028-03-31)\n"
    ) in text
    assert "GL-1 " not in text


def test_what_is_there_in_part_is_told_as_that(book: Path) -> None:
    text = " ".join(told(book, "weigh", "C-01", "--obtain", "200 g").split())
    assert "or take 49 g from N-01-2026-02-01 (49 g left, until 2026-07-31), and make the rest" in text


def test_after_its_date_nothing_is_proposed(book: Path) -> None:
    assert "N-01-2026" not in told(book, "weigh", "C-01", today="2026-08-01")


def test_the_lots_of_a_batch_for_machines(book: Path) -> None:
    answer = run(book, "weigh", "C-01", "--obtain", "60 g", "--today", TODAY)[1]
    assert [[(lot["lot"], lot["take"]) for lot in line["lots"]] for line in answer["lines"]] == [
        [("N-01-2026-02-01", "30")],
        [("GL-4", None), ("GL-2", "3")],
        [],
    ]
    assert [(lot["lot"], lot["take"], lot["left"]) for lot in answer["make_first"][0]["lots"]] == [
        ("N-01-2026-02-01", "30", "49")
    ]


def test_a_shopping_list_less_what_is_there(book: Path) -> None:
    """C-01: 200 g of N-01, of which 49 g are there: 151 g are made, with 60.4 g of gly; 20 g for C-01 itself; GL-2 has
    954.8 g (own arithmetic)."""
    text = told(book, "needs", "C-01: 400 g", "--from-shelf")
    assert "N-01 Formula N-01: obtain 151.00 g" in text
    assert "Enough is on hand: gly (80.4 g of 954.8 g)." in text
    assert (
        "On the shelf and not counted: GL-1 of gly (past its date); GL-4 of gly (it is not written how much there was "
        "of the lot GL-4); GL-3 of gly (to be tested again)." in " ".join(text.split())
    )
    assert "not needed" not in text
    assert "obtain 200.00 g" in told(book, "needs", "C-01: 400 g", "--from-shelf", today="2026-08-01")


def test_what_is_typed_goes_before_the_shelf(book: Path) -> None:
    answer = run(book, "needs", "C-01: 400 g", "--from-shelf", "--have", "gly: 50 g")[1]
    (gly,) = [need for need in answer["materials"] if need["material"] == "gly"]
    assert (gly["have_g"], gly["missing_g"]) == ("50", "30.4")
    assert answer["not_counted"] == []
    lots = run(book, "needs", "C-01", "--from-shelf")[1]["not_counted"]
    assert [(lot["material"], lot["lot"]) for lot in lots] == [("gly", "GL-1"), ("gly", "GL-4"), ("gly", "GL-3")]
    assert "not_counted" not in run(book, "needs", "C-01")[1]


def test_a_lot_by_volume_is_not_taken_for_grams(tmp_path: Path) -> None:
    folder = write_book(
        tmp_path, {"s": formula("S-01", "a: 40 g; b: 60 g")}, {"a": "lots:\n  A-1: {amount: 1 L}", "b": "water: 0 %"}
    )
    answer = run(folder, "needs", "S-01", "--from-shelf")[1]
    assert [(need["material"], need["have_g"]) for need in answer["materials"]] == [("a", "0"), ("b", "0")]
    assert [lot["lot"] for lot in answer["not_counted"]] == ["A-1"]
    assert "A-1 of a (in mL alone)" in told(folder, "needs", "S-01", "--from-shelf")
