"""Front matter into a tree whose every text knows where it stands.

YAML is read as events, before anything is composed or guessed: `no`, `012` and `1:30` stay what was written, and a
tag, an anchor or an alias is refused where it stands.  The tree is built without recursion.  A mistake ends the
reading of this front matter; what stands above it is kept.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from ..wording.saying import says
from .desk import Desk
from .mistakes import explain_yaml
from .quotes import in_quotes, quoted

DEEPEST = 8
"""Levels of keys and lists; the format itself needs five."""

LONGEST_TEXT = 4000
"""Characters of the longest text in a front matter; more is a page, and belongs below it."""

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class TextLeaf:
    """One text, as written."""

    __slots__ = ("broken", "column", "line", "plain", "remark", "spans", "text")

    def __init__(self, text: str, line: int, column: int, *, plain: bool = True, spans: bool = False) -> None:
        self.text = text
        self.spans = spans
        """True when it runs over several lines."""
        self.line = line
        self.column = column
        self.plain = plain
        """False when it stands in quotes or in a block."""
        self.broken = False
        """True when a finding already says that it was cut."""
        self.remark: tuple[int, int] | None = None
        """Line and column of a remark (` # …`) behind it, perhaps below its first line; None when there is none."""


class _Cut:
    """A value inside { } that commas have cut: its pieces, and where the first comma stands."""

    __slots__ = ("column", "line", "pieces", "value")

    def __init__(self, value: TextLeaf, line: int, column: int) -> None:
        self.value = value
        self.pieces = [value.text]
        self.line = line
        self.column = column


class Branch:
    """Keys with their values, in order; a repeated key stands there twice."""

    __slots__ = ("broken", "column", "cuts", "entries", "flow", "key", "line")

    def __init__(self, line: int, column: int, *, flow: bool = False) -> None:
        self.entries: list[tuple[TextLeaf, Node]] = []
        self.line = line
        self.column = column
        self.flow = flow
        """True inside { }."""
        self.broken = False
        """True when a mistake, which is reported, ended the reading inside of it."""
        self.key: TextLeaf | None = None
        """While reading: the key whose value comes next."""
        self.cuts: list[_Cut] = []
        """Values that a comma has cut in pieces, inside { }."""


class ListBranch:
    """A list."""

    __slots__ = ("broken", "column", "flow", "items", "line")

    def __init__(self, line: int, column: int, *, flow: bool = False) -> None:
        self.items: list[Node] = []
        self.flow = flow
        """True inside [ ]."""
        self.broken = False
        """True when a mistake, which is reported, ended the reading inside of it."""
        self.line = line
        self.column = column


Node = TextLeaf | Branch | ListBranch


def is_empty(node: Node) -> bool:
    """Return whether nothing is written there; `""` in quotes counts as nothing too."""
    return isinstance(node, TextLeaf) and not node.text.strip() and not node.broken


class _Stop(Exception):
    """Ends the reading of a front matter after its finding is raised."""


def read_tree(text: str, first_line: int, desk: Desk) -> tuple[Branch, bool]:
    """Return the tree of a front matter and whether all of it was read.

    `first_line` is the line of the file, counted from 1, on which the text begins.  Findings go to the desk.
    """
    root: list[Node] = []
    stack: list[Branch | ListBranch] = []
    whole = True
    try:
        _build(text, first_line, desk, root, stack)
    except _Stop:
        whole = False
        _spoil(root, stack)
    except yaml.YAMLError as error:
        whole = False
        _spoil(root, stack)
        rule, told, line, column = explain_yaml(text, error)
        desk.report(rule, told, line + first_line, column + 1)
    if not root:
        return Branch(first_line, 1), whole
    top = root[0]
    if isinstance(top, Branch):
        return top, whole
    if whole and not is_empty(top):
        hint = re.match(r"([^\s:]+):(\S.*)", top.text) if isinstance(top, TextLeaf) else None
        if hint:
            told = says("space-missing", text=hint[0], key=hint[1], value=hint[2])
            desk.report("missing-space", told, top.line, top.column + len(hint[1]))
        else:
            desk.report("wrong-shape", says("keys-wanted"), top.line, 1)
        whole = False
    return Branch(first_line, 1), whole


def _spoil(root: list[Node], stack: list[Branch | ListBranch]) -> None:
    """Mark what a mistake ended: the open keys and lists, and the last text when it runs over several lines.

    Such a text may have swallowed the mistake, so nothing more is said about it.
    """
    for open_one in stack:
        open_one.broken = True
    last = stack[-1] if stack else None
    if isinstance(last, Branch):
        node = last.entries[-1][1] if last.entries and last.key is None else None
    else:
        node = last.items[-1] if last is not None and last.items else (root[0] if root and not stack else None)
    if isinstance(node, TextLeaf):
        node.broken = node.broken or node.spans


def _build(text: str, first_line: int, desk: Desk, root: list[Node], stack: list[Branch | ListBranch]) -> None:
    """Fill `root` from the events; what is open (`stack`) when an event fails stays as far as it came."""
    lines = text.split("\n")
    remarks = "#" in text
    scalar_event, mapping_start, row_start = yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent
    mapping_end, row_end = yaml.MappingEndEvent, yaml.SequenceEndEvent
    next_event = _LOADER(text).get_event  # as yaml.parse does, without a generator between
    while (event := next_event()) is not None:
        kind = type(event)
        if kind is mapping_end or kind is row_end:
            ended = stack.pop()
            if isinstance(ended, Branch) and ended.cuts:
                _report_cuts(ended, desk)
            continue
        node: Node
        if kind is scalar_event:
            start = event.start_mark
            at = start.line
            plain, spans = not event.style, event.end_mark.line > at
            node = TextLeaf(event.value, at + first_line, start.column + 1, plain=plain, spans=spans)
            if len(node.text) > LONGEST_TEXT:
                told = says("text-too-long", length=len(node.text), most=LONGEST_TEXT)
                desk.report("value-too-long", told, node.line, node.column)
                node.text, node.broken = node.text[:LONGEST_TEXT], True
            if not plain and "\\" in lines[at]:
                _refuse_control(node, desk)
            if event.anchor is not None or event.tag is not None:
                _refuse_mark(node, lines[start.line][start.column :], desk)
            if remarks:
                _look_for_remark(node, event, lines, desk)
        elif kind is mapping_start or kind is row_start:
            start = event.start_mark
            line, column = start.line + first_line, start.column + 1
            if event.anchor is not None or event.tag is not None:
                _refuse_mark(TextLeaf("", line, column), lines[start.line][start.column :], desk)
            if len(stack) >= DEEPEST:
                desk.report("nested-too-deep", says("nested-too-deep", most=DEEPEST), line, column)
                raise _Stop
            node = (Branch if kind is mapping_start else ListBranch)(line, column, flow=bool(event.flow_style))
        elif kind is yaml.AliasEvent:
            start = event.start_mark
            _refuse_mark(
                TextLeaf("", start.line + first_line, start.column + 1), lines[start.line][start.column :], desk
            )
            raise _Stop
        elif kind is yaml.StreamEndEvent:
            return
        else:
            continue
        _put(node, stack, root, lines, first_line, desk)
        if kind is not scalar_event:
            stack.append(node)  # type: ignore[arg-type]  # no TextLeaf: it is the node just made above


def _put(
    node: Node, stack: list[Branch | ListBranch], root: list[Node], lines: list[str], first_line: int, desk: Desk
) -> None:
    """Hang the node below the innermost open one."""
    if not stack:
        if not root:
            root.append(node)
        return
    top = stack[-1]
    if isinstance(top, ListBranch):
        top.items.append(node)
    elif top.key is None:
        if not isinstance(node, TextLeaf):
            desk.report("wrong-shape", says("key-is-text"), node.line, node.column)
            raise _Stop
        top.key = node
    else:
        key, top.key = top.key, None
        if top.flow and isinstance(node, TextLeaf) and node.plain and not node.text and top.entries:
            _cut(top, key, lines[key.line - first_line], desk)
            return
        top.entries.append((key, node))


def _cut(branch: Branch, key: TextLeaf, line: str, desk: Desk) -> None:
    """Note a key without a value inside { }: a comma has cut the value before it in two."""
    before = branch.entries[-1][1]
    if line[key.column - 1 + len(key.text) :].lstrip().startswith(":") or not isinstance(before, TextLeaf):
        desk.report("cut-at-comma", says("value-lacking", key=key.text), key.line, key.column)
        return
    if not branch.cuts or branch.cuts[-1].value is not before:
        comma = line.rfind(",", 0, key.column - 1)
        before.broken = True
        branch.cuts.append(_Cut(before, key.line, comma + 1 if comma >= 0 else key.column))
    branch.cuts[-1].pieces.append(key.text)


_DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_TWO_READINGS = re.compile(r"(?<![0-9.,])[1-9][0-9]{0,2},[0-9]{3}(?![0-9])")


def _report_cuts(branch: Branch, desk: Desk) -> None:
    """Report each value that commas have cut, whole, with how it is read."""
    for cut in branch.cuts:
        value = cut.pieces[0]
        for piece in cut.pieces[1:]:
            value += f"{',' if value[-1:].isdigit() and piece[:1].isdigit() else ', '}{piece}"
        told = says("cut-in-braces", quotes=in_quotes(value))
        if not desk.comma and _DECIMAL_COMMA.search(value):
            pointed = _DECIMAL_COMMA.sub(".", value)
            other = _DECIMAL_COMMA.sub("", value) if _TWO_READINGS.search(value) else quoted(value)
            if ", " in pointed:
                pointed = quoted(pointed)
                other = other if other[:1] in "\"'" else quoted(other)
            told = says("cut-decimal", pointed=pointed, other=other)
        desk.report("cut-at-comma", told, cut.line, cut.column)


_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")


def _refuse_control(leaf: TextLeaf, desk: Desk) -> None:
    """Refuse a sign that cannot be printed and was written with a backslash in "…"."""
    if _CONTROL.search(leaf.text):
        desk.report("needs-quotes", says("backslash"), leaf.line, leaf.column)
        leaf.text, leaf.broken = _CONTROL.sub(" ", leaf.text), True


def _refuse_mark(leaf: TextLeaf, source: str, desk: Desk) -> None:
    """Refuse a tag, an anchor or an alias and stop."""
    sign = source[:1] or "!"
    desk.report("yaml-mark", says("yaml-mark", sign=sign), leaf.line, leaf.column)
    raise _Stop


_DECORATION = re.compile(r"#(?:[\s#=~*─-]|$)")


def _look_for_remark(leaf: TextLeaf, event: Any, lines: list[str], desk: Desk) -> None:
    """Note a remark behind a text; report it when it looks as if it belonged to the text (` #3`)."""
    end = event.end_mark
    if not leaf.plain or end.line >= len(lines):
        return
    line = lines[end.line]
    behind = line[end.column :]
    remark = behind.lstrip(" \t:")
    if not remark.startswith("#"):
        return
    column = len(line) - len(remark) + 1
    if behind.lstrip(" \t").startswith(":"):
        return  # a key; its value is looked at by itself
    line_of_it = leaf.line + end.line - event.start_mark.line
    leaf.remark = line_of_it, column
    if _DECORATION.match(remark):
        return
    word = remark.split()[0]
    if leaf.text:
        desk.query("swallowed-comment", says("remark-behind", word=word), line_of_it, column)
    else:
        leaf.broken = True
        desk.report("swallowed-comment", says("remark-alone", word=word), line_of_it, column)
