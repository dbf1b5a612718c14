"""The finished binders, each made once for all workers of a test run, with an empty cache."""

from __future__ import annotations

import fcntl
import os
import shutil
from functools import cache
from pathlib import Path

import pytest

from bookgen.pipeline import check_book, publish

from .conftest import BOOKS
from .readback import ReadBack

BOUND = ("demo", "official", "small", "small, one side")


def bound(name: str, factory: pytest.TempPathFactory) -> ReadBack:
    """Return the binder of a book; `small, one side` is the small one with `duplex: no`."""
    base = factory.getbasetemp()
    return _read(name, base.parent if "PYTEST_XDIST_WORKER" in os.environ else base)


@cache
def _read(name: str, base: Path) -> ReadBack:
    place = base / "binders" / name.replace(", ", "-").replace(" ", "-")
    place.mkdir(parents=True, exist_ok=True)
    book, site = BOOKS.get(name, place / "book"), place / "site"
    with (place / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (site / "binder.pdf").exists():
            if name not in BOOKS:
                shutil.rmtree(book, ignore_errors=True)
                shutil.copytree(BOOKS["small"], book)
                with (book / "formulas" / "workroom.yaml").open("a", encoding="utf-8") as room:
                    room.write("duplex: no\n")
            with pytest.MonkeyPatch.context() as patch:
                patch.setenv("XDG_CACHE_HOME", str(place / "cache"))
                done = publish(check_book(book), site, site=False)
            assert done.problems == ()
    return ReadBack(site / "binder.pdf", name=name, book=book)
