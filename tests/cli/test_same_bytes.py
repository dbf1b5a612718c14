"""Same input, same bytes: whatever the folder, time zone, locale, day, order of hashing and number of cores."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from bookgen.press.render import ALONE
from tests.books_of_text import formula, write_book
from tests.pages.small_binder import listed
from tests.shared import BOOKS, CHECKOUT, DAY, site_of

from .conftest import environment

HERE = {"TZ": "UTC", "LC_ALL": "C", "PYTHONHASHSEED": "1", "SOURCE_DATE_EPOCH": "0"}
ELSEWHERE = {
    "TZ": "Pacific/Kiritimati", "LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR.UTF-8", "LANGUAGE": "tr",
    "PYTHONHASHSEED": "4711", "COLUMNS": "61", "PYTHONUTF8": "0", "SOURCE_DATE_EPOCH": "0",
}  # fmt: skip
"""Two environments, both on a day long past; the tests themselves run today."""


def files(folder: Path) -> dict[str, bytes]:
    return {one.relative_to(folder).as_posix(): one.read_bytes() for one in sorted(folder.rglob("*")) if one.is_file()}


def published(
    book: Path, out: Path, cwd: Path, cores: int | None = None, command: Sequence[str] = ("publish",), **more: str
) -> subprocess.Popen[str]:
    """Start publishing with an empty cache."""

    def on_so_many_cores() -> None:
        if cores is not None:
            os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[:cores])

    return subprocess.Popen(
        [sys.executable, "-m", "bookgen", *command, "--book", book, "--out", out],
        cwd=cwd, env=environment(XDG_CACHE_HOME=str(out.parent / f"cache of {out.name}"), **more),
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8", preexec_fn=on_so_many_cores,
    )  # fmt: skip


def finished(command: subprocess.Popen[str], code: int = 0) -> str:
    _, told = command.communicate(timeout=300)
    assert command.returncode == code, told
    return told


@pytest.mark.parametrize("name", BOOKS)
def test_another_folder_zone_locale_and_day(name, tmp_path, tmp_path_factory):
    """What the tests publish in this process, today, in the checkout, against a command elsewhere on another day; the
    page of the shelf is for the same day."""
    moved = tmp_path / "böcek İı" / "a book"
    for folder in ("formulas", "themes"):
        if (BOOKS[name] / folder).is_dir():
            shutil.copytree(BOOKS[name] / folder, moved / folder)
    there = published(moved, tmp_path / "there", moved, command=("site", "--today", DAY.isoformat()), **ELSEWHERE)
    here = site_of(name, tmp_path_factory)
    finished(there, code=int(name == "small"))  # it holds an error on purpose
    one, two = files(here), files(tmp_path / "there")
    assert {"index.html", ".gitignore"} <= set(one)
    assert list(one) == list(two)
    assert [path for path in one if one[path] != two[path]] == []
    places = [str(place).encode() for place in (tmp_path, here.parent, CHECKOUT)]
    assert [path for path, body in one.items() if any(place in body for place in places)] == []


def test_a_binder_anywhere_with_any_number_of_cores_and_a_warm_cache(tmp_path):
    few = {f"f{number}": formula(f"F-{number}", f"water: to {number + 50} g") for number in range(4)}
    book = write_book(tmp_path / "book", few, {"water": "water: 100 %"})
    moved = Path(shutil.copytree(book, tmp_path / "böcek İı" / "a book"))
    alone = published(moved, tmp_path / "alone", moved, cores=1, **ELSEWHERE)
    together = published(book, tmp_path / "together", tmp_path, **HERE)
    for one in (alone, together):
        finished(one)
    before = files(tmp_path / "together")
    assert len(listed(before["binder.pdf"])["leaves"]) > ALONE + 1, "fewer are printed by one process in any case"
    finished(published(book, tmp_path / "together", tmp_path, **HERE))
    assert files(tmp_path / "alone") == before == files(tmp_path / "together")
