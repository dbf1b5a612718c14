"""What one worker of a test run makes, and all of them use."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Callable
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from bookgen.pipeline import Checked, check_book, publish

DAY = date(2026, 11, 30)
"""The day that the page of the shelf is made for."""
CHECKOUT = Path(__file__).parents[1]
BOOKS = {
    "demo": CHECKOUT,
    "official": CHECKOUT / "tests" / "books" / "official",
    "german": CHECKOUT / "tests" / "books" / "german",
    "small": CHECKOUT / "tests" / "pages" / "book",
}
"""The books that most tests look at; the small one has what an approved book has not: barred, withdrawn, findings."""


@cache
def checked(name: str) -> Checked:
    """Return one of the books, checked once in a process."""
    return check_book(BOOKS[name])


def shared_by_all(factory: pytest.TempPathFactory) -> Path:
    """Return the folder that all workers of this run share."""
    base = factory.getbasetemp()
    return (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "shared"


def made_once(folder: Path, make: Callable[[Path], object]) -> Path:
    """Return a folder, which the first worker that asks for it fills; the others wait.

    Where making it fails, it fails for each that asks: nothing half made is used.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / "made").exists():
            make(folder)
            (folder / "made").touch()
    return folder


def site_of(name: str, factory: pytest.TempPathFactory) -> Path:
    """Return the pages of one of the books, published once for all."""

    def make(folder: Path) -> None:
        publish(checked(name), folder / "site", binder=False, today=DAY)

    return made_once(shared_by_all(factory) / "sites" / name, make) / "site"
