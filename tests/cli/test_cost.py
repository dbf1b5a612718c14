"""What a batch costs: text and JSON, on record and asked for, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from tests.books_of_text import TODAY, formula, run, write_book

RECORD = (
    "---\nbatch: C-01-2026-02-03\nof: C-01, issue 1\nmade: 2026-02-03\nobtain: 100 g\n"
    "weighed:\n  gly: 5 g, lot GL-2\n  a: 95 g\ncame out: 96 g\nfilled: 2 x 45 g\n---\n"
)


@pytest.fixture(scope="module")
def book(tmp_path_factory) -> Path:
    folder = write_book(
        tmp_path_factory.mktemp("cost"),
        {"cream": formula("C-01", "gly: 5 g; a: to 100 g", "container price: 0.85 EUR")},
        {
            "gly": "density: 1.26\nlots:\n  GL-2: {received: 2026-01-10, amount: 1 kg, price: 7.30 EUR/kg}",
            "a": "water: 0 %",
        },
    )
    (folder / "formulas" / "batches").mkdir()
    (folder / "formulas" / "batches" / "C-01-2026-02-03.md").write_text(RECORD, encoding="utf-8")
    return folder


def told(book: Path, *words: str) -> str:
    result = CliRunner(env={"COLUMNS": ""}).invoke(main, ["cost", *words, "--today", TODAY, "--book", str(book)])
    assert result.exit_code == 0, result.output
    return result.stdout.rpartition("\n\n")[0] + "\n"


def test_a_batch_on_record_as_text(book: Path) -> None:
    """5 g at 7.30 EUR/kg are 0.0365 EUR, ÷ 96 g 0.000380208 EUR; 45 g of it and a container 0.8671 EUR."""
    assert (
        told(book, "c-01-2026-02-03")
        == """\
C-01-2026-02-03 Formula C-01
  gly           GL-2   5 g  0.0365 EUR
  a                   95 g    no price
  2 containers                1.70 EUR

  In all: at least 1.73 EUR
  Per gram, containers aside: at least 0.000380 EUR
  A container of 45 g: at least 0.86 EUR
  No price is known for a.
"""
    )


def test_a_batch_to_come_for_machines(book: Path) -> None:
    status, answer = run(book, "cost", "C-01", "--obtain", "200 g", "--into", "50 g")
    assert status == 0
    assert (answer["code"], answer["batch"], answer["total"]) == ("C-01", None, {"EUR": "3.473"})
    assert (answer["at_least"], answer["without_price"]) == (True, ["a"])
    assert answer["containers"] == [{"content": {"value": "50", "unit": "g"}, "cost": {"EUR": "0.86825"}, "why": {}}]
    assert [(line["name"], line["price_of"], line["cost"]) for line in answer["lines"]] == [
        ("gly", "GL-2", {"EUR": "0.073"}), ("a", None, None)
    ]  # fmt: skip
    assert answer["lines"][1]["why"] == {"cost": "no price is written for a"}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("C-01-2026-02-03", "--obtain", "10 g"), "C-01-2026-02-03 is made already, and costs what its record says"),
        (("C-1",), "No batch and no formula of the book is called C-1. Did you mean C-01?"),
    ],
)
def test_what_cannot_be_told_is_wrong_use(book: Path, words: tuple[str, ...], says: str) -> None:
    result = CliRunner().invoke(main, ["cost", *words, "--book", str(book)])
    assert result.exit_code == 2
    assert says in " ".join(result.stderr.split())
