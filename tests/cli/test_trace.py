"""Following a lot into every batch and a batch back to every lot: text, JSON, and what may be missing."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.fraction import Fraction
from bookgen.pipeline import check_book
from bookgen.reckon.made import result_of
from tests.books_of_text import MATERIALS, formula, run, write_book


def record(batch: str, of: str, weighed: str, more: str = "") -> str:
    on = batch.removeprefix(f"{of}-")[:10]
    lines = "\n".join(f"  {line.strip()}" for line in weighed.split(";"))
    return f"---\nbatch: {batch}\nof: {of}, issue 1\nmade: {on}\nobtain: 100 g\n{more}weighed:\n{lines}\n---\n"


@pytest.fixture(scope="module")
def book(tmp_path_factory) -> Path:
    """A base that goes into a cream, and both take of one lot of glycerol; one batch names no lot."""
    folder = tmp_path_factory.mktemp("traced")
    write_book(
        folder,
        {
            "base": formula("N-01", "gly: 40 g; water: to 100 g"),
            "cream": formula("C-01", "N-01: 50 g; gly: 5 g; a: to 100 g"),
            "gel": formula("G-01", "gly: 20 g; water: to 100 g"),
        },
        {
            **MATERIALS,
            "gly": "density: 1.26\nwater: 0 %\nlots:\n"
            "  GL-2211: {received: 2026-01-10, amount: 1 kg, expires: 2028-03, supplier: the mill}\n"
            "  GL-2212: {received: 2026-01-10, amount: 1 kg}",
        },
    )
    batches = folder / "formulas" / "batches"
    batches.mkdir()
    for name, text in {
        "N-01-2026-02-01": record("N-01-2026-02-01", "N-01", "gly: 40.2 g, lot GL-2211; water: 60 g",
                                  "came out: 99 g\n"),
        "C-01-2026-02-03": record("C-01-2026-02-03", "C-01", "N-01: 50 g, lot N-01-2026-02-01; gly: 5 g, lot GL-2212;"
                                  "a: 45 g", "came out: 98 g\nfilled: 2 x 45 g\nkept sample: 8 g\noutcome: good\n"),
        "G-01-2026-02-02": record("G-01-2026-02-02", "G-01", "gly: 20 g; water: 80 g"),
        "G-01-2026-01-02": record("G-01-2026-01-02", "G-01", "gly: 20 g; water: 80 g"),
    }.items():  # fmt: skip
        (batches / f"{name}.md").write_text(text, encoding="utf-8")
    return folder


def told(book: Path, code: str) -> str:
    result = CliRunner(env={"COLUMNS": ""}).invoke(main, ["trace", code, "--book", str(book)])
    assert result.exit_code == 0, result.output
    return result.stdout.rpartition("\n\n")[0] + "\n"


def test_a_lot_is_followed_into_every_jar(book: Path) -> None:
    assert (
        told(book, "gl-2211")
        == """\
GL-2211, a lot of gly
  came 2026-01-10, 1 kg, from the mill, expires 2028-03, 959.8 g left by the records

It went into 2 batches, 3 containers filled or kept
  N-01-2026-02-01  Formula N-01  2026-02-01  40.2 g
  C-01-2026-02-03  Formula C-01  2026-02-03  50 g of N-01-2026-02-01  2 x 45 g and 1 x 8 g  good

May hold it too, as no lot is known of: 20 g of gly in G-01-2026-02-02.
""".replace(" x ", " × ")
    )


def test_a_batch_is_followed_back_to_every_lot(book: Path) -> None:
    assert (
        told(book, "C-01-2026-02-03")
        == """\
C-01-2026-02-03 Formula C-01
  made 2026-02-03, issue 1, 98 g came out, filled 2 x 45 g, good

Lots in it
  N-01-2026-02-01  Formula N-01  50 g
  GL-2212          gly           5 g
  GL-2211          gly           40.2 g  in N-01-2026-02-01

No lot is known of: 45 g of a in C-01-2026-02-03; 60 g of water in N-01-2026-02-01.
""".replace(" x ", " × ")
    )


def test_a_batch_of_an_intermediate_is_followed_both_ways(book: Path) -> None:
    text = told(book, "N-01-2026-02-01")
    assert "Lots in it\n  GL-2211  gly  40.2 g" in text
    assert "N-01-2026-02-01, a batch of N-01 Formula N-01" in text
    assert "It went into 1 batch, 3 containers filled or kept" in text


def test_the_answer_for_machines_is_exact(book: Path) -> None:
    status, answer = run(book, "trace", "GL-2211")
    assert status == 0
    assert answer["batch"] is None
    (lot,) = answer["lots"]
    assert (lot["material"], lot["lot"], lot["expires"], lot["left"]) == ("gly", "GL-2211", "2028-03-31", "959.8")
    assert [(one["number"], one["depth"]) for one in lot["batches"]] == [("N-01-2026-02-01", 1), ("C-01-2026-02-03", 2)]
    assert lot["batches"][1]["took"] == [
        {"batch": "C-01-2026-02-03", "material": "N-01", "phase": None, "lot": "N-01-2026-02-01", "written": "50 g",
         "grams": "50", "why": {}}
    ]  # fmt: skip
    assert lot["batches"][1]["filled"] == [{"count": 2, "each": {"text": "45 g", "unit": "g", "value": "45"}}]
    assert [one["batch"] for one in lot["perhaps"]] == ["G-01-2026-02-02"]
    back = run(book, "trace", "C-01-2026-02-03")[1]["batch"]
    assert [(one["lot"], one["depth"]) for one in back["lots"]] == [
        ("N-01-2026-02-01", 1), ("GL-2212", 1), ("GL-2211", 2)
    ]  # fmt: skip
    assert [one["material"] for one in back["without_lot"]] == ["a", "water"]


def test_a_code_that_nothing_has_is_wrong_use(book: Path) -> None:
    result = CliRunner().invoke(main, ["trace", "GL-22", "--book", str(book)])
    assert result.exit_code == 2
    assert "No lot and no batch of the book is called GL-22. Did you mean GL-2212?" in result.stderr.replace("\n", " ")


def test_a_record_with_an_error_is_told_beside_the_answer(book: Path, tmp_path: Path) -> None:
    import shutil

    copy = tmp_path / "book"
    shutil.copytree(book, copy)
    wrong = record("C-01-2026-02-09", "C-01", "gly: 5 g, lot GL-2219; N-01: 50 g, lot N-01-2026-02-01; a: 45 g")
    (copy / "formulas" / "batches" / "C-01-2026-02-09.md").write_text(wrong, encoding="utf-8")
    text = told(copy, "GL-2212")
    assert "What records have wrong, so that this may not be all" in text
    assert "gly has no lot GL-2219" in text
    assert "5 g of gly in C-01-2026-02-09" in text


@pytest.fixture(scope="module")
def thinned(tmp_path_factory) -> Path:
    """A gel whose `a` went in by way of a stock, which took of two lots."""
    folder = tmp_path_factory.mktemp("thinned")
    write_book(
        folder,
        {"gel": formula("G-01", "gly: 20 g; a: 0.05 g; water: to 100 g")},
        {
            **MATERIALS,
            "gly": "density: 1.26\nwater: 0 %\nlots:\n  GL-1: {received: 2026-01-10, amount: 1 kg}",
            "a": "water: 0 %\nlots:\n  A-7: {received: 2026-01-10, amount: 50 g, expires: 2026-02-10}",
        },
    )
    batches = folder / "formulas" / "batches"
    batches.mkdir()
    more = "weighed beforehand: {a: '1.00 g, lot A-7', gly: '9.5 g, lot GL-1'}\n"
    text = record("G-01-2026-02-02", "G-01", "gly: 19.5 g, lot GL-1; water: 80 g", more)
    (batches / "G-01-2026-02-02.md").write_text(text, encoding="utf-8")
    return folder


def test_a_lot_is_followed_through_a_stock_into_the_jar(thinned: Path) -> None:
    answer = told(thinned, "A-7")
    assert "G-01-2026-02-02" in answer
    assert "1.00 g" in answer
    back = told(thinned, "G-01-2026-02-02")
    assert "A-7" in back


def test_what_a_stock_brings_is_in_the_shares_and_its_making_off_the_shelf(tmp_path: Path) -> None:
    """1.00 g of 1 in 20 with glycerol beside 19.05 g of it: 0.05 g of a, 20 g of glycerol, of 100.05 g in all."""
    write_book(tmp_path, {"gel": formula("G-01", "gly: 20 g; a: 0.05 g; water: to 100.05 g")}, {
        **MATERIALS, "gly": "density: 1.26\nwater: 0 %\nlots:\n  GL-1: {received: 2026-01-10, amount: 1 kg}",
    })  # fmt: skip
    (tmp_path / "formulas" / "batches").mkdir()
    more = (
        "planned: {a: 1.00 g of 1 in 20 with gly, gly: 19.05 g}\nweighed beforehand: {a: 1 g, gly: '19 g, lot GL-1'}\n"
    )
    weighed = "a: 1.00 g of 1 in 20 with gly; gly: 19.05 g, lot GL-1; water: 80 g"
    text = record("G-01-2026-02-02", "G-01", weighed, more)
    (tmp_path / "formulas" / "batches" / "G-01-2026-02-02.md").write_text(text, encoding="utf-8")
    checked = check_book(tmp_path)
    assert [finding for finding in checked.review.findings if finding.place.path.startswith("formulas/batches")] == []
    result = result_of(checked.reckoning, "g-01-2026-02-02")
    assert [(line.key, line.weighed, line.share) for line in result.lines] == [
        ("a", Fraction(1, 20), Fraction(5, 10005)), ("gly", 20, Fraction(2000, 10005)),
        ("water", 80, Fraction(8000, 10005)),
    ]  # fmt: skip
    assert checked.reckoning.lots.accounts["gly", "gl-1"].left == Fraction("961.95")


def test_what_a_stock_took_is_off_the_shelf_and_not_in_the_shares(thinned: Path) -> None:
    checked = check_book(thinned)
    assert [finding for finding in checked.review.findings if finding.place.path.startswith("formulas/batches")] == []
    reckoning = checked.reckoning
    left = {code: account.left for (_, code), account in reckoning.lots.accounts.items()}
    assert (left["a-7"], left["gl-1"]) == (49, 971)
    result = result_of(reckoning, "g-01-2026-02-02")
    assert [(line.key, line.weighed) for line in result.lines] == [("gly", Fraction("19.5")), ("water", 80)]
    assert str(result.use_by) == "2026-02-10", "a lot in the stock ends the batch too"


def test_the_page_of_the_batch_shows_what_its_stock_took(thinned: Path) -> None:
    from bookgen.look.themes import load_theme
    from bookgen.pages.site import site_files

    checked = check_book(thinned)
    page = site_files(checked.reckoning, checked.review, load_theme(), day=date(2026, 3, 1))
    text = page["batches/G-01-2026-02-02.html"].decode().replace("\u202f", " ")
    shown = re.sub(
        r"\s+", " ", re.sub(r"<[^>]+>", "", text.partition("Weighed beforehand</h3>")[2].replace("<li>", " "))
    )
    assert shown.strip().startswith("a: 1.00 g, lot A-7 gly: 9.5 g, lot GL-1")
