"""Every sentence that is said is in the tables, with exactly its facts; every sentence in the tables is said."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter

import pytest

import bookgen
from bookgen.show import POINT
from bookgen.wording.saying import STYLES, written
from bookgen.wording.table import FAMILIES, SENTENCES

PACKAGE = Path(bookgen.__file__).parent
DIGITS = re.compile(r"and [1-9]|(percent )?([1-9] (decimals|figures)|(beside|above|apart) [a-z_]+)")
"""The styles that hold a number or the name of another hole."""


class Call:
    """One place where something is said."""

    def __init__(self, where: str, node: ast.Call) -> None:
        self.where = where
        self.keys = sorted(set(_constants(node.args[0]))) if len(node.args) == 1 else []
        self.facts = {one.arg or "**" for one in node.keywords}


def _constants(node: ast.expr) -> Iterator[str]:
    """Yield the names of sentences that an expression can be; it is a name, or one of two."""
    if isinstance(node, ast.IfExp):
        yield from _constants(node.body)
        yield from _constants(node.orelse)
    else:
        assert isinstance(node, ast.Constant), f"{ast.unparse(node)}: name the sentence where it is said"
        yield node.value


@cache
def calls_of(name: str) -> list[Call]:
    """Return every call of a function or method of that name, in the files that know the tables."""
    return [
        Call(f"{path.relative_to(PACKAGE.parent)}:{node.lineno}", node)
        for path, calls in calls_by_file().items()
        for node in calls
        if name in (getattr(node.func, "id", ""), getattr(node.func, "attr", ""))
    ]


@cache
def calls_by_file() -> dict[Path, list[ast.Call]]:
    """Return every call in the files that know the tables."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        if "wording.saying" not in text:
            continue
        nodes = [*ast.walk(ast.parse(text))]
        if any((node.module or "").endswith("wording.saying") for node in nodes if isinstance(node, ast.ImportFrom)):
            found[path] = [node for node in nodes if isinstance(node, ast.Call)]
    return found


def names_in(key: str) -> set[str]:
    return {name for _, name, write in written(key, POINT) if write is not None}


def test_what_is_said_is_a_sentence_of_the_tables_with_exactly_its_facts() -> None:
    wrong, said = [], calls_of("says")
    assert len(said) > 20
    for call in said:
        assert call.keys, f"{call.where}: name the sentence where it is said"
        for key in call.keys:
            if key not in SENTENCES:
                wrong.append(f"{call.where}: no sentence is called {key}")
            elif call.facts != names_in(key):
                wrong.append(f"{call.where}: {key} has the holes {sorted(names_in(key))}, not {sorted(call.facts)}")
    assert not wrong, "\n".join(wrong)


def test_every_sentence_is_said_somewhere() -> None:
    assert set(SENTENCES) - {key for call in calls_of("says") for key in call.keys} == {"told"}


def test_no_two_families_have_a_sentence_of_one_name() -> None:
    assert len(SENTENCES) == sum(len(family.SENTENCES) for family in FAMILIES)


def test_a_fact_that_is_changed_or_read_is_one_of_some_sentence() -> None:
    names = {name for key in SENTENCES for name in names_in(key)}
    assert all(call.facts <= names for call in calls_of("but"))
    assert all(set(call.keys) <= names for call in calls_of("fact"))


def test_every_hole_has_a_style_that_is_known() -> None:
    for key, sentence in SENTENCES.items():
        for _, name, style, conversion in Formatter().parse(sentence):
            assert conversion is None, key
            if name is None:
                continue
            assert name.isidentifier(), (key, name)
            assert style is not None, (key, name)
            if "/" in style:
                assert len(style.removeprefix("~").split("/")) == 2, (key, name, style)
            elif style not in STYLES:
                assert DIGITS.fullmatch(style), (key, name, style)
                where = {"all"} if style.startswith("percent ") else set()
                other = style.rpartition(" ")[2]
                known = {"decimals", "figures"} | names_in(key) | where
                assert style[-1].isdigit() or other in known, (key, name, style)


CUTS = frozenset({
    "replace", "removeprefix", "removesuffix", "partition", "rpartition", "split", "rsplit", "startswith", "endswith",
    "strip", "lstrip", "rstrip", "find", "index", "sub", "match", "search", "fullmatch", "lower", "casefold",
})  # fmt: skip
"""What reads a text or takes it apart."""


def _is_of_ours(node: ast.expr) -> bool:
    """Tell whether an expression is a sentence of ours in words."""
    if isinstance(node, ast.Subscript):
        return _is_of_ours(node.value)
    if isinstance(node, ast.Attribute):
        return node.attr in ("message", "reason") and not (
            isinstance(node.value, ast.Name) and node.value.id == "reason"
        )
    if not isinstance(node, ast.Call):
        return False
    if isinstance(node.func, ast.Attribute):
        return node.func.attr == "words" and (bool(node.args) or "says" in ast.unparse(node.func.value))
    return getattr(node.func, "id", "") == "str" and any(
        isinstance(one, ast.Attribute) and one.attr in ("says", "told") for one in node.args
    )


def read_again(tree: ast.Module) -> Iterator[ast.AST]:
    """Yield each place where a sentence of ours is read, cut or searched."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CUTS:
            if any(map(_is_of_ours, (node.func.value, *node.args))):
                yield node
        elif isinstance(node, ast.Compare) and any(isinstance(one, ast.In | ast.NotIn) for one in node.ops):
            if any(map(_is_of_ours, node.comparators)):
                yield node
        elif isinstance(node, ast.Subscript) and isinstance(node.slice, ast.Slice) and _is_of_ours(node.value):
            yield node


def test_no_sentence_of_ours_is_read_again() -> None:
    found = [
        f"{path.relative_to(PACKAGE.parent)}:{getattr(node, 'lineno', 0)}: {ast.unparse(node)}"
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in read_again(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "line",
    [
        "a.message.replace('x', 'y')",
        "one.reason.rstrip('.')",
        "'x' in finding.message",
        "told.words(signs).split(' ')",
        "str(one.says).partition(':')",
        "one.message[:3]",
        "_CUT.sub('', finding.message)",
    ],
)
def test_the_walk_sees_a_sentence_that_is_read_again(line: str) -> None:
    assert list(read_again(ast.parse(line)))
