"""One small book for the commands, and commands as processes of their own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.books_of_text import MATERIALS, ONE_BALANCE, formula, write_book

CHECKOUT = Path(__file__).parents[2]
Command = Callable[..., "subprocess.CompletedProcess[str]"]

LOTION = """---
code: L-01
title: Plain lotion
kind: cosmetic
status: approved
use: leave-on, hands, adults
makes: 100 g
ingredients:
  A, warm to 70 °C:
    water: to 100 g
    gly: 5 %, humectant
  B, below 40 °C:
    S-01: 20 %
    oil: 2 drops, scent
storage: refrigerator, 5 days
---

## Method

1. Stir [the glycerol](amount:gly) into [the water](amount:water), then [the stock](amount:S-01)
   and [the oil](amount:oil).
"""


def environment(**more: str) -> dict[str, str]:
    """The environment of a command: the one here, with this checkout's bookgen, and nothing about dates or width."""
    kept = {name: value for name, value in os.environ.items() if name not in ("SOURCE_DATE_EPOCH", "COLUMNS")}
    return {**kept, "PYTHONPATH": str(CHECKOUT), **more}


@pytest.fixture(scope="session")
def cache(tmp_path_factory) -> Path:
    """A cache that the commands of this session share."""
    return Path(tmp_path_factory.mktemp("cache"))


@pytest.fixture
def bookgen(cache, tmp_path) -> Command:
    """Run `bookgen …` as a process in an empty folder; keywords go into its environment."""

    def run(*arguments: object, cwd: Path = tmp_path, **more: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "bookgen", *map(str, arguments)],
            cwd=cwd,
            env=environment(**{"XDG_CACHE_HOME": str(cache), **more}),
            capture_output=True,
            encoding="utf-8",
            timeout=120,
        )

    return run


@pytest.fixture
def book(tmp_path) -> Path:
    """A sound book, one formula that is barred, one that uses it, one withdrawn."""
    return write_book(
        tmp_path / "book",
        {
            "lotion": LOTION,
            "stock": formula("S-01", "water: 9 parts; gly: 1 part", "status: approved"),
            "wrong": formula("X-01", "water: 90 %; gly: 5 %"),
            "user": formula("X-02", "X-01: 50 %; water: to 100 g"),
            "old": formula("O-01", "water: to 100 g", "status: withdrawn"),
        },
        MATERIALS | {"gly": MATERIALS["gly"] + "\nhazards:\n  - the floor gets slippery, so wipe spills up"},
        ONE_BALANCE,
    )


@pytest.fixture
def sound(tmp_path) -> Path:
    """A book without an error."""
    stock = formula("S-01", "water: 9 parts; gly: 1 part", "status: approved")
    return write_book(tmp_path / "sound", {"lotion": LOTION, "stock": stock})
