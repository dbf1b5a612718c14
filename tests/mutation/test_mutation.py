"""The mutation run, on a file of five lines: what is noticed, what is not, and what is no mistake at all."""

from __future__ import annotations

import ast
import os
import signal
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from .__main__ import draw
from .figures import changed, noticed_by
from .points import altered, points
from .runs import apart

TILLS = '''
def total(price: int, count: int) -> int:
    """Return 12 for 3 and 4."""
    if count > 10:
        return price * count - 1
    return price * count


def unused(price: int) -> str:
    return f"{price} coins"
'''
TESTS = """
from tills import total


def test_total():
    assert total(3, 4) == 12
    assert total(3, 20) == 59
"""
LEFT = """\
tills.py:4  Gt becomes GtE, tests: 1
    - if count > 10: return price * count - 1
    + if count >= 10: return price * count - 1
tills.py:4  10 becomes 11, tests: 1
    - if count > 10: return price * count - 1
    + if count > 11: return price * count - 1
tills.py:10  ' coins' altered, tests: 0
    - return f'{price} coins'
    + return f'{price} coinz'
   10     3 left  tills.py
10 mistakes, 3 that no test noticed
"""


def test_what_no_test_notices_is_reported(tmp_path: Path) -> None:
    (tmp_path / "tills.py").write_text(TILLS)
    (tmp_path / "test_tills.py").write_text(TESTS)
    run = subprocess.run(
        [sys.executable, "-m", "tests.mutation", "--only", "tills.py", "--tests", "test_tills.py", "--count", "0"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
    )
    assert (run.stdout, run.returncode) == (LEFT, 1), run.stderr
    assert (tmp_path / "tills.py").read_text() == TILLS


def test_constants_alone(tmp_path: Path) -> None:
    tills = tmp_path / "tills.py"
    tills.write_text(f"{TILLS}\n\nLESS = Fraction('0.05')\nPAID = True\n")
    drawn = [point.what for _, _, point in draw([str(tills)], 1, 0, constants=True)]
    assert drawn == ["10 becomes 11", "10 becomes 20", "1 becomes 2", "0.05 is more"]


def test_what_does_not_end_is_ended() -> None:
    def work() -> int:
        while True:
            pass

    assert apart(work, 0) == -signal.SIGXCPU


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ('"""A 1."""\nfrom a import b\n__all__ = ["1"]\nassert b(1)', []),
        ("@cache(1)\ndef f(a: int | None = None) -> C[1]: ...", []),
        ("if TYPE_CHECKING:\n    one = 1", []),
        ("all = zip(a, b, strict=True)", []),
        ("raise ValueError(f'{a} is wrong')", []),
        ("a = b is not c", ["IsNot becomes Is"]),
        ("a = b - 2", ["Sub becomes Add", "2 becomes 3", "2 becomes 4"]),
        ("def f():\n    if not a:\n        return 'twice'\n", ["early end dropped", "not dropped", "'twice' altered"]),
        ("a = {'name': '{count:one/two} x'}", ["'{count:one/two} x' altered", "{count:one/two} without its style"]),
        ("a = [b for b in c if d and any(b)]", ["condition dropped", "And becomes Or", "any becomes all"]),
        ("a = Fraction('0.05') if b else -c", ["choice turned round", "0.05 is more", "sign dropped"]),
    ],
)
def test_points_of_a_text(text: str, found: list[str]) -> None:
    assert [point.what for point in points(ast.parse(text))] == found


def test_a_sentence_is_reached_by_its_name() -> None:
    assert [point.block for point in points(ast.parse("SAID = {'name': '{a} x', 'other': 'y'}"))] == ["name", "other"]


def test_each_point_changes_its_statement() -> None:
    for number, point in enumerate(points(ast.parse(TILLS))):
        before = ast.unparse(point.statement)
        tree = ast.parse(TILLS)
        changed = points(tree)[number]
        changed.make()
        assert ast.unparse(changed.statement) != before
        compile(ast.fix_missing_locations(tree), "tills.py", "exec")


@pytest.mark.parametrize(("text", "other"), [("{n} g.", "{n} z."), ("z", "x"), ("{n}", "{n}?")])
def test_altered(text: str, other: str) -> None:
    assert altered(text) == other


@pytest.mark.parametrize(
    ("was", "becomes", "check"),
    [
        ("most: 7.34}", "most: 7.34}", ""),
        ("most: 7.34}", "most: 7.35}", "test_every_figure_is_that_of_the_second_copy"),
        ("pH most: 12.7}", "pH most: 12.6}", "test_every_figure_is_that_of_the_second_copy"),
        ("weighs: 65.380", "weighs: 65.480", "test_factors_are_those_of_an_independent_library"),
        ("times: 3}", "times: 2}", "test_how_often_a_form_holds_what_is_counted"),
        ("molar mass: 134.109", "molar mass: 134.119", "test_factors_are_those_of_an_independent_library"),
        ("molar mass: 524.862", "molar mass: 524.872", "test_molar_masses_are_those_of_an_independent_library"),
    ],
)
def test_a_changed_number_of_the_table_of_limits_is_noticed(was: str, becomes: str, check: str) -> None:
    text = files("bookgen.reference").joinpath("limits.yaml").read_text(encoding="utf-8")
    assert was in text
    assert noticed_by(text.replace(was, becomes)) == check


def test_how_a_number_is_changed() -> None:
    assert [list(changed(number)) for number in ("2.5", "106.42", "0.0015", "2")] == [
        ["5.0", "3.5"], ["212.84", "106.52"], ["0.0030", "0.0025"], ["4", "3"],
    ]  # fmt: skip
