"""The README says what is: made parts are current, commands are single lines, its examples are a book."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main

from .books_of_text import ON_THAT_DAY, check, weigh
from .readme_parts import FILE, PARTS, README, ROOT, pasted, with_parts

TEXT = README.read_text(encoding="utf-8")


@pytest.mark.parametrize("page", PARTS, ids=lambda page: page.name)
def test_made_parts_are_current(page: Path) -> None:
    """`python -m tests.readme_parts` writes them anew."""
    assert with_parts(page) == page.read_text(encoding="utf-8")


def test_both_commands_are_single_lines() -> None:
    for name in ("the demo", "the tests"):
        found = re.search(rf"^<!-- {name} -->\n```sh\n(.*?)```$", TEXT, re.DOTALL | re.MULTILINE)
        assert found, name
        assert found[1].count("\n") == 1
        assert found[1].startswith("apt-get update && ")
        assert "python3 -m venv .venv" in found[1]


def test_ci_runs_the_test_command_of_the_readme() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "<!-- the tests -->" in script


@pytest.mark.parametrize("page", PARTS, ids=lambda page: page.name)
def test_pictures_and_pages_linked_exist(page: Path) -> None:
    text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    for name in re.findall(r"\]\(([^)#:]+)\)", text):
        if "`" not in name:
            assert (page.parent / name).is_file(), name


def test_all_files_of_the_readme_make_one_book_with_nothing_to_say(tmp_path: Path) -> None:
    book = pasted(tmp_path)
    paths = [path for path, _ in FILE.findall(TEXT)]
    assert len(paths) == len(set(paths))
    fenced = re.findall(r"^```(?:markdown|yaml)$", TEXT, re.MULTILINE)
    assert len(paths) == len(fenced), "an example that is no file of the book"
    assert check(book) == []
    splash = weigh(book, "S-02", "250 g")
    assert [line["grams"] for line in splash["lines"]] == ["112.5", "10", "1.25", "4", "122.25"]


def test_three_files_from_a_fresh_folder_to_the_first_weighing_and_the_pages(tmp_path: Path) -> None:
    book = pasted(tmp_path, first=True)
    told = []
    for command in (["check"], ["weigh", "N-01", "--obtain", "250 g"], ["publish"]):
        done = CliRunner(env={"COLUMNS": "", **ON_THAT_DAY}).invoke(main, [*command, "--book", str(book)])
        assert (done.exit_code, done.stderr) == (0, ""), done.output
        told.append(done.stdout)
    assert told[0].startswith("1 formula, 1 material: no findings in amounts, measuring, ")
    assert "To obtain 250 g  ·  weigh in all 263.2 g" in told[1]
    assert (book / "site" / "index.html").is_file()
    assert (book / "site" / "binder.pdf").is_file()


def test_start_writes_the_same_three_files(tmp_path: Path) -> None:
    words = ["--title", "My formula book", "--balance", "fine balance, 0.001 g, 20 g"]
    words += ["--balance", "bench scale, 0.1 g, 2000 g", "--dropper", "glass pipette", "--paper", "A5"]
    assert CliRunner().invoke(main, ["start", str(tmp_path / "started"), *words]).exit_code == 0
    book = pasted(tmp_path / "pasted", first=True)
    for path in sorted(one.relative_to(book) for one in book.rglob("*") if one.is_file()):
        assert (tmp_path / "started" / path).read_bytes() == (book / path).read_bytes(), path
