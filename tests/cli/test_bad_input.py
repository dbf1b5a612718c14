"""Whatever a keeper's files hold, a command answers: no traceback, exit 0 to 3, nothing written elsewhere.

Mutants of a part of the demo book: lines deleted, doubled, swapped, cut short, words of one file pasted into another.
The random numbers are seeded, so that a failure comes back.
"""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main

CHECKOUT = Path(__file__).parents[2]
KEPT = ("workroom.yaml", "waters/", "stock/bench", "stock/marigold", "stock/orange", "powders/dry", "hands/after")
MUTANTS = 200
BLOCKS = 4


@pytest.fixture(scope="module")
def sources() -> dict[str, bytes]:
    """Files of the demo book: every form of line, and what these need."""
    root = CHECKOUT / "formulas"
    found = {path.relative_to(root).as_posix(): path.read_bytes() for path in sorted(root.rglob("*")) if path.is_file()}
    kept = {path: body for path, body in found.items() if path.startswith(KEPT)}
    words = b" ".join(kept.values())
    needed = {path: body for path, body in found.items() if path.startswith("materials/")}
    return kept | {path: body for path, body in needed.items() if Path(path).stem.encode() + b":" in words}


def mutated(body: bytes, other: bytes, chance: random.Random) -> bytes:
    """Return a file with one thing wrong."""
    lines = body.splitlines(keepends=True)
    at = chance.randrange(len(lines))
    match chance.randrange(12):
        case 0:
            del lines[at]
        case 1:
            lines.insert(at, lines[at])
        case 2:
            return b"".join(lines[:at])
        case 3:
            lines[at] = lines[at][: chance.randrange(len(lines[at]) + 1)]
        case 4:
            there = chance.randrange(len(lines))
            lines[at], lines[there] = lines[there], lines[at]
        case 5:
            lines[at] = chance.choice(other.splitlines(keepends=True))
        case 6:
            cut = chance.randrange(len(body) + 1)
            return body[:cut]
        case 7:
            lines[at] = b"  " + lines[at]
        case 8:
            lines[at] = lines[at].lstrip()
        case 9:
            odd = (
                b"\x00",
                b"\xff",
                b"\t",
                b": ",
                b"#",
                b"- ",
                b"{",
                b"[",
                b"'",
                b'"',
                b"&a ",
                b"*a",
                b"!!x ",
                b"\xe2\x80\xa8",
            )
            cut = chance.randrange(len(body) + 1)
            return body[:cut] + chance.choice(odd) + body[cut:]
        case 10:
            digits = [place for place in range(len(body)) if body[place : place + 1].isdigit()]
            cut = chance.choice(digits or [0])
            wrong = (b"", b"-1", b"0", b"9" * 14, b"9" * 40, b"1e9", b".", b",", b"1/3")
            return body[:cut] + chance.choice(wrong) + body[cut + 1 :]
        case _:
            word = chance.choice([b" %", b" g", b" mL", b" drops", b" parts", b"to ", b"q.s."])
            lines[at] = lines[at].replace(
                word, chance.choice([b" %", b" g", b" mL", b" drops", b" parts", b" to ", b""])
            )
    return b"".join(lines)


def run(*arguments: object) -> tuple[int, str, str]:
    result = CliRunner(env={"SOURCE_DATE_EPOCH": "0"}).invoke(main, [*map(str, arguments)])
    if not isinstance(result.exception, SystemExit | None):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.mark.parametrize("block", range(BLOCKS))
def test_a_mutant_is_answered(sources, tmp_path, block):
    names = sorted(sources)
    made = [name for name in names if not name.startswith("materials/")]
    failures, book = [], tmp_path / "book"
    for name, body in sources.items():
        (book / "formulas" / name).parent.mkdir(parents=True, exist_ok=True)
        (book / "formulas" / name).write_bytes(body)
    for number in range(block * MUTANTS // BLOCKS, (block + 1) * MUTANTS // BLOCKS):
        chance = random.Random(number)
        changed = {chance.choice(made), chance.choice(names)}
        for name in sorted(changed):
            mutant = mutated(sources[name], sources[chance.choice(names)], chance)
            (book / "formulas" / name).write_bytes(mutant)
        try:
            code, out, err = run("check", "--json", "--book", book)
            assert (code, err) in ((0, ""), (1, ""))
            found = json.loads(out)["findings"]
            assert code == any(one["severity"] == "error" for one in found)
            assert all(one["message"] and one["rule"] for one in found)
            if number % 3 == 0:
                code, out, err = run("weigh", chance.choice(["W-02", "H-02", "N-04", "P-02"]), "--book", book)
                assert (code, bool(out)) in ((0, True), (1, False), (2, False))
            if number % 16 == 0:
                code, out, err = run("site", "--book", book)
                assert code in (0, 1)
            assert {one.name for one in book.iterdir()} <= {"formulas", "site"}
        except Exception as reason:  # every kind of failure is gathered, with the mutant that showed it
            failures.append(f"mutant {number} ({', '.join(sorted(changed))}): {type(reason).__name__}: {reason}")
        for name in changed:
            (book / "formulas" / name).write_bytes(sources[name])
    assert not failures, "\n".join(failures)


@pytest.mark.parametrize(
    "entry",
    ["formulas/waters.md", "formulas/workroom.yaml", "formulas/.md", "formulas/a\udcff.md"],
    ids=["a folder called .md", "a folder for the workroom", "no name", "a name that is no text"],
)
def test_odd_entries(tmp_path, entry):
    (tmp_path / "formulas").mkdir()
    path = tmp_path / entry
    if entry.endswith(("waters.md", ".yaml")):
        path.mkdir()
    else:
        path.write_bytes(b"---\ncode: A-1\ntitle: A\ningredients:\n  water: to 100 g\n---\n")
    for arguments in (["check"], ["check", "--json"], ["site", "--out", tmp_path / "out"]):
        code, out, _ = run(*arguments, "--book", tmp_path)
        assert code in (0, 1)
        if "--json" in arguments:
            assert isinstance(json.loads(out)["findings"], list)
