"""`binder --changes` and `filed` as a keeper uses them for life, and all that can go wrong on the way.

Leaves are printed by a stand-in for the layout engine, one or two blank sheets each: what the engine makes of them is
held to account elsewhere (`tests/pages/test_changes.py`).
"""

from __future__ import annotations

import errno
import io
import os
import re
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import click
import pikepdf
import pytest
import yaml
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from bookgen.binder.digest import LETTERS
from bookgen.cli import main
from bookgen.press.render import Press
from bookgen.source import filed_text, read_filed
from bookgen.source.desk import Desk
from bookgen.source.filed import ALPHABET
from bookgen.source.writing import ChangedMeanwhile, record_bytes, write_record
from tests.pages.small_binder import listed, run, write

from .conftest import environment
from .quick_press import print_quickly

DAY = "2026-11-25"
LATER = "2026-12-01"
GEL = "creams/gel.md"


def _blank() -> bytes:
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        out = io.BytesIO()
        pdf.save(out)
        return out.getvalue()


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Press, "print", print_quickly)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write(tmp_path / "book")


@pytest.fixture(scope="module")
def filed_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book whose binder was printed and filed, to be copied."""
    made = write(tmp_path_factory.mktemp("filed") / "book")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Press, "print", print_quickly)
        assert run("binder", "--book", made).exit_code == 0
        assert run("filed", "--book", made, "--today", DAY).exit_code == 0
    return made


@pytest.fixture
def on_record(book: Path, filed_once: Path) -> Path:
    """A book whose binder was printed and filed."""
    return Path(shutil.copytree(filed_once, book, dirs_exist_ok=True))


def edit(book: Path, name: str = GEL, old: str = "slowly", new: str = "gently") -> None:
    path = book / "formulas" / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def record(book: Path) -> dict[str, object]:
    return dict(yaml.load((book / "formulas" / "filed.yaml").read_text(encoding="utf-8"), yaml.BaseLoader))


def texts(leaves: object) -> object:
    """What a list says, each value as it is written."""
    return yaml.load(yaml.safe_dump(leaves), yaml.BaseLoader)


def everything(folder: Path) -> dict[str, bytes]:
    return {one.relative_to(folder).as_posix(): one.read_bytes() for one in folder.rglob("*") if one.is_file()}


class TestTheWay:
    def test_from_the_first_binder_to_the_third_change(self, book):
        result = run("binder", "--changes", "--book", book)
        assert (result.exit_code, result.stdout) == (2, "")
        assert "No binder is on record yet, so there are no changes to print: print " in result.stderr
        assert "and run bookgen filed." in result.stderr
        run("binder", "--book", book)
        before = everything(book / "formulas")
        result = run("filed", "--book", book, "--today", DAY)
        assert (result.exit_code, result.stderr) == (0, "")
        assert result.stdout.startswith(f"Filed {DAY}: 12 leaves on ")
        assert "are on record in formulas/filed.yaml." in result.stdout
        after = everything(book / "formulas")
        assert after.keys() - before.keys() == {"filed.yaml"}
        assert {name: after[name] for name in before} == before
        for number, word in enumerate(("gently", "kindly", "softly")):
            edit(book, old=("slowly", "gently", "kindly")[number], new=word)
            result = run("binder", "--changes", "--book", book)
            assert (result.exit_code, result.stdout) == (0, f"{book / 'site' / 'changes.pdf'}\n")
            result = run("filed", "--book", book, "--today", LATER)
            assert result.exit_code == 0
            assert "In: effective-sheets, C-02.\n" in result.stdout
            assert "Out:" not in result.stdout
        result = run("binder", "--changes", "--book", book)
        assert result.stdout == f"Nothing to print: the binder holds the book as it is (filed {LATER}).\n"
        assert result.exit_code == 0
        assert not (book / "site" / "changes.pdf").exists()

    def test_the_check_code_to_hold_the_list_against_is_told(self, on_record):
        told = run("filed", "--whole", "--book", on_record).stdout
        assert told.startswith(f"Already on record (filed {DAY}): 12 leaves on ")
        (on_record / "formulas" / "filed.yaml").unlink()
        told = run("filed", "--book", on_record, "--today", DAY).stdout
        content = next(one["content"] for one in record(on_record)["leaves"] if one["code"] == "effective-sheets")
        assert f"must show check {content[:7]} at its foot." in told

    def test_what_was_printed_is_what_is_recorded(self, on_record):
        edit(on_record)
        run("binder", "--changes", "--book", on_record)
        printed = listed((on_record / "site" / "changes.pdf").read_bytes())
        edit(on_record, old="gently", new="in one go")  # after printing, before filing
        assert run("site", "--book", on_record).exit_code == 0
        assert run("filed", "--book", on_record, "--today", LATER).exit_code == 0
        assert yaml.safe_load((on_record / "formulas" / "filed.yaml").read_text())["leaves"] == printed["leaves"]
        assert str(on_record / "site") in run("binder", "--changes", "--book", on_record).stdout

    def test_the_same_pdf_again_writes_nothing(self, on_record):
        before = everything(on_record / "formulas")
        result = run("filed", "--whole", "--book", on_record, "--today", LATER)
        assert result.exit_code == 0
        assert result.stdout.startswith("Already on record (filed 2026-11-25): 12 leaves")
        assert everything(on_record / "formulas") == before

    def test_a_pdf_kept_elsewhere_is_filed_by_its_name(self, on_record, tmp_path):
        edit(on_record)
        run("binder", "--changes", "--book", on_record)
        shutil.move(on_record / "site" / "changes.pdf", tmp_path / "printed.pdf")
        assert run("filed", tmp_path / "printed.pdf", "--book", on_record).stdout.count("C-02") == 1

    def test_the_record_reads_as_a_list(self, on_record):
        lines = (on_record / "formulas" / "filed.yaml").read_text(encoding="utf-8").splitlines()
        assert lines[0].startswith("# What is in the binder. `bookgen filed` writes this file and nothing else does")
        assert lines[1] == f"filed: {DAY}"
        gel = next(one for one in lines if "code: C-02" in one)
        assert gel.startswith("  - {code: C-02, title: 'Hand gel', chapter: 'Creams', issue: 3, sheets: ")
        codes = [line.split("code: ")[1].split(",")[0] for line in lines if "code: " in line]
        assert codes[:4] == ["title", "effective-sheets", "contents", "by-material"]
        assert codes[-1] == "materials-a"

    def test_the_same_input_writes_the_same_bytes(self, on_record, tmp_path):
        other = write(tmp_path / "elsewhere" / "twin")
        run("binder", "--book", other)
        run("filed", "--book", other, SOURCE_DATE_EPOCH="1795564800")  # 2026-11-25 UTC
        assert record_bytes(other) == record_bytes(on_record)
        for one in (on_record, other):
            edit(one)
            run("binder", "--changes", "--book", one)
        assert (on_record / "site" / "changes.pdf").read_bytes() == (other / "site" / "changes.pdf").read_bytes()

    def test_a_changed_look_is_told_and_asked_for(self, on_record):
        edit(on_record, "workroom.yaml", "paper: A5", "paper: A5\npunch marks: yes")
        result = run("binder", "--changes", "--book", on_record)
        told = result.stdout
        assert (
            "printed in an earlier look (was: A5, both sides, 2 holes, type 9 pt; en; theme workroom; WeasyPrint "
            in told
        )
        assert ", is: A5, both sides, 2 holes, type 9 pt, punch marks; en; theme workroom; WeasyPrint " in told
        assert "bookgen binder --changes --appearance prints them too." in told
        assert run("binder", "--changes", "--appearance", "--book", on_record).exit_code == 0
        assert run("filed", "--book", on_record, "--today", LATER).exit_code == 2, "without the look or with it"
        assert run("filed", on_record / "site" / "changes.pdf", "--book", on_record, "--today", LATER).exit_code == 0
        assert set(record(on_record)["looks"].values()) == {next(iter(record(on_record)["looks"].values()))}
        assert "earlier look" not in run("binder", "--changes", "--book", on_record).stdout

    def test_a_leaf_in_an_earlier_look_keeps_its_row(self, on_record):
        before = {one["code"]: one for one in record(on_record)["leaves"]}
        edit(on_record, "workroom.yaml", "paper: A5", "paper: A5\npunch marks: yes")
        edit(on_record)
        run("binder", "--changes", "--book", on_record)
        run("filed", "--book", on_record, "--today", LATER)
        after = {one["code"]: one for one in record(on_record)["leaves"]}
        same = [code for code in after if after[code] == before[code]]
        assert {"W-01", "materials-a", "by-material"} <= set(same)
        assert "C-02" not in same
        assert len(set(record(on_record)["looks"].values())) == 2


class TestTheOutputFolder:
    def test_changes_leave_site_and_binder_that_are_still_right(self, on_record):
        run("publish", "--book", on_record)
        run("filed", "--book", on_record, "--today", LATER)
        (on_record / "formulas" / "filed.yaml").unlink()
        run("filed", "--book", on_record, "--today", DAY)
        edit(on_record)
        run("publish", "--book", on_record)
        result = run("binder", "--changes", "--book", on_record)
        assert "taken away" not in result.stderr
        assert {"binder.pdf", "changes.pdf", "index.html"} <= set(os.listdir(on_record / "site"))
        assert run("filed", "--book", on_record).exit_code == 0
        result = run("publish", "--book", on_record)
        assert "The earlier changes.pdf no longer starts from what is on record and was taken away" in result.stderr
        assert "changes.pdf" not in os.listdir(on_record / "site")

    def test_a_new_binder_leaves_changes_that_can_still_be_filed(self, on_record):
        edit(on_record)
        run("binder", "--changes", "--book", on_record)
        printed = listed((on_record / "site" / "changes.pdf").read_bytes())
        edit(on_record, old="gently", new="kindly")
        result = run("binder", "--book", on_record)
        assert "taken away" not in result.stderr
        result = run("filed", "--book", on_record, "--today", LATER)
        assert result.exit_code == 0
        assert f"Read from {on_record / 'site' / 'changes.pdf'}.\n" in result.stdout
        assert record(on_record)["leaves"] == texts(printed["leaves"])

    def test_changes_leave_pages_and_binder_alone_whatever_they_show(self, on_record):
        run("publish", "--book", on_record)
        before = everything(on_record / "site")
        edit(on_record)
        result = run("binder", "--changes", "--book", on_record)
        assert "taken away" not in result.stderr
        after = everything(on_record / "site")
        assert after.keys() - before.keys() == {"changes.pdf"}
        del before[".made-by-bookgen"]
        assert {name: after[name] for name in before} == before
        edit(on_record, old="gently", new="slowly")
        run("binder", "--changes", "--book", on_record)  # nothing to print
        after = everything(on_record / "site")
        assert {name: after[name] for name in before} == before

    def test_another_folder(self, on_record, tmp_path):
        edit(on_record)
        out = tmp_path / "out"
        assert run("binder", "--changes", "--out", out, "--book", on_record).stdout == f"{out / 'changes.pdf'}\n"
        assert run("filed", out / "changes.pdf", "--book", on_record).exit_code == 0

    def test_a_folder_that_holds_other_things_is_refused(self, on_record, tmp_path):
        edit(on_record)
        (tmp_path / "mine").mkdir()
        (tmp_path / "mine" / "letter.txt").write_text("dear")
        result = run("binder", "--changes", "--out", tmp_path / "mine", "--book", on_record)
        assert result.exit_code == 3
        assert os.listdir(tmp_path / "mine") == ["letter.txt"]


class TestNothingPrintedIsLost:
    """After `binder --changes`, whatever happens before `filed`: what is on paper can be filed as it was printed."""

    @pytest.fixture
    def printed(self, on_record: Path) -> tuple[Path, object]:
        """A book whose changes were printed, and what they list."""
        edit(on_record)
        assert run("binder", "--changes", "--book", on_record).exit_code == 0
        return on_record, texts(listed((on_record / "site" / "changes.pdf").read_bytes())["leaves"])

    @pytest.mark.parametrize(
        "between",
        [
            lambda book: run("publish", "--book", book),
            lambda book: (run("publish", "--book", book), run("site", "--book", book), run("binder", "--book", book)),
            lambda book: shutil.rmtree(book / "site"),
            lambda book: (shutil.rmtree(book / "site"), run("publish", "--book", book)),
            lambda book: (book / "formulas" / GEL).unlink(),
            lambda book: shutil.rmtree(book / "formulas" / "waters"),
            lambda book: (book / "formulas" / "workroom.yaml").write_text("balances: [\n"),
            lambda book: run("binder", "--changes", "--out", book / "elsewhere", "--book", book),
        ],
        ids=["published", "all made", "pages deleted", "deleted and made", "formula deleted", "chapter deleted",
             "workroom broken", "printed elsewhere too"],
    )  # fmt: skip
    def test_what_was_printed_is_filed_as_printed(self, printed, between):
        book, leaves = printed
        edit(book, "waters/rose.md", "Stir", "Shake")
        between(book)
        elsewhere = (book / "elsewhere").exists()
        result = run("filed", "--book", book, "--today", LATER)
        if elsewhere:
            assert result.exit_code == 2, "two of them wait"
            result = run("filed", book / "site" / "changes.pdf", "--book", book, "--today", LATER)
        assert (result.exit_code, result.stderr) == (0, "")
        assert record(book)["leaves"] == leaves
        assert record(book)["filed"] == LATER
        assert not (book / ".printed").exists()

    def test_the_whole_binder_made_since_is_not_taken_for_what_was_printed(self, printed):
        book, _ = printed
        edit(book, old="gently", new="in one go")
        run("publish", "--book", book)
        before = record_bytes(book)
        result = run("filed", "--whole", "--book", book)
        assert (result.exit_code, result.stdout) == (2, "")
        assert f"1  bookgen filed {book / 'site' / 'binder.pdf'}\n" in result.stderr
        assert f"2  bookgen filed {book / 'site' / 'changes.pdf'}\n" in result.stderr
        assert record_bytes(book) == before
        assert run("filed", book / "site" / "binder.pdf", "--book", book).exit_code == 0, "who names it means it"

    def test_a_third_print_keeps_the_first(self, printed):
        book, first = printed
        names = ["changes-earlier.pdf", "changes-earlier-2.pdf", "changes.pdf"]
        lists = [first]
        for old, new in (("gently", "kindly"), ("kindly", "softly")):
            edit(book, old=old, new=new)
            told = run("binder", "--changes", "--book", book).stdout
            assert "The changes printed before are not on record; they are kept as " in told
            lists.append(texts(listed((book / "site" / "changes.pdf").read_bytes())["leaves"]))
        assert [texts(listed((book / "site" / one).read_bytes())["leaves"]) for one in names] == lists
        before = record_bytes(book)
        result = run("filed", "--book", book)
        assert (result.exit_code, result.stdout, record_bytes(book)) == (2, "", before)
        assert [line.rpartition("/")[2] for line in result.stderr.splitlines() if "bookgen filed" in line] == [
            "changes.pdf", "changes-earlier-2.pdf", "changes-earlier.pdf",
        ]  # fmt: skip
        code = next(one["content"] for one in lists[0] if one["code"] == "effective-sheets")[:7]
        assert f"its list of effective sheets shows check {code}; in: effective-sheets, C-02\n" in result.stderr
        shutil.rmtree(book / "site")
        result = run("filed", "--book", book)
        assert result.exit_code == 2
        assert f"bookgen filed {book / '.printed' / code}.yaml\n" in result.stderr
        assert run("filed", book / ".printed" / f"{code}.yaml", "--book", book).exit_code == 0
        assert record(book)["leaves"] == first

    @pytest.mark.parametrize(
        ("answer", "meant"), [("2\n", 0), ("1\n", 1), ("\n", None), ("7\n", None), ("{code}\n", 0)]
    )
    def test_a_terminal_is_asked_which_was_filed(self, printed, monkeypatch, answer, meant):
        book, first = printed
        edit(book, old="gently", new="kindly")
        run("binder", "--changes", "--book", book)
        lists = [first, texts(listed((book / "site" / "changes.pdf").read_bytes())["leaves"])]
        code = next(one["content"] for one in first if one["code"] == "effective-sheets")[:7]
        before = record_bytes(book)
        monkeypatch.setattr("bookgen.cli.filing._somebody_is_there", lambda: True)
        runner = CliRunner(env={"SOURCE_DATE_EPOCH": ""})
        result = runner.invoke(main, ["filed", "--book", str(book)], input=answer.format(code=code))
        assert "Which number" in result.output
        if meant is None:
            assert result.exit_code == 2
            assert "Nothing is recorded." in result.stderr
            assert record_bytes(book) == before
        else:
            assert result.exit_code == 0
            assert record(book)["leaves"] == lists[meant]

    @pytest.mark.parametrize(("answer", "code"), [("y\n", 0), ("n\n", 2), ("\n", 2)])
    def test_a_terminal_is_asked_whether_the_whole_binder_is_the_one_on_paper(self, book, monkeypatch, answer, code):
        run("binder", "--book", book)
        edit(book)
        run("publish", "--book", book)
        check = listed((book / "site" / "binder.pdf").read_bytes())["leaves"][1]["content"][:7]
        monkeypatch.setattr("bookgen.cli.filing._somebody_is_there", lambda: True)
        result = CliRunner(env={"SOURCE_DATE_EPOCH": ""}).invoke(main, ["filed", "--book", str(book)], input=answer)
        assert f"in front of your binder show check {check} at its foot? [y/N]: " in result.stderr
        assert result.exit_code == code
        assert (record_bytes(book) is not None) is (code == 0)
        if code:
            told = f"Nothing is recorded: {book / 'site' / 'binder.pdf'} was made after the binder was printed."
            assert told in result.stderr

    def test_a_list_that_cannot_be_kept_is_told(self, on_record):
        edit(on_record)
        (on_record / ".printed").write_text("in the way")
        result = run("binder", "--changes", "--book", on_record)
        assert result.exit_code == 0
        assert f"cannot be kept in {on_record / '.printed'}: " in result.stderr
        assert "Keep the PDF until you have run bookgen filed." in result.stderr
        assert run("filed", "--book", on_record).exit_code == 0

    @pytest.mark.parametrize("left", [b"", b"filed: [", b"leaves:\n"])
    def test_a_kept_list_that_a_power_cut_left_empty_is_passed_over(self, printed, left):
        book, leaves = printed
        (kept,) = (book / ".printed").glob("*.yaml")
        kept.write_bytes(left)
        assert run("filed", "--book", book).exit_code == 0
        assert record(book)["leaves"] == leaves

    def test_a_damaged_pdf_names_what_was_kept_of_it(self, printed):
        book, leaves = printed
        (book / "site" / "changes.pdf").write_bytes(b"%PDF-1.7\n")
        result = run("filed", "--book", book)
        assert result.exit_code == 2
        (kept,) = (book / ".printed").glob("*.yaml")
        assert result.stderr.rstrip().endswith(f"What it listed is kept: run bookgen filed {kept}.")
        assert run("filed", kept, "--book", book).exit_code == 0
        assert record(book)["leaves"] == leaves


class TestBadInput:
    def refused(self, book: Path, *arguments: object) -> str:
        before = everything(book / "formulas")
        result = run("filed", *arguments, "--book", book, "--today", LATER)
        assert (result.exit_code, result.stdout) == (2, "")
        assert everything(book / "formulas") == before
        return " ".join(result.stderr.split())

    def test_nothing_was_printed(self, book, on_record):
        assert "There is nothing printed to file: " in self.refused(on_record)
        (on_record / "formulas" / "filed.yaml").unlink()
        shutil.rmtree(on_record / "site")
        assert "binder.pdf does not exist; bookgen binder makes it." in self.refused(on_record)
        assert "There is no " in self.refused(on_record, "none.pdf")

    def test_changes_against_another_record(self, on_record, tmp_path):
        edit(on_record)
        run("binder", "--changes", "--book", on_record)
        shutil.copy(on_record / "site" / "changes.pdf", tmp_path / "first.pdf")
        edit(on_record, old="gently", new="kindly")
        run("binder", "--changes", "--book", on_record)
        run("filed", on_record / "site" / "changes.pdf", "--book", on_record, "--today", DAY)
        told = self.refused(on_record, tmp_path / "first.pdf")
        assert "was made against another record; the one in the book is of 2026-11-25: print the changes anew" in told
        (on_record / "formulas" / "filed.yaml").unlink()
        assert "and the book has none" in self.refused(on_record, tmp_path / "first.pdf")

    @pytest.mark.parametrize("length", [0, 10, 2000, -1000, -10])
    def test_a_pdf_that_is_cut_short(self, on_record, length):
        edit(on_record)
        run("binder", "--changes", "--book", on_record)
        path = on_record / "site" / "changes.pdf"
        path.write_bytes(path.read_bytes()[:length])
        assert "damaged or cut short" in self.refused(on_record)

    def test_a_pdf_from_elsewhere(self, on_record, tmp_path):
        (tmp_path / "other.pdf").write_bytes(_blank())
        assert "is not a binder made by bookgen" in self.refused(on_record, tmp_path / "other.pdf")
        (tmp_path / "text.pdf").write_text("a letter")
        assert "damaged or cut short" in self.refused(on_record, tmp_path / "text.pdf")
        assert run("filed", tmp_path, "--book", on_record).exit_code == 2

    @pytest.mark.parametrize(
        "text", ["", "leaves: 3\n", "a: [", "looks:\nleaves:\n", "\x00\xff", "filed: 2026-13-01\n"]
    )
    def test_a_pdf_whose_list_is_no_list(self, on_record, tmp_path, text):
        with pikepdf.new() as pdf:
            pdf.add_blank_page()
            name = "effective-sheets.yaml"
            pdf.attachments[name] = pikepdf.AttachedFileSpec(pdf, text.encode("latin-1"), filename=name)
            pdf.save(tmp_path / "strange.pdf")
        assert "the list in it cannot be read: " in self.refused(on_record, tmp_path / "strange.pdf")

    @pytest.mark.parametrize(
        ("old", "new", "at", "told"),
        [
            ("issue: 3", "isue: 3", ":", "`isue` is not a key of a leaf. Did you mean issue?"),
            ("filed: 2026-11-25", "filed: soon", ":2:8", "a date such as 2026-03-02 is expected here"),
            ("filed: 2026-11-25\n", "", ":1:1", "The record lacks the day"),
            ("content: ", "content: Q", ":", "a digest of 16 letters is expected here"),
            ("code: C-02,", "code: C-01,", ":", "C-01 is listed twice among the leaves"),
            ("leaves:", "leaves: none\nx:", ":", "one line a leaf"),
            ("code: C-02, ", "", ":", "The leaf lacks code"),
            ("{code: C-02", "code: C-02", ":", ""),
            ("sheets: 2", "sheets: 1,5", ":", "Inside { } a comma ends the value: write 1.5"),
        ],
    )
    def test_a_corrupt_record(self, on_record, old, new, at, told):
        path = on_record / "formulas" / "filed.yaml"
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
        kept = path.read_bytes()
        result = run("check", "--book", on_record)
        assert result.exit_code == 1
        assert told in " ".join(result.stdout.split())
        assert f"formulas/filed.yaml{at}" in result.stdout
        assert result.stdout.splitlines()[-2].endswith("barred.") is False, "it bars no formula"
        for command in (["binder", "--changes"], ["filed"], ["filed", "--whole"]):
            result = run(*command, "--book", on_record)
            assert (result.exit_code, result.stdout) == (1, "")
            assert "formulas/filed.yaml cannot be read; it says what is in the binder" in result.stderr
            assert f"formulas/filed.yaml{at}" in result.stderr
        assert run("weigh", "C-02", "--book", on_record).exit_code == 0
        run("binder", "--book", on_record)
        assert (on_record / "site" / "binder.pdf").exists()
        assert path.read_bytes() == kept

    def test_an_unreadable_workroom(self, on_record):
        (on_record / "formulas" / "workroom.yaml").write_text("balances: [\n", encoding="utf-8")
        result = run("binder", "--changes", "--book", on_record)
        assert (result.exit_code, result.stdout) == (1, "")
        assert "Nothing is printed: put formulas/workroom.yaml right first." in result.stderr

    def test_errors_of_the_book_are_told_and_the_rest_is_printed(self, on_record):
        edit(on_record, old="gly: 5.5 %", new="gly: 105.5 %")
        result = run("binder", "--changes", "--book", on_record)
        assert (result.exit_code, result.stdout) == (1, f"{on_record / 'site' / 'changes.pdf'}\n")
        assert "error  Hand gel, line" in result.stderr
        assert run("filed", "--book", on_record).exit_code == 0
        edit(on_record, old="gly: 105.5 %", new="gly: 5.5 %")
        assert "figures printed on" not in run("check", "--book", on_record).stdout, "they are the ones before"
        edit(on_record, old="gly: 5.5 %", new="gly: 7 %")
        assert "the figures printed on C-02 changed since issue 3 was filed" in run("check", "--book", on_record).stdout

    @pytest.mark.parametrize(
        ("old", "new", "told"),
        [
            ("gly", "spare", "the figures printed on C-02 changed"),
            ("issue: 3", "issue: 2", "issue 2 of C-02 is lower than issue 3, which is on record"),
            ("slowly", "gently", "no findings in amounts"),
        ],
        ids=["another material at the same share", "an issue counted down", "words alone"],
    )
    def test_what_changed_without_an_issue_is_asked_for(self, on_record, old, new, told):
        edit(on_record, old=old, new=new)
        assert told in " ".join(run("check", "--book", on_record).stdout.split())

    def test_a_barred_formula_is_called_so_before_its_sheets_are_changed(self, on_record, monkeypatch):
        edit(on_record, old="gly: 5.5 %", new="gly: 105.5 %")
        printed = {}

        def told(press, leaves, progress=None):
            printed.update((one.code, one.html) for one in leaves)
            return print_quickly(press, leaves, progress)

        monkeypatch.setattr(Press, "print", told)
        run("binder", "--changes", "--book", on_record)
        assert re.search(r"C-\d+</a></b> issue \d+, barred, sheet", printed["filing"])
        assert " has an error: its sheets say why instead of weights. Put it right" in printed["filing"]

    def test_changes_that_were_printed_and_never_filed_are_kept(self, on_record):
        """A keeper puts them in, forgets to say so, and changes the book back: the binder is not what it was."""
        edit(on_record)
        run("binder", "--changes", "--book", on_record)
        earlier = on_record / "site" / "changes-earlier.pdf"
        edit(on_record, old="gently", new="slowly")
        result = run("binder", "--changes", "--book", on_record)
        assert f"not on record; they are kept as {earlier}" in " ".join((result.stdout + result.stderr).split())
        assert not (on_record / "site" / "changes.pdf").exists()
        assert run("filed", earlier, "--book", on_record).exit_code == 0
        result = run("binder", "--changes", "--book", on_record)
        assert "Nothing to print" not in result.stdout
        assert not earlier.exists()

    def test_wrong_use(self, on_record, tmp_path):
        assert "--appearance goes with --changes" in run("binder", "--appearance", "--book", on_record).stderr
        assert "not both" in run("filed", "x.pdf", "--whole", "--book", on_record).stderr
        assert run("filed", "--book", tmp_path).exit_code == 2
        assert run("filed", "--book", on_record, SOURCE_DATE_EPOCH="soon").exit_code == 2


class TestWriting:
    @pytest.fixture
    def printed(self, on_record: Path) -> Path:
        edit(on_record)
        run("binder", "--changes", "--book", on_record)
        return on_record

    @pytest.mark.parametrize(("number", "words"), [(errno.ENOSPC, "the disk is full"), (errno.EACCES, "no permission")])
    @pytest.mark.parametrize("operation", ["fsync", "replace"])
    def test_a_disk_that_refuses(self, printed, monkeypatch, number, words, operation):
        before = everything(printed / "formulas")

        def refuse(*_: object) -> None:
            raise OSError(number, os.strerror(number))

        with monkeypatch.context() as patch:
            patch.setattr(os, operation, refuse)
            result = run("filed", "--book", printed)
        assert (result.exit_code, result.stdout) == (3, "")
        assert words in result.stderr
        assert "what was on record stays as it was." in result.stderr
        assert everything(printed / "formulas") == before
        assert run("filed", "--book", printed).exit_code == 0

    def test_an_interrupted_run(self, printed, monkeypatch):
        before = everything(printed / "formulas")

        def interrupt(*_: object) -> None:
            raise KeyboardInterrupt

        with monkeypatch.context() as patch:
            patch.setattr(os, "replace", interrupt)
            result = run("filed", "--book", printed)
        assert (result.exit_code, result.stdout) == (130, "")
        assert result.stderr.strip() == "Interrupted; nothing was put on record."
        assert everything(printed / "formulas") == before

    @pytest.mark.parametrize(
        "at",
        [
            "bookgen.source.writing._settle",
            "bookgen.changes.filing.forget_printed",
            "bookgen.changes.filing.Recorded",
            "bookgen.cli.filing.say",
        ],
    )
    def test_interrupted_after_the_record_was_replaced_it_is_told(self, printed, monkeypatch, at):
        def interrupt(*_: object, **__: object) -> None:
            raise KeyboardInterrupt

        with monkeypatch.context() as patch:
            patch.setattr(at, interrupt)
            result = run("filed", "--book", printed, "--today", "2026-12-07")
        assert (result.exit_code, result.stdout) == (130, "")
        now = record(printed)
        assert now["filed"] == "2026-12-07"
        sheets = sum(int(one["sheets"]) for one in now["leaves"])
        assert result.stderr.strip() == (
            f"Interrupted; all the same it is filed 2026-12-07: {len(now['leaves'])} leaves on {sheets} sheets are on "
            "record in formulas/filed.yaml."
        )

    def test_interrupted_at_the_question_nothing_is_on_record(self, printed, monkeypatch):
        def interrupt(_: object) -> bool:
            raise click.Abort

        before = everything(printed / "formulas")
        (printed / "formulas" / "filed.yaml").unlink()
        monkeypatch.setattr("bookgen.cli.filing._asked_whether", interrupt)
        result = run("filed", "--whole", "--book", printed)
        assert (result.exit_code, result.stderr.strip()) == (130, "Interrupted; nothing was put on record.")
        assert before.keys() - everything(printed / "formulas").keys() == {"filed.yaml"}

    def test_what_a_killed_run_leaves_is_read_by_nobody(self, printed):
        line = (
            "import os, sys; from bookgen.source import writing\n"
            "os.replace = lambda *_: os.kill(os.getpid(), 9)\n"
            "from pathlib import Path\n"
            "writing.write_record(Path(sys.argv[1]), b'half', writing.record_bytes(Path(sys.argv[1])))"
        )
        before = everything(printed / "formulas")
        done = subprocess.run([sys.executable, "-c", line, str(printed)], env=environment(), check=False, timeout=60)
        assert done.returncode == -9
        left = everything(printed / "formulas")
        assert left.keys() - before.keys() == {".filed.yaml-next"}
        assert {name: left[name] for name in before} == before
        assert run("check", "--book", printed).exit_code == 0
        assert run("filed", "--book", printed).exit_code == 0
        assert ".filed.yaml-next" not in os.listdir(printed / "formulas")

    def test_two_runs_at_once(self, printed):
        read = record_bytes(printed)
        assert run("filed", "--book", printed).exit_code == 0
        kept = record_bytes(printed)
        with pytest.raises(ChangedMeanwhile, match="written by another run meanwhile"):
            write_record(printed, b"filed: 2026-01-01\n", read)
        assert record_bytes(printed) == kept


RECORD_TEXT = (
    "filed: 2026-11-25\nlooks:\n  KKKK-KKKK-KKKK-KKKK: 'A5'\nleaves:\n"
    "  - {code: T-1, title: 'x', sheets: 1, content: KX7-M4X-9CDFH-J3467, look: KKKK-KKKK-KKKK-KKKK}\n"
)


@pytest.mark.parametrize(("of", "filed", "readable"), [
    ("2004", "2026-11-25", True), ("2004-05", "2026-11-25", True), ("2004-05-06", "2026-11-25", True),
    ("soon", "2026-11-25", False), ("2004", "2026-11", False), ("2004", "2026", False),
])  # fmt: skip
def test_an_issue_of_a_month_or_a_year_comes_back_from_the_record(of, filed, readable):
    desk = Desk("formulas/filed.yaml")
    text = RECORD_TEXT.replace("2026-11-25", filed).replace("sheets: 1", f"issue: 1, of: {of}, sheets: 1")
    read = read_filed(text.encode(), desk)
    assert read.readable is readable
    assert not readable or (read.leaves[0].issued, read_filed(filed_text(read).encode(), desk)) == (of, read)


@pytest.mark.parametrize("sign", [",", ":", " ", "'", "{", "}", "[", "#", "\n", "\t", "²", "1", ""])
def test_a_record_that_a_hand_damaged_anywhere_is_told_or_read(sign):
    """One sign put in, or put in the place of another, wherever it may be."""
    for at in range(len(RECORD_TEXT)):
        for behind in (at, at + 1):
            desk = Desk("formulas/filed.yaml")
            read = read_filed(f"{RECORD_TEXT[:at]}{sign}{RECORD_TEXT[behind:]}".encode(), desk)
            assert read.readable is not any(one.severity == "error" for one in desk.findings)
            assert len(read.leaves) == 1 or not read.readable


def test_letters_of_digests_are_the_same_everywhere():
    assert frozenset(LETTERS) == ALPHABET


TEXT = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=30).filter(
    lambda text: not {"\ufeff", "\ufffe", "\uffff"} & set(text)
)


@given(title=TEXT, chapter=TEXT)
def test_any_title_comes_back_from_the_record(title, chapter):
    desk = Desk("formulas/filed.yaml")
    plain = read_filed(RECORD_TEXT.encode(), desk)
    told = replace(plain, leaves=(replace(plain.leaves[0], title=title, chapter=chapter),))
    assert read_filed(filed_text(told).encode(), desk) == told
    assert desk.findings == []


# ── What was renamed since ────────────────────────────────────────────────────────────────────────────────────────


class TestAnotherName:
    @pytest.mark.parametrize(("name", "new"), [("W-01", "W-07"), ("gly", "glycerol"), ("C-02", "H-02")])
    def test_no_figure_has_changed_with_a_name(self, on_record, name, new):
        """W-01 is an ingredient of C-01, whose sheet stays what it was but for the name."""
        before = (on_record / "formulas" / "filed.yaml").read_bytes()
        assert run("rename", name, new, "--book", on_record).exit_code == 0
        checked = run("check", "--book", on_record)
        assert checked.exit_code == 0, checked.stdout
        assert (on_record / "formulas" / "filed.yaml").read_bytes() == before
        assert run("rename", new, name, "--book", on_record).exit_code == 0
        assert run("check", "--book", on_record).exit_code == 0

    def test_a_former_name_that_is_kept_on_the_way_back_makes_no_other_figure(self, on_record):
        """A batch made under the new code keeps it among the former ones of the old."""
        assert run("rename", "W-01", "W-07", "--book", on_record).exit_code == 0
        made = on_record / "formulas" / "batches" / "W-07-2026-11-25.md"
        made.parent.mkdir()
        made.write_text(
            "---\nbatch: W-07-2026-11-25\nof: W-07, issue 2\nmade: 2026-11-25\nobtain: 100 g\n"
            "weighed:\n  gly: 2.5 g\n  water: 97.5 g\ncame out: 99 g\n---\n"
        )
        assert run("rename", "W-07", "W-01", "--book", on_record).exit_code == 0
        assert "formerly: [W-07]" in (on_record / "formulas" / "waters" / "rose.md").read_text()
        assert run("check", "--book", on_record).exit_code == 0

    def test_a_figure_under_a_new_code_is_held_against_the_sheet_of_the_old(self, on_record):
        assert run("rename", "C-02", "H-02", "--book", on_record).exit_code == 0
        edit(on_record, old="gly: 5.5 %", new="gly: 6.5 %")
        assert "the figures printed on H-02 changed since issue 3 was filed" in run("check", "--book", on_record).stdout

    def test_its_sheets_are_put_in_for_those_of_the_old_code_and_filed(self, on_record):
        assert run("rename", "C-02", "H-02", "--book", on_record).exit_code == 0
        assert run("binder", "--changes", "--book", on_record).exit_code == 0
        filed = run("filed", "--book", on_record, "--today", LATER)
        assert filed.exit_code == 0, filed.stderr
        codes = [leaf["code"] for leaf in record(on_record)["leaves"]]
        assert ("H-02" in codes, "C-02" in codes) == (True, False)
        assert run("check", "--book", on_record).exit_code == 0
        assert run("binder", "--changes", "--book", on_record).stdout.startswith("Nothing to print")
        edit(on_record, old="gly: 5.5 %", new="gly: 6.5 %")
        assert run("check", "--book", on_record).exit_code == 1
