"""The finished binders, each made once for all workers of a test run, with an empty cache."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import pytest

from bookgen.pipeline import check_book, publish

from ..shared import made_once, shared_by_all
from .conftest import BOOKS, leaves_set_once
from .readback import ReadBack

BOUND = ("demo", "official", "small", "small, one side")


def bound(name: str, factory: pytest.TempPathFactory) -> ReadBack:
    """Return the binder of a book; `small, one side` is the small one on A4 with `duplex: no`."""
    return _read(name, shared_by_all(factory))


@cache
def _read(name: str, shared: Path) -> ReadBack:
    def make(place: Path) -> None:
        if name not in BOOKS:
            shutil.rmtree(place / "book", ignore_errors=True)
            shutil.copytree(BOOKS["small"], place / "book")
            room = place / "book" / "formulas" / "workroom.yaml"
            said = room.read_text(encoding="utf-8")
            assert "paper: A5\n" in said
            room.write_text(said.replace("paper: A5\n", "paper: A4\nduplex: no\n"), encoding="utf-8")
        with leaves_set_once(shared), pytest.MonkeyPatch.context() as patch:
            patch.setenv("XDG_CACHE_HOME", str(place / "cache"))
            done = publish(check_book(BOOKS.get(name, place / "book")), place / "site", site=name == "small")
        assert done.problems == ()

    place = made_once(shared / "binders" / name.replace(", ", "-").replace(" ", "-"), make)
    return ReadBack(place / "site" / "binder.pdf", name=name, book=BOOKS.get(name, place / "book"))
