"""Small books for tests, written as text: a folder is made, read, reckoned and reviewed like any other."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from struct import pack
from typing import Any
from zlib import compress, crc32

from click.testing import CliRunner

from bookgen.cli import main

TODAY = "2026-03-02"
ON_THAT_DAY = {"SOURCE_DATE_EPOCH": "1772409600"}
"""The environment of a command that is run on TODAY."""
ONE_BALANCE = "balances:\n  - {name: bench, readability: 0.01 g, capacity: 2000 g}\n"
MATERIALS = {
    "water": "density: 1\nwater: 100 %",
    "oil": "density: 0.9\ndrops:\n  dropper: 0.025 g\nsoluble: oil",
    "lactic-80": "contains:\n  lactic acid: 80 %\nwater: 20 %",
    "gly": "density: 1.26\nwater: 0 %",
    "a": "water: 0 %",
    "b": "water: 0 %",
    "c": "water: 0 %",
    "d": "water: 0 %",
}


def dot(shade: int) -> bytes:
    """Return a picture of one grey dot; two shades differ in no length."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return pack(">L", len(body)) + kind + body + pack(">L", crc32(kind + body))

    head, dots = pack(">LLBBBBB", 1, 1, 8, 0, 0, 0, 0), compress(bytes([0, shade]), 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", dots) + chunk(b"IEND", b"")


def formula(code: str, ingredients: str, *keys: str) -> str:
    """Return a formula's file; `ingredients` has its lines separated by semicolons, as have further keys."""
    lines = "\n".join(f"  {line.strip()}" for line in ingredients.split(";"))
    more = "".join(f"{key}\n" for key in keys)
    return f"---\ncode: {code}\ntitle: Formula {code}\nuse: intermediate\n{more}ingredients:\n{lines}\n---\n"


def write_book(
    folder: Path, formulas: Mapping[str, str], materials: Mapping[str, str] = MATERIALS, workroom: str = ONE_BALANCE
) -> Path:
    """Write a book's files; materials are given as the front matter below `name`."""
    (folder / "formulas" / "materials").mkdir(parents=True)
    (folder / "formulas" / "workroom.yaml").write_text(workroom, encoding="utf-8")
    for name, front in materials.items():
        text = f"---\nname: {name}\n{front}\n---\n"
        (folder / "formulas" / "materials" / f"{name}.md").write_text(text, encoding="utf-8")
    for name, text in formulas.items():
        (folder / "formulas" / f"{name}.md").write_text(text, encoding="utf-8")
    return folder


def run(book: Path, *arguments: str) -> tuple[int, dict[str, Any]]:
    """Run a command with `--json`; return its exit code and answer."""
    result = CliRunner(env=ON_THAT_DAY).invoke(main, [*arguments, "--json", "--book", str(book)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    answer: dict[str, Any] = json.loads(result.stdout)
    return result.exit_code, answer


def weigh(book: Path, code: str, obtain: str | None = None) -> dict[str, Any]:
    """Return the answer for a batch that must not be refused."""
    status, answer = run(book, "weigh", code, *(["--obtain", obtain] if obtain else []))
    assert status == 0, answer
    return answer


def check(book: Path) -> list[dict[str, Any]]:
    """Return the findings of a book."""
    return list(run(book, "check")[1]["findings"])


def errors(book: Path) -> list[str]:
    """Return the messages of the errors of a book."""
    return [one["message"] for one in check(book) if one["severity"] == "error"]


def column(answer: dict[str, Any], field: str) -> list[Any]:
    """Return one field of every line."""
    return [line[field] for line in answer["lines"]]
