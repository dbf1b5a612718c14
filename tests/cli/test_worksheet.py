"""`bookgen worksheet` as a keeper types it: where it is written, and what it refuses as `weigh` does."""

from __future__ import annotations

import os

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.press.render import Press
from tests.books_of_text import ON_THAT_DAY

from .quick_press import print_quickly


@pytest.fixture
def run(monkeypatch, tmp_path):
    """Run a command in an empty folder, the layout engine aside."""
    monkeypatch.setattr(Press, "print", print_quickly)
    (tmp_path / "desk").mkdir()
    monkeypatch.chdir(tmp_path / "desk")

    def command(*arguments: object):
        result = CliRunner(env={"COLUMNS": "", **ON_THAT_DAY}).invoke(main, [*map(str, arguments)])
        assert isinstance(result.exception, SystemExit | None), result.exception
        return result

    return command


def test_it_says_where_it_is_and_writes_over_its_own_alone(run, book):
    for _ in range(2):
        done = run("worksheet", "L-01", "--obtain", "250 g", "--book", book)
        assert (done.exit_code, done.stdout) == (0, "Written: L-01-2026-03-02-worksheet.pdf\n")
    assert os.listdir() == ["L-01-2026-03-02-worksheet.pdf"]
    with open("L-01-2026-03-02-worksheet.pdf", "ab") as file:
        file.write(b"a note\n")
    done = run("worksheet", "L-01", "--book", book)
    assert (done.exit_code, done.stdout) == (3, "")
    assert done.stderr == (
        "Cannot write L-01-2026-03-02-worksheet.pdf: it is no worksheet as bookgen wrote it, and stays; name another "
        "file.\n"
    )
    done = run("worksheet", "L-01", "--to", "other.pdf", "--paper", "letter", "--blank", "--book", book)
    assert (done.exit_code, done.stdout) == (0, "Written: other.pdf\n")


@pytest.mark.parametrize("asked", [["X-01"], ["X-02"], ["O-01"], ["L-01", "--obtain", "1,000 g"], ["S-9"], ["water"]])
def test_it_refuses_what_weigh_refuses_in_the_same_words(run, book, asked):
    sheet, weighed = (run(command, *asked, "--book", book) for command in ("worksheet", "weigh"))
    assert sheet.exit_code == weighed.exit_code != 0
    assert sheet.stderr.replace("worksheet", "weigh").replace("CODE...", "CODE") == weighed.stderr
    assert os.listdir() == []


def test_what_weigh_asks_is_asked_here_too(run, book):
    done = run("worksheet", "L-01", "--obtain", "5 g", "--book", book)
    assert done.exit_code == 0
    assert "query" in done.stderr


@pytest.mark.parametrize(
    ("codes", "told"),
    [
        (["L-01", "l-01"], "A formula is named twice: name each once."),
        (["L-01", "A", "B", "C", "D"], "5 formulas do not fit side by side: name up to 4."),
        (["L-01", "A", "--blank"], "--blank is for one formula: name one, or leave --blank out."),
        ([], "Missing argument 'CODE...'."),
    ],
)
def test_what_does_not_fit_side_by_side_is_refused(run, book, codes, told):
    done = run("worksheet", *codes, "--book", book)
    assert (done.exit_code, os.listdir()) == (2, [])
    assert told in done.stderr


def test_several_are_one_sheet_under_all_their_codes(run, book):
    (book / "formulas" / "l.md").write_text(
        "---\ncode: T-09\ntitle: Other\nbased on: L-01\npurpose: trial\ningredients:\n  gly: 6 %\n---\n"
    )
    done = run("worksheet", "L-01", "T-09", "--obtain", "250 g", "--book", book)
    assert (done.exit_code, done.stdout) == (0, "Written: L-01-T-09-2026-03-02-worksheet.pdf\n"), done.stderr
