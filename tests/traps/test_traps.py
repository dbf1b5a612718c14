"""Every trap is caught with one finding at its place, and its clean twin with none."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from bookgen.findings import Finding
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.source import RULES, book_from

from ..tables import table

HERE = Path(__file__).parent
CASES = sorted(folder for folder in (HERE / "cases").iterdir() if folder.is_dir())
SHELF = {
    path.relative_to(HERE / "shelf").as_posix(): path.read_bytes()
    for path in sorted((HERE / "shelf").rglob("*"))
    if path.is_file()
}
PLACELESS_RULES = {
    "no-book", "file-too-large", "link-out-of-book", "wrong-file-name", "duplicate-name", "nested-too-deep",
    "unreadable-batch",
}  # fmt: skip
"""Rules whose traps need a disk, several files or generated text: tests/source/ has them."""


def expected(case: Path) -> dict[str, Any]:
    """Return what the case expects."""
    return {
        "at": "formulas/trap.md",
        "severity": "error",
        **table(case / "expected.yaml"),
    }


@cache
def findings(case: Path, twin: str) -> tuple[Finding, ...]:
    """Read, reckon and review the shelf's book with the case's file in it."""
    at = expected(case)["at"]
    content = (case / f"{twin}{Path(at).suffix}").read_bytes()
    return review(reckon(book_from({**SHELF, at: content}))).findings


def test_there_are_cases() -> None:
    assert len(CASES) > 100


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_trap_has_one_finding_at_its_place(case: Path) -> None:
    wanted = expected(case)
    found = findings(case, "broken")
    assert [
        (one.rule, str(one.severity), one.place.path, one.place.line, one.place.column, one.message) for one in found
    ] == [(*(wanted[name] for name in ("rule", "severity", "at", "line", "column", "says")),)], "\n".join(
        map(str, found)
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_its_clean_twin_has_none(case: Path) -> None:
    assert [str(one) for one in findings(case, "clean")] == []


def test_no_sentence_of_the_parser_is_shown() -> None:
    """What is said of each trap is what its file expects, word for word: those words are looked at here."""
    for case in CASES:
        says = expected(case)["says"]
        for word in ("while scanning", "while parsing", "expected <", "token", "mapping", "scalar", "unicode string"):
            assert word not in says, f"{case.name}: {says}"
        assert says.endswith((".", "?", '"')), f"{case.name}: {says}"


def test_every_rule_of_reading_has_a_trap() -> None:
    trapped = {expected(case)["rule"] for case in CASES}
    assert set(RULES) - trapped == PLACELESS_RULES
    assert trapped - set(RULES) == set()
