"""What a line, a link and a command call: a material's file, a formula's code, a name that one material has."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.binder import bindery_for, leaves_of
from bookgen.cli import main
from bookgen.look.themes import load_theme
from bookgen.model import Filed, FiledLeaf
from bookgen.pipeline import Checked, check_book, publish
from bookgen.source.filed import filed_text

from .books_of_text import MATERIALS, ON_THAT_DAY, check, column, formula, run, weigh, write_book

BASE = formula("B-1", "a: 10 g; water: to 100 g")
NAMED = {
    **MATERIALS,
    "gly-85": "also: [glycerin 85 %, Glyc]\nwater: 15 %",
    "gly-99": "also: [Glyc]\nwater: 1 %",
}


def stderr(book: Path, *arguments: str) -> str:
    """Return what a command says that is refused."""
    told = CliRunner().invoke(main, [*arguments, "--book", str(book)])
    assert told.exit_code == 2, told
    return told.stderr


def messages(book: Path, severity: str) -> list[str]:
    return [one["message"] for one in check(book) if one["severity"] == severity]


@pytest.mark.parametrize("name", ["B-1", "b-1"])
def test_a_formula_is_called_by_its_code(tmp_path: Path, name: str) -> None:
    user = formula("U-1", f"{name}: 50 %; b: to 100 g") + f"\nTake [the base](amount:{name}).\n"
    book = write_book(tmp_path, {"base-stock": BASE, "user": user})
    assert check(book) == []
    answer = weigh(book, "u-1", "200 g")
    assert answer["code"] == "U-1"
    assert [made["code"] for made in answer["make_first"]] == ["B-1"]
    assert weigh(book, "U-1", f"40 g of {name}")["obtain"]["g"] == "80"


def test_a_formula_is_never_called_by_its_file(tmp_path: Path) -> None:
    """A material that is not there yet would silently become another preparation."""
    user = formula("U-1", "honey: 20 %; b: to 100 g")
    book = write_book(tmp_path, {"honey": BASE, "user": user})
    (told,) = messages(book, "error")
    assert told == (
        "Formula U-1, line 6: no file yet for honey, and honey is the file of B-1 (Formula B-1); write B-1 if that is "
        "meant, or a material file for honey."
    )
    assert "honey is the file of B-1 (Formula B-1); write B-1." in stderr(book, "weigh", "honey")
    assert (
        messages(write_book(tmp_path / "told", {"honey": BASE, "user": user.replace("honey:", "B-1:")}), "error") == []
    )


def test_a_material_without_a_file_is_no_formula_of_that_file(tmp_path: Path) -> None:
    """`urea.md` is the formula's file, and `urea` in it is a material."""
    book = write_book(tmp_path, {"urea": formula("U-1", "urea: 10 %; water: to 100 g")})
    assert messages(book, "error") == []
    assert [one["rule"] for one in check(book)] == ["no-file-yet"]
    assert weigh(book, "U-1")["lines"][0]["metered_g"] == "10.00"


@pytest.mark.parametrize("name", ["glycerin 85 %", "Glycerin  85 %", "gly-85", "GLY-85"])
def test_a_name_that_one_material_has_is_taken(tmp_path: Path, name: str) -> None:
    text = formula("F", f"'{name}': 20 %; b: to 100 g") + "\nTake [some](amount:gly-85).\n"
    book = write_book(tmp_path, {"F": text}, NAMED)
    assert check(book) == []
    assert weigh(book, "F", "50 g of gly-85")["obtain"]["g"] == "250"
    (line, _) = weigh(book, "F")["lines"]
    assert line["material"].casefold() == "gly-85"


def test_a_name_that_two_materials_have_says_which(tmp_path: Path) -> None:
    book = write_book(tmp_path, {"F": formula("F", "glyc: 20 %; b: to 100 g")}, NAMED)
    assert messages(book, "error") == ["Formula F, line 6: glyc can be gly-85 or gly-99; write which one."]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("lactc-80", "lactic-80"), ("lactic80", "lactic-80"), ("lactic", "lactic-80"), ("lactic-90", "lactic-80"),
        ("watre", "water"), ("glycerin 86 %", "gly-85 (glycerin 85 %)"), ("oils", "oil"), ("80-lactic", "lactic-80"),
    ],
)  # fmt: skip
def test_a_slip_is_an_error_with_what_was_meant(tmp_path: Path, typed: str, meant: str) -> None:
    book = write_book(tmp_path, {"F": formula("F", f"'{typed}': 20 %; b: to 100 g")}, NAMED)
    (told,) = messages(book, "error")
    assert told == f"Formula F, line 6: the book has no material or formula called {typed}. Did you mean {meant}?"
    assert len(check(book)) == 1


@pytest.mark.parametrize("typed", ["quartz", "clove-oil", "rose-water", "C-01", "oil of roses", "lactate", "9"])
def test_what_nothing_resembles_has_no_file_yet(tmp_path: Path, typed: str) -> None:
    """Codes are never likened to each other, and one word in common is no likeness."""
    other = formula("X-01", "a: 10 g; water: to 100 g")
    book = write_book(tmp_path, {"F": formula("F", f"'{typed}': 20 %; b: to 100 g"), "x": other}, NAMED)
    (told,) = check(book)
    assert (told["severity"], told["rule"]) == ("query", "no-file-yet")
    assert told["message"] == (
        f"Formula F, line 6: no file yet for {typed}, so its water, density, content and hazards are not known; write "
        "one (bookgen add --missing does), or correct the name."
    )
    answer = weigh(book, "F", "200 g")
    assert [line["metered_g"] for line in answer["lines"]] == ["40.00", "160.00"]
    assert (answer["composition"], answer["use_by"]) == (None, None)
    assert "no file yet" in answer["why"]["composition"]


@pytest.mark.parametrize("amount", ["5 mL", "4 drops", "1 % as urea", "1 g as urea", "5 g of 70 %vol"])
def test_what_its_file_would_have_to_say_is_not_known(tmp_path: Path, amount: str) -> None:
    book = write_book(tmp_path, {"F": formula("F", f"quartz: {amount}; a: 10 g; b: to 100 g")})
    assert [one["rule"] for one in check(book)] == ["no-file-yet"]
    answer = weigh(book, "F", "200 g")
    assert [line["metered_g"] for line in answer["lines"]] == [None, "20.00", None]
    assert "no file yet" in answer["lines"][0]["why"]["grams"]
    assert answer["printed_total_g"] is None


def test_a_sum_of_what_is_not_known_is_not_known(tmp_path: Path) -> None:
    book = write_book(tmp_path, {"F": formula("F", "quartz: 5 mL; a: 10 g")})
    assert [one["rule"] for one in check(book)] == ["no-file-yet"]
    status, answer = run(book, "weigh", "F")
    assert status == 1
    assert "no file yet for quartz" in answer["why"]["lines"]


def test_a_user_of_what_has_no_file_is_weighed_too(tmp_path: Path) -> None:
    base = formula("B-1", "quartz: 10 g; water: to 100 g")
    book = write_book(tmp_path, {"base": base, "F": formula("F", "B-1: 20 %; b: to 100 g")})
    assert [(one["rule"], one["path"]) for one in check(book)] == [("no-file-yet", "formulas/base.md")]
    answer = weigh(book, "F", "200 g")
    assert [line["metered_g"] for line in answer["lines"]] == ["40.00", "160.00"]
    assert answer["composition"] is None
    status, needs = run(book, "needs", "F: 200 g")
    assert status == 0
    assert {one["material"]: one["grams"] for one in needs["materials"]} == {"b": "160", "quartz": "4", "water": "36"}


def test_a_code_that_was_filed_under_the_same_title_is_told_as_renamed(tmp_path: Path) -> None:
    user = formula("U-1", "C-01: 50 %; b: to 100 g")
    x = formula("X-01", "a: 10 g; water: to 100 g")
    new = formula("C-10", "a: 10 g; water: to 100 g").replace("Formula C-10", "Cold cream")
    book = write_book(tmp_path, {"user": user, "x": x, "c": new})
    assert [one["rule"] for one in check(book)] == ["no-file-yet"]
    leaf = FiledLeaf(code="C-01", title="Cold cream", sheets=1, content="3" * 16, look="4" * 16)
    record = filed_text(Filed(on="2026-03-02", looks={"4" * 16: "as it was"}, leaves=(leaf,)))
    (book / "formulas" / "filed.yaml").write_text(record, encoding="utf-8")
    assert messages(book, "error") == ["Formula U-1, line 6: C-01 is C-10 now (Cold cream); write C-10."]
    for asked in (["weigh", "c-01"], ["needs", "C-01: 20 g"], ["needs", "C-10: 20 g", "--have", "C-01: 5 g"]):
        told = stderr(book, *asked)
        assert "C-01 is C-10 now" in told.replace("c-01", "C-01"), told
        assert "X-01" not in told


def test_page_sheet_and_bench_say_that_its_hazards_are_not_known(tmp_path: Path) -> None:
    base = formula("B-1", "quartz: 10 g; water: to 100 g")
    book = write_book(tmp_path, {"base": base, "F": formula("F", "B-1: 20 %; b: to 100 g")})
    checked = check_book(book)
    publish(checked, tmp_path / "site", binder=False)
    for code, who in (("B-1", "quartz"), ("F", "quartz (in Formula B-1)")):
        page = (tmp_path / "site" / "formulas" / f"{code}.html").read_text(encoding="utf-8")
        for html in (page, sheet_of(checked, code)):
            assert f"{who}: No file yet, so its hazards are not known." in words_of(html)
        assert f"{who}: No file yet, so its hazards are not known." in weighed_text(book, code)


def words_of(html: str) -> str:
    """Return the text of a page, with ordinary spaces."""
    return " ".join(re.sub("<[^>]*>", "", html).split())


def sheet_of(checked: Checked, code: str) -> str:
    """Return a formula's sheet as the binder prints it."""
    bindery = bindery_for(checked.reckoning, checked.review, load_theme())
    return next(one.leaf.html for one in leaves_of(bindery) if one.leaf.code == code)


def weighed_text(book: Path, code: str) -> str:
    told = CliRunner(env={"COLUMNS": "300"}).invoke(main, ["weigh", code, "--book", str(book)])
    return " ".join(told.stdout.split())


# ── A file with nothing but a name ────────────────────────────────────────────────────────────────────────────────


def test_several_without_a_file_are_one_query(tmp_path: Path) -> None:
    book = write_book(tmp_path / "book", {"F": formula("F", "quartz: 1 g; honey: 2 g; water: to 100 g")})
    (query,) = [one for one in check(book) if one["rule"] == "no-file-yet"]
    assert query["line"] == 6
    told = "no file yet for quartz and honey, so their water, density, content and hazards are not known"
    assert told in query["message"]


@pytest.mark.parametrize("amount", ["5 mL", "2 drops", "1 g as quartz dust", "3 g"])
def test_a_file_with_a_name_alone_tells_no_more_than_none(tmp_path: Path, amount: str) -> None:
    """The weight is known or not as it was without the file, nothing is barred, and the hazards are asked about."""
    lines = {"F": formula("F", f"quartz: {amount}; water: to 100 g")}
    without = weigh(write_book(tmp_path / "without", lines), "F")
    bare = write_book(tmp_path / "bare", lines, MATERIALS | {"quartz": ""})
    answer = weigh(bare, "F")
    assert column(answer, "grams") == column(without, "grams")
    assert {one["severity"] for one in check(bare)} == {"query"}
    (query,) = [one for one in check(bare) if one["rule"] == "only-a-name"]
    assert "hazards are not known" in query["message"]
    page = CliRunner(env=ON_THAT_DAY).invoke(main, ["weigh", "F", "--book", str(bare)]).output
    assert "quartz: Only its name is written, so its hazards are not known." in " ".join(page.split())


def test_hazards_none_known_is_an_answer(tmp_path: Path) -> None:
    lines = {"F": formula("F", "quartz: 3 g; water: to 100 g")}
    book = write_book(tmp_path / "book", lines, MATERIALS | {"quartz": "hazards: none known"})
    assert [one for one in check(book) if one["rule"] == "only-a-name"] == []
    page = CliRunner(env=ON_THAT_DAY).invoke(main, ["weigh", "F", "--book", str(book)]).output
    assert "Hazard" not in page


def test_a_file_of_a_bare_name_is_asked_about_once(tmp_path: Path) -> None:
    text = formula("F", "a: to 100 g; quartz: 5 g", "kind: cosmetic", "storage: refrigerator, 2 weeks")
    book = write_book(tmp_path, {"F": text}, {"a": "water: 100 %"})
    (book / "formulas" / "materials" / "quartz.md").write_text("---\nname: quartz\n---\n", encoding="utf-8")
    assert [one["rule"] for one in check(book) if one["path"].endswith("quartz.md")] == ["only-a-name"]
