"""Each case of care word for word: all that the check says of its little book, and where silence is right, nothing."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from bookgen.pipeline import check_book

from ..books_of_text import write_book
from ..tables import table
from . import test_dangers, test_limits

SAID: dict[str, list[str]] = table(Path(__file__).with_name("care.yaml"))
"""Case → severity, rule and sentence of each finding, by place."""
LIMITS = {
    f"{number}: {use}, {lines}": (use, lines, materials) for number, use, lines, materials, _ in test_limits.CASES
} | {f"silent: {lines}": (test_limits.LEAVE, lines, {}) for lines in test_limits.SILENT}
LIMITS["37: a soap"] = (
    test_limits.RINSE,
    "sodium hydroxide: q.s. for 5 % superfat; olive oil: 65 %",
    {
        "sodium hydroxide": "contains: {sodium hydroxide: 99 %}\nwater: 0 %",
        "olive oil": "soluble: oil\nwater: 0 %\nsaponification: 184 to 196 mg KOH/g",
    },
)


FINE = "balances:\n  - {name: fine, readability: 0.00001 g, capacity: 2000 g}\n"


def cosmetic(folder: Path, use: str, lines: str, materials: Mapping[str, str]) -> Path:
    """Write a book of a cosmetic whose lines are made up to 100 g; files are named as materials are, with hyphens."""
    use, _, purpose = use.partition("/")
    texts, body = {"water": "water: 100 %"}, []
    for line in lines.split(";"):
        name, _, amount = line.strip().partition(":")
        front = materials.get(name, "water: 0 %")
        front = front if "water:" in front else f"{front}\nwater: 0 %"
        texts[name.replace(" ", "-")] = front if "also:" in front else f"also: ['{name}']\n{front}"
        body.append(f"  {name.replace(' ', '-')}:{amount}")
    head = ["code: X", "title: X", "kind: cosmetic", f"use: {use}", "storage: refrigerator, 10 days"]
    head += [f"purpose: {purpose}"] if purpose else []
    text = "\n".join(["---", *head, "ingredients:", *body, "  water: to 100 g", "---", ""])
    return write_book(folder / "book", {"X": text}, texts, FINE)


def told(book: Path) -> list[str]:
    return [f"{said.severity.value} {said.rule}: {said.message}" for said in check_book(book).review.findings]


@pytest.mark.parametrize("case", LIMITS)
def test_a_case_of_the_limits_is_told_word_for_word(case: str, tmp_path: Path) -> None:
    assert told(cosmetic(tmp_path, *LIMITS[case])) == SAID.get(case, [])


@pytest.mark.parametrize("case", test_dangers.CASES)
def test_a_case_of_dangers_is_told_word_for_word(case: str, tmp_path: Path) -> None:
    head, lines, *_ = test_dangers.CASES[case]
    assert told(test_dangers.book_of(tmp_path, head, lines)) == SAID[case]


def test_every_sentence_is_of_a_case() -> None:
    assert SAID.keys() <= {*LIMITS, *test_dangers.CASES}
