"""The tools of the trade are content, and the files say nothing that they must not say.

A missing tool is a failure.  The patterns are put together from parts, so that this file does not match itself.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[1]
NOT_OURS = {
    ".git", ".venv", "venv", "build", "dist", "__pycache__", ".mypy_cache", ".pytest_cache", ".ruff_cache",
    ".hypothesis",
}  # fmt: skip
"""Folders that no commit holds, as .gitignore lists them."""


def committed() -> Iterator[tuple[str, str]]:
    """Every text file of the checkout, with its path; the output folder is left out."""
    for path in sorted(CHECKOUT.rglob("*")):
        parts = path.relative_to(CHECKOUT).parts
        if NOT_OURS & set(parts) or (parts[0] == "site" and path.name != ".gitignore") or not path.is_file():
            continue
        if any(part.endswith(".egg-info") for part in parts):
            continue
        try:
            yield path.relative_to(CHECKOUT).as_posix(), path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a picture, or a trap whose bytes are meant to be no text


def matches(pattern: str, text: str) -> list[str]:
    return [found[0] for found in re.finditer(pattern, text, re.IGNORECASE)]


@pytest.mark.parametrize(
    "arguments",
    [("mypy",), ("ruff", "check", "."), ("ruff", "format", "--check", ".")],
    ids=["mypy strict", "ruff check", "ruff format"],
)
def test_the_tool_is_content(arguments):
    """As a contributor runs it: with the cache of the checkout, where there is one."""
    done = subprocess.run(
        [sys.executable, "-m", *arguments], cwd=CHECKOUT, capture_output=True, encoding="utf-8", timeout=300
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_mypy_is_strict():
    text = (CHECKOUT / "pyproject.toml").read_text(encoding="utf-8")
    assert "strict = true" in text.partition("[tool.mypy]")[2].partition("[tool.ruff]")[0]
    loosened = [path for path, text in committed() if path.startswith("bookgen/") and "mypy: " in text]
    assert not loosened


HOSTS = "|".join(
    re.escape(name + "." + ending)
    for name, ending in (
        ("pypi", "org"), ("python" + "hosted", "org"), ("registry.npm" + "js", "org"), ("crates", "io"),
        ("conda" + "-forge", "org"), ("ana" + "conda", "org"), ("deb.deb" + "ian", "org")
    )
)  # fmt: skip
MACHINE = "|".join(rf"(?<![\w.]){'/'}{name}/" for name in ("work", "root", "tmp", "home/[a-z]"))
AUTHORS = "|".join(rf"\b{'|'.join(parts)}\b" for parts in (("clau" + "de",), ("chat" + "gpt",), ("co" + "pilot",),
                                                           ("open" + "ai",), ("anthro" + "pic",)))  # fmt: skip


@pytest.mark.parametrize(
    "pattern", [HOSTS, MACHINE, AUTHORS], ids=["hosts of registries", "paths of one machine", "programs that write"]
)
def test_no_file_names(pattern):
    assert re.search(HOSTS, "https://py" + "pi.org/simple")
    assert re.search(MACHINE, "see /wo" + "rk/here")
    found = [f"{path}: {word}" for path, text in committed() for word in matches(pattern, text)]
    assert not found, "\n".join(found)


UNFINISHED = rf"\b(?:{'TO' + 'DO'}|{'FIX' + 'ME'}|{'X' * 3})\b|NotImplemented" + "Error"
AVOIDING = ("sk" + "ip", "sk" + "ipif", "x" + "fail", "import" + "or" + "sk" + "ip")
AVOIDED = rf"\b(?:mark|pytest|unittest)\.(?:{'|'.join(AVOIDING)})\b"


def test_nothing_is_left_unfinished():
    assert re.search(UNFINISHED, "# TO" + "DO later")
    found = [
        f"{path}: {word[0]}"
        for path, text in committed()
        if path.endswith((".py", ".html", ".css", ".js", ".toml")) or path == ".ci/run"
        for word in re.finditer(UNFINISHED, text)
    ]
    assert not found, "\n".join(found)


def test_no_test_is_avoided():
    assert re.search(AVOIDED, "@pytest.mark.sk" + "ip")
    found = [f"{path}: {word}" for path, text in committed() if path.endswith(".py") for word in matches(AVOIDED, text)]
    assert not found, "\n".join(found)


VERDICT = r"\b(?:complies|compliant|is safe|are safe|is allowed|are allowed|safe to use)\b"


def test_no_sentence_of_the_program_is_a_verdict():
    """Law and licensed practice decide.  Docstrings are for contributors and may speak of it."""
    assert re.search(VERDICT, "this is safe")
    found = []
    for path in sorted((CHECKOUT / "bookgen").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
                found += [f"{path.name}:{node.lineno} {word}" for word in matches(VERDICT, node.value)]
    for path in (*(CHECKOUT / "themes").rglob("*.html"), *(CHECKOUT / "formulas").rglob("*.md")):
        found += [f"{path.name} {word}" for word in matches(VERDICT, path.read_text(encoding="utf-8"))]
    assert not found, "\n".join(found)


def test_files_stay_readable():
    """A file of the program stays below about 400 lines; the one definition of the data may be longer."""
    long = {
        path.relative_to(CHECKOUT).as_posix(): count
        for path in (CHECKOUT / "bookgen").rglob("*.py")
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > 480 and path.name != "model.py"
    }
    assert not long
