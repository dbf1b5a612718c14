"""What a command prints can be searched and pasted: the spaces in it are ordinary ones."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from tests.books_of_text import MATERIALS, ON_THAT_DAY, formula, write_book

CHECKOUT = Path(__file__).parents[2]
FINER = re.compile("[\u00a0\u2000-\u200a\u202f\u205f]")

ANSWERS: dict[str, list[list[str]]] = {
    "publish": [["--help"]],
    "check": [[], ["--json"]],
    "site": [["--out", "{elsewhere}"]],
    "binder": [["--changes", "--out", "{elsewhere}"]],
    "filed": [[]],
    "preview": [["--help"]],
    "weigh": [["F-01"], ["F-01", "--json"], ["F-01", "--csv"], ["F-01", "--obtain", "1,000 g"], ["X-01", "--json"]],
    "worksheet": [["--help"], ["X-01"], ["F-01", "--obtain", "1,000 g"]],
    "labels": [["--help"], ["X-01"], ["F-01"], ["F-01", "--size", "7 cm"]],
    "dilute": [["96%vol", "to", "70%vol", "--obtain", "500 g"], ["5%", "to", "96%"], ["9%", "to", "3%", "--json"]],
    "mix": [["2.5%", "240 g of 0.25%", "to", "1%"], ["1%", "2%", "to", "5%"]],
    "drops": [["oil", "20 drops 0.50 g", "20 drops 0.60 g"], ["oil", "20 drops 0.50 g", "--json"], ["oil", "20 g"]],
    "needs": [["F-01: 250 g"], ["F-01: 250 g", "--json"], ["F-01: 250 g", "--csv"], ["F-01: 1 000 g"]],
    "record": [["F-01"], ["F-01", "--weighed", "gly: 6.3\u202fg"], ["X-01", "--weighed", "gly: 5 g"]],
    "shelf": [[], ["--json"]],
    "cost": [["F-01"], ["F-01", "--json"], ["F-01-2026-11-29"], ["X-01"], ["nothing"]],
    "trace": [["O 12"], ["O 12", "--json"], ["F-01-2026-11-29"], ["nothing"]],
    "start": [["{elsewhere}"], ["{book}"], ["{elsewhere}", "--balance", "1.5"]],
    "add": [["S-05", "Ten\u202fdrops"], ["F-01", "Again"], ["oil"], ["--missing"]],
    "compare": [["F-01", "X-01"], ["F-01", "X-01", "--json"], ["F-01@2", "X-01"]],
    "issue": [["F-01@2", "x"], ["X-02", "x"], ["F-01", ""]],
    "keep": [["--help"], ["F-01"], ["X-02"]],
    "hand-on": [["--help"], ["X-01"], ["F-01", "--to", "{elsewhere}.html"]],
    "rename": [["--help"], ["nothing", "F-09"], ["F-01", "oil"]],
    "bring": [["{elsewhere}"], ["{book}/nothing.csv"], ["{book}/nothing.csv", "--yes"]],
    "schema": [["formula"]],
}  # fmt: skip
"""Command → what it is asked, answered or refused."""


@pytest.fixture(scope="module")
def book(tmp_path_factory) -> Path:
    """Drops, volumes, weights, an error, a query, a formula that is barred, a title typed with a space of its own."""
    told = formula(
        "F-01", "water: to 100 g; gly: 5 mL; oil: 3 drops; oil-2: 0.004 g", "title: Ten\u202fdrops\npurpose: x"
    )
    folder = write_book(
        tmp_path_factory.mktemp("spaces"),
        {"first": told.replace("title: Formula F-01\n", ""), "wrong": formula("X-01", "water: 90.125 %; gly: 5 %")},
        {**MATERIALS, "oil-2": "density: 0.9 g/mL at 20 °C\nlots:\n  O 12: {amount: 1 kg, supplier: a\u202fmill}"},
    )
    (folder / "formulas" / "batches").mkdir()
    (folder / "formulas" / "batches" / "F-01-2026-11-29.md").write_text(
        "---\nbatch: F-01-2026-11-29\nof: F-01, issue 1\nmade: 2026-11-29\nobtain: 1 kg\n"
        "weighed:\n  oil-2: 0.04 g, lot O\u202f12\n  water: 993 mL\nfilled: 3 x 0.3 L\n---\n"
    )
    return folder


def test_every_command_is_asked():
    assert set(ANSWERS) == set(main.commands)


@pytest.mark.parametrize(("command", "asked"), [(name, asked) for name, each in ANSWERS.items() for asked in each])
def test_the_spaces_are_ordinary(book, tmp_path, command, asked):
    place = [] if command in ("schema", "start") else ["--book", str(book)]
    words = [word.replace("{elsewhere}", str(tmp_path / "out")).replace("{book}", str(book)) for word in asked]
    done = CliRunner(env=ON_THAT_DAY).invoke(main, [command, *words, *place])
    assert isinstance(done.exception, SystemExit | None), done.exception
    assert done.stdout + done.stderr
    assert [line for line in (done.stdout + done.stderr).splitlines() if FINER.search(line)] == []


def test_the_pages_keep_theirs(book, tmp_path):
    CliRunner().invoke(main, ["site", "--book", str(book), "--out", str(tmp_path / "out")])
    assert any(FINER.search(page.read_text(encoding="utf-8")) for page in (tmp_path / "out").rglob("*.html"))


def test_a_path_in_json_is_the_path_on_the_disk(tmp_path):
    book = write_book(tmp_path, {"a\u00a0b": "---\ncode: A\n---\n"})
    answer = json.loads(CliRunner().invoke(main, ["check", "--json", "--book", str(book)]).stdout)
    assert {one["path"] for one in answer["findings"]} == {"formulas/a\u00a0b.md"}
