"""The command: `python -m tests.mutation [--seed N] [--count K] [--only FILE[:LINE]] [--list]`, from the checkout.

Draws mistakes evenly over the files, says of each that no test notices where and what it is, and counts.  The first
run takes some minutes more, to see which test reaches what; `--reach FILE` keeps that for another run.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import re
import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from itertools import zip_longest
from pathlib import Path

from .points import Point, points
from .runs import prepare, reaching, record, survives

FILES = ("bookgen/units.py", "bookgen/source", "bookgen/reckon", "bookgen/wording")
"""What is mutated."""
TESTS = (
    *FILES,
    *("tests/test_units.py", "tests/test_show.py", "tests/test_decisive.py", "tests/test_check_values.py"),
    *("tests/test_official.py", "tests/test_kitchen.py", "tests/test_names.py"),
    *("tests/reckon", "tests/review", "tests/source", "tests/traps", "tests/wording"),
    *("tests/cli/test_statements.py", "tests/cli/test_needs.py", "tests/cli/test_dilution.py"),
    *("tests/cli/test_drops.py", "tests/cli/test_new.py", "tests/cli/test_terminal.py", "tests/cli/test_explain.py"),
)
"""The tests that concern it and are quick, the examples of its docstrings first."""
NUMBER = re.compile(r"[\d.]+ (becomes|is more)")
"""A mistake in a numeric constant, as it is called."""


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--seed", type=int, default=1, help="another number draws another sample")
    parser.add_argument("--count", type=int, default=150, help="how many mistakes; 0 for all")
    parser.add_argument("--only", action="append", metavar="FILE[:LINE]", help="this file or line alone")
    parser.add_argument("--tests", action="append", metavar="PATH", help="these tests instead of the quick ones")
    parser.add_argument("--within", type=float, default=15, metavar="SECONDS", help="of tests for each mistake")
    parser.add_argument("--reach", type=Path, metavar="FILE", help="where what reaches what is kept; made if missing")
    parser.add_argument("--constants", action="store_true", help="numbers alone, and no operator, condition or text")
    parser.add_argument("--list", action="store_true", help="only list what would be drawn")
    asked = parser.parse_args()
    drawn = draw(asked.only or FILES, asked.seed, asked.count, constants=asked.constants)
    if asked.list:
        print(*(f"{file}:{point.line}  {point.what}" for file, _, point in drawn), sep="\n")
        return 0
    with tempfile.TemporaryDirectory(prefix="mutation-") as ground:
        os.environ["PYTEST_DEBUG_TEMPROOT"] = os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = ground
        tests = asked.tests or TESTS
        prepare(tests)
        kept = asked.reach or Path(ground) / "reach.json"
        if not kept.exists():
            record(list(dict.fromkeys(file for file, _ in spots(FILES if not asked.only else asked.only))), tests, kept)
        return run(drawn, json.loads(kept.read_text("utf-8")), asked.within)


def spots(only: Sequence[str]) -> list[tuple[str, int | None]]:
    """Return the files asked for, each with its line or None."""
    found = list[tuple[str, int | None]]()
    for one in only:
        path, _, line = one.partition(":")
        files = sorted(Path(path).rglob("*.py")) if Path(path).is_dir() else [Path(path)]
        found += [(file.as_posix(), int(line) if line else None) for file in files]
    return found


def draw(only: Sequence[str], seed: int, count: int, *, constants: bool = False) -> list[tuple[str, int, Point]]:
    """Return file, number and point of a sample: a file after the other in turn, until there are enough."""
    columns = list[list[tuple[str, int, Point]]]()
    for file, line in spots(only):
        all_points = enumerate(points(ast.parse(Path(file).read_text("utf-8"))))
        column = [(file, number, point) for number, point in all_points if line in (None, point.line)]
        column = [one for one in column if NUMBER.match(one[2].what) or not constants]
        random.Random(f"{seed} {file}").shuffle(column)
        columns.append(column)
    random.Random(seed).shuffle(columns)
    turns = [one for turn in zip_longest(*columns) for one in turn if one is not None]
    return sorted(turns[: count or None], key=lambda one: one[:2])


def run(drawn: Sequence[tuple[str, int, Point]], reach: dict[str, list[tuple[str, float]]], within: float) -> int:
    """Make each mistake, print those that no test notices and the counts; 1 if there is one."""
    made, left = Counter[str](), Counter[str]()
    for file, number, point in drawn:
        made[file] += 1
        tests = reaching(file, point, reach, within)
        tree = ast.parse(Path(file).read_text("utf-8"))
        here = points(tree)[number]
        before = ast.unparse(here.statement)
        if tests and not survives(file, tree, here, tests, within):
            continue
        if not tests:
            here.make()
        left[file] += 1
        was, is_now = differing(before, ast.unparse(here.statement))
        print(f"{file}:{point.line}  {point.what}, tests: {len(tests)}\n    - {was}\n    + {is_now}", flush=True)
    print(*(f"{made[file]:5} {left[file]:5} left  {file}" for file in made), sep="\n")
    print(f"{sum(made.values())} mistakes, {sum(left.values())} that no test noticed")
    return 1 if left else 0


def differing(before: str, after: str, around: int = 50) -> tuple[str, str]:
    """Return two texts cut to what differs and some of what stands around it, each on one line."""
    common = alike(before, after)
    tail = max(0, alike(before[common:][::-1], after[common:][::-1]) - around)
    cut = [one[max(0, common - around) : len(one) - tail].split() for one in (before, after)]
    return " ".join(cut[0]), " ".join(cut[1])


def alike(first: str, second: str) -> int:
    """Return how many characters two texts have in common from their beginning."""
    return next((at for at, (one, other) in enumerate(zip(first, second, strict=False)) if one != other), len(first))


if __name__ == "__main__":
    sys.exit(main())
