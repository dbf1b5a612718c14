"""A new issue is begun: the present file is kept byte for byte, and nothing but number and change log is touched."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookgen.pipeline import check_book
from bookgen.source import writing
from bookgen.source.earlier import next_issue
from bookgen.source.writing import AlreadyThere, CannotAdd, write_issue
from bookgen.wording.saying import Saying
from tests.books_of_text import write_book

from .test_new import files_of, run

PATH = "formulas/splash.md"
KEPT = "formulas/earlier/S-02-issue-3.md"
TEXT = """---
# kept as it is
code: S-02
title:   Splash
use: intermediate
issue: 3    # the third
ingredients:
  gly: 4 %
  water: to 100 g
changes:
  3, 2026-03-02: buffered
  2, 2004: first written down
---

Some *words*.
"""
FLOW = TEXT.replace("changes:\n  3, 2026-03-02: buffered\n  2, 2004: first written down\n", "changes: {3: buffered}\n")


@pytest.fixture
def book(tmp_path) -> Path:
    root = write_book(tmp_path, {})
    (root / PATH).write_bytes(TEXT.encode())
    return root


def test_the_present_file_is_kept_and_counted_up(book):
    done = run("issue", "S-02", "glycerol 4 % to 5 %", "--book", book, "--today", "2026-11-30")
    assert done.exit_code == 0
    assert f"Kept: {book / KEPT}" in done.stdout
    assert (book / KEPT).read_bytes() == TEXT.encode()
    assert (book / PATH).read_text() == TEXT.replace("issue: 3 ", "issue: 4 ").replace(
        "changes:\n", "changes:\n  4, 2026-11-30: glycerol 4 % to 5 %\n"
    )
    checked = check_book(book)
    assert not checked.has_errors
    assert checked.book.earlier["s-02@3"].issue == 3
    assert len(checked.book.formulas) == 1


def test_an_earlier_issue_is_never_weighed(book):
    run("issue", "S-02", "more", "--book", book)
    done = run("weigh", "s-02@3", "--book", book)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "s-02@3 is an earlier issue, which is shown and compared but no longer made: write S-02." in done.stderr


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (TEXT.replace("\n", "\r\n"), None),
        ("\ufeff" + TEXT, None),
        ("---\ncode: S-02\ntitle: S\ningredients:\n  gly: 5 g\n---\n",
         "---\ncode: S-02\nissue: 2\ntitle: S\ningredients:\n  gly: 5 g\nchanges:\n  2, 2026-11-30: x\n---\n"),
        (TEXT.replace("  3, 2026-03-02: buffered\n  2, 2004: first written down\n", "  2: a\n  3: b\n   c\n"),
         TEXT.replace("issue: 3 ", "issue: 4 ").replace(
             "  3, 2026-03-02: buffered\n  2, 2004: first written down\n",
             "  2: a\n  3: b\n   c\n  4, 2026-11-30: x\n")),
    ],
)  # fmt: skip
def test_bytes_that_need_not_change_stay(before, after):
    wanted = after or before.replace("issue: 3 ", "issue: 4 ").replace(
        "  3, 2026", f"  4, 2026-11-30: x{chr(13) if chr(13) in before else ''}\n  3, 2026"
    )
    found = next_issue(before.encode(), PATH, "x", "2026-11-30", comma=False)
    assert isinstance(found, bytes)
    assert found.decode() == wanted


@pytest.mark.parametrize("text", [FLOW, TEXT.replace("  3, 2026", "  4, 2026")])
def test_what_would_lose_something_is_refused(book, text):
    (book / PATH).write_text(text)
    before = files_of(book)
    done = run("issue", "S-02", "more", "--book", book)
    assert done.exit_code == 2
    assert PATH in done.stderr
    assert files_of(book) == before


@given(st.text(st.characters(categories=("L", "N", "P", "S"), include_characters=" "), min_size=1, max_size=60))
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_words_are_entered_or_refused(words):
    found = next_issue(TEXT.encode(), PATH, words, "2026-11-30", comma=False)
    if isinstance(found, Saying):
        assert not words.strip() or found.key == "issue-by-hand"
        return
    lines = found.decode().split("\n")
    entry = next(line for line in lines if line.startswith("  4, "))
    lines.remove(entry)
    assert "\n".join(lines) == TEXT.replace("issue: 3 ", "issue: 4 ")


@pytest.mark.parametrize("words", ["", "  ", "x" * 301])
def test_the_change_is_named(book, words):
    before = files_of(book)
    assert run("issue", "S-02", words, "--book", book).exit_code == 2
    assert files_of(book) == before


def test_nothing_is_written_over(book):
    (book / "formulas" / "earlier").mkdir()
    (book / KEPT).write_text(TEXT.replace("words", "other words"))
    before = files_of(book)
    done = run("issue", "S-02", "more", "--book", book)
    assert done.exit_code == 3
    assert f"{KEPT} is there already and holds something else: nothing was written." in done.stderr
    assert files_of(book) == before


def test_a_figure_that_changed_since_it_was_filed_is_no_issue_to_keep(book):
    (book / "formulas" / "filed.yaml").write_text(
        "filed: 2026-11-25\nlooks:\n  KKKK-KKKK-KKKK-KKKK: 'A5'\nleaves:\n  - {code: S-02, title: 'Splash', issue: 3, "
        "sheets: 1, content: KX7-M4X-9CDFH-J3467, look: KKKK-KKKK-KKKK-KKKK, figures: KX7M-4X9C}\n"
    )
    before = files_of(book)
    done = run("issue", "S-02", "more", "--book", book)
    assert done.exit_code == 2
    assert "begin the new issue, then make the change" in done.stderr
    assert files_of(book) == before


@pytest.mark.parametrize(
    ("written", "day", "refused"),
    [
        ("2026-03-02", "2026-03-01", True),
        ("2026-03-02", "2026-03-02", False),
        ("2026-03", "2026-02-28", True),
        ("2026-03", "2026-03-01", False),
        ("2026", "2025-12-31", True),
        ("2026", "2026-01-01", False),
    ],
)
def test_a_day_before_the_present_issue_is_refused(book, written, day, refused):
    (book / PATH).write_text(TEXT.replace("2026-03-02", written))
    before = files_of(book)
    done = run("issue", "S-02", "more", "--book", book, "--today", day)
    assert done.exit_code == (2 if refused else 0)
    assert (files_of(book) == before) is refused
    assert (f"Issue 3 of S-02 is of {written}, later than {day}" in done.stderr) is refused


class TestTheDisk:
    after = TEXT.replace("issue: 3", "issue: 4").encode()

    def test_a_refused_change_takes_the_copy_back(self, book, monkeypatch):
        before = files_of(book)

        def refuse(*paths):
            raise OSError(28, "full")

        monkeypatch.setattr(writing.os, "replace", refuse)
        with pytest.raises(CannotAdd, match="the disk is full"):
            write_issue(book, PATH, TEXT.encode(), self.after, KEPT)
        assert files_of(book) == before

    def test_a_run_killed_between_the_two_is_gone_on_from(self, book):
        child = os.fork()
        if not child:
            writing.os.replace = lambda *paths: os._exit(9)
            write_issue(book, PATH, TEXT.encode(), self.after, KEPT)
            os._exit(0)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
        assert (book / PATH).read_bytes() == (book / KEPT).read_bytes() == TEXT.encode()
        assert not check_book(book).has_errors
        write_issue(book, PATH, TEXT.encode(), self.after, KEPT)
        assert (book / PATH).read_bytes() == self.after
        assert [path.name for path in (book / "formulas").iterdir() if path.name.startswith(".")] == []

    def test_another_hand_is_noticed(self, book):
        (book / PATH).write_text("another")
        with pytest.raises(CannotAdd, match="was changed while it was read"):
            write_issue(book, PATH, TEXT.encode(), self.after, KEPT)
        assert not (book / KEPT).exists()

    def test_the_rights_stay(self, book):
        (book / PATH).chmod(0o600)
        write_issue(book, PATH, TEXT.encode(), self.after, KEPT)
        assert (book / PATH).stat().st_mode & 0o777 == 0o600

    def test_another_text_is_left(self, book):
        (book / "formulas" / "earlier").mkdir()
        (book / KEPT).write_text("another")
        with pytest.raises(AlreadyThere):
            write_issue(book, PATH, TEXT.encode(), self.after, KEPT)
        assert (book / PATH).read_bytes() == TEXT.encode()
