"""A value has a longest length, told where it stands; no sentence quotes more than a line of what was typed."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from bookgen.findings import Finding
from bookgen.source import book_from, read_obtain
from bookgen.source.tree import LONGEST_TEXT
from bookgen.wording.saying import LONGEST_NAME

from ..books_of_text import formula

LONG = ("." * 16000, "[" * 16000, "1," * 8000, "1 + " * 4000, "x" * 16000, "5 g of " * 2000, "½" * 5000)
KEYS = (
    "code", "kind", "status", "issue", "use", "purpose", "makes", "part", "density", "yield", "pH", "appearance",
    "equipment", "container", "hazards", "storage", "source",
)  # fmt: skip
LONGEST_MESSAGE = 300
"""Characters of a sentence, whatever was typed: a few lines."""
TRAPS = Path(__file__).parents[1] / "traps" / "cases"


def findings(front: str) -> tuple[Finding, ...]:
    return book_from({"formulas/f.md": f"---\n{front}---\n".encode()}).findings


@pytest.mark.parametrize("value", LONG, ids=lambda value: value[:4])
@pytest.mark.parametrize("key", KEYS)
def test_a_value_that_is_too_long_is_told_and_not_read(key: str, value: str) -> None:
    for text in (value, value[: LONGEST_TEXT - 1]):
        code = "" if key == "code" else "code: F\n"
        found = findings(f"{code}title: F\n{key}: '{text}'\ningredients:\n  a: 1 g\n")
        prose = key in {"purpose", "appearance", "container", "hazards", "source", "equipment"}
        wanted = [] if prose and len(text) <= LONGEST_TEXT else ["value-too-long"]
        assert [one.rule for one in found if one.rule != "bad-name"] == wanted, found
        assert all(len(one.message) <= LONGEST_MESSAGE + LONGEST_NAME for one in found)


@pytest.mark.parametrize("value", LONG, ids=lambda value: value[:4])
def test_a_line_that_is_too_long_is_told_and_not_read(value: str) -> None:
    for line in (f"a: '{value}'", f"a: '{value[:3000]}'", f"a: {{amount: '{value[:3000]}'}}", f"'{value[:500]}': 5 g"):
        found = findings(f"code: F\ntitle: F\ningredients:\n  {line}\n  b: 1 g\n")
        assert [one.rule for one in found] == ["value-too-long"], found


def test_no_sentence_is_longer_than_a_few_lines() -> None:
    long = "y" * 3000
    for front in (
        f"code: F\ntitle: '{long}'\nmake: 1\ningredients:\n  a: 1 g\n",
        f"code: F\ntitle: F\n'{long}': 1\ningredients:\n  a: 1 g\n",
        f"code: F\ntitle: F\nstatus: {long[:200]}\nmakes: {long[:200]}\ningredients:\n  a: 1 {long[:90]}\n",
        f"code: F\ntitle: F\ningredients:\n  a: 1 g\n  b {long}\n",
    ):
        found = findings(front)
        assert found
        assert all(len(one.message) <= LONGEST_MESSAGE + LONGEST_NAME + 20 for one in found), found
        assert all("y" * 61 not in one.message for one in found)


def test_a_batch_that_is_too_long_is_refused() -> None:
    found = read_obtain("." * 100_000)
    assert isinstance(found, Finding)
    assert "100000 characters long" in found.message


BITS = (
    *(one.encode() for one in (
        "\n", " ", ":", ",", "'", '"', "{", "}", "[", "]", "#", "- ", "\t", "\\", "|", ">", "&", "*", "!", "%", "1,000",
        "½", "0", "---\n", "\u2028", "\ufeff", "\r", "A:", "  ", "  months", "\n body",
    )),
    b"\x85", b"\xff",
)  # fmt: skip


def changed(text: bytes, rng: random.Random) -> bytes:
    """Return a file with a few mistakes of the hand or of a disk."""
    found = bytearray(text)
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(found) + 1)
        if rng.random() < 0.7:
            found[at:at] = rng.choice(BITS)
        else:
            del found[at : at + rng.randint(1, 12)]
    return bytes(found)


def beyond(content: bytes) -> list[str]:
    """Return the findings of a file whose place lies outside of its lines."""
    text = content.decode("utf-8-sig", "replace").replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    return [
        str(one)
        for one in book_from({"formulas/f.md": content}).findings
        if one.place.line > len(lines) or (one.place.line and one.place.column > len(lines[one.place.line - 1]) + 1)
    ]


def test_every_place_lies_within_its_line() -> None:
    rng = random.Random(7)
    files = [path.read_bytes() for path in sorted(TRAPS.glob("*/*.md"))]
    wrong = [told for _ in range(1500) for told in beyond(changed(rng.choice(files), rng))]
    assert wrong == []


@pytest.mark.parametrize(
    ("content", "place"),
    [
        (b"\xef\xbb\xbf---\ncode: \xfc\n", (2, 7)),
        (b"---\ncode: \xfc\n", (2, 7)),
        (b"---\ncode: F\ntitle: F\nstorage: cupboard,\n a box for the\n months\n---\n", (4, 10)),
    ],
)
def test_a_place_behind_a_mark_or_in_a_folded_value(content: bytes, place: tuple[int, int]) -> None:
    found = book_from({"formulas/f.md": content}).findings
    assert (found[0].place.line, found[0].place.column) == place
    assert beyond(content) == []


def test_the_name_of_an_ingredient_has_up_to_a_hundred_characters() -> None:
    def told(length: int) -> list[str]:
        text = formula("F-1", f"{'n' * length}: to 100 g")
        return [one.message for one in book_from({"formulas/f.md": text.encode()}).findings]

    assert told(100) == []
    assert told(101) == ["Formula F-1, line 6: ingredients: this is 101 characters long, and up to 100 are read."]
