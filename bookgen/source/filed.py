"""The record of what is in the binder: the one place that knows its format, reading and writing it alike.

    filed: 2026-11-25
    looks:
      4HCK-9XTW-33PN-FRM7: 'A5, both sides, 2 holes; theme workroom; WeasyPrint 70.0'
    leaves:
      - {code: S-02, title: 'Shaving splash', chapter: 'Waters', issue: 3, of: 2026-03-02, sheets: 2, content: …}

The same form travels inside a printed binder, without the day; a list of changes names there the state that it was
made against.  What a hand has changed is reported where it stands, and nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from hashlib import sha256

from ..findings import Severity, did_you_mean
from ..model import Filed, FiledLeaf
from ..units import Complaint
from ..wording.saying import Saying, says
from .desk import Desk
from .front import decode
from .tree import Branch, ListBranch, Node, TextLeaf, read_tree
from .values import read_date

RECORD = "formulas/filed.yaml"
LARGEST_RECORD = 4 * 1024 * 1024
"""Bytes of the largest record that is read; one of 2,500 leaves has about 600,000."""
ALPHABET = frozenset("34679CDFHJKMNPRTVWXY")
"""Letters of digests."""
CONTENT, LOOK, FIGURES = (3, 3, 5, 5), (4, 4, 4, 4), (4, 4)
"""How the letters of each digest are grouped; the first six of the content are the check code as it is printed."""

_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")
_HEAD = "# What is in the binder. `bookgen filed` writes this file and nothing else does: leave it as it is.\n"
WAY_OUT = says("record-way-out")

_Kept = Callable[[str], str]


# ── Writing ───────────────────────────────────────────────────────────────────────────────────────────────────────


def is_record(path: str) -> bool:
    """Return whether the record is meant by a file, however its name is written."""
    return path.lower().removesuffix(".yaml").removesuffix(".yml") == RECORD.removesuffix(".yaml")


def filed_text(filed: Filed) -> str:
    """Return the record as text; the same record makes the same text."""
    lines = [_HEAD]
    if filed.on:
        lines.append(f"filed: {filed.on}\n")
    if filed.against:
        lines.append(f"made against: {filed.against}\n")
    lines.append("looks:\n")
    lines += [f"  {grouped(look, LOOK)}: {_quoted(words)}\n" for look, words in _used_looks(filed)]
    lines.append("leaves:\n")
    lines += [f"  - {{{', '.join(_written(leaf))}}}\n" for leaf in filed.leaves]
    return "".join(lines)


def state_of(filed: Filed) -> str:
    """Return a digest of what is in the binder, whenever it was filed; empty where nothing is."""
    if not filed.leaves:
        return ""
    return sha256(filed_text(replace(filed, on="", against="")).encode()).hexdigest()[:16]


def grouped(letters: str, groups: Sequence[int]) -> str:
    """Return the letters of a digest in groups.

    >>> grouped("KX7M4X9CDFHJ3467", CONTENT)
    'KX7-M4X-9CDFH-J3467'
    """
    parts, at = [], 0
    for length in groups:
        parts.append(letters[at : at + length])
        at += length
    return "-".join(part for part in parts if part)


def _used_looks(filed: Filed) -> Iterator[tuple[str, str]]:
    """Yield the looks that leaves have, in the order of the binder, each once."""
    for look in dict.fromkeys(leaf.look for leaf in filed.leaves):
        yield look, filed.looks.get(look, "")


def _written(leaf: FiledLeaf) -> Iterator[str]:
    yield f"code: {leaf.code}"
    yield f"title: {_quoted(leaf.title)}"
    if leaf.chapter:
        yield f"chapter: {_quoted(leaf.chapter)}"
    if leaf.issue:
        yield f"issue: {leaf.issue}"
    if leaf.issued:
        yield f"of: {leaf.issued}"
    yield f"sheets: {leaf.sheets}"
    yield f"content: {grouped(leaf.content, CONTENT)}"
    yield f"look: {grouped(leaf.look, LOOK)}"
    if leaf.figures:
        yield f"figures: {grouped(leaf.figures, FIGURES)}"


def _quoted(text: str) -> str:
    """Return words in quotes on one line; what cannot be printed becomes a space, as everywhere in reading."""
    return f"'{_UNPRINTABLE.sub(' ', text).replace(chr(39), chr(39) * 2)}'"


# ── Reading ───────────────────────────────────────────────────────────────────────────────────────────────────────


def read_filed(content: bytes, desk: Desk) -> Filed:
    """Return the record; findings go to the desk, and with an error among them the record is not readable."""
    text = decode(content, desk, LARGEST_RECORD)
    if text is None:
        return Filed(readable=False, path=desk.path)
    top, whole = read_tree(text, 1, desk)
    if not whole:
        return Filed(readable=False, path=desk.path)
    read = _Reading(desk)
    found = read.keys(top, {"filed", "made against", "looks", "leaves"}, says("the-record"))
    day, looks = read.text(found.get("filed"), _day), read.looks(found.get("looks"))
    leaves = read.leaves(found.get("leaves"), looks, top)
    against = read.text(found.get("made against"), _digest)
    if any(finding.severity is Severity.ERROR for finding in desk.findings):
        return Filed(on=day, readable=False, path=desk.path)
    return Filed(on=day, against=against, looks=looks, leaves=leaves, path=desk.path)


class _Wrong(Exception):
    """A text is not what was written there."""

    def __init__(self, wanted: Saying) -> None:
        super().__init__(wanted)
        self.wanted = wanted
        """What is wanted there."""


class _Reading:
    """Reads the parts of one record, each problem told where it stands."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def keys(self, branch: Branch, wanted: set[str], where: Saying) -> dict[str, Node]:
        """Return key → value; unknown and repeated keys are reported."""
        found: dict[str, Node] = {}
        for leaf, node in branch.entries:
            if leaf.text in found:
                told = says("record-key-twice", where=where, key=leaf.text, way=WAY_OUT)
                self.desk.report("repeated-key", told, leaf.line, leaf.column)
            elif leaf.text not in wanted:
                hint = did_you_mean(leaf.text, wanted)
                told = says("record-key-unknown", name=leaf.text, owner=where, hint=hint, way=WAY_OUT)
                self.desk.report("unknown-key", told, leaf.line, leaf.column)
            else:
                found[leaf.text] = node
        return found

    def text(self, node: Node | None, kept: _Kept) -> str:
        """Return a text as it is kept; empty where there is none, or where it is wrong and reported."""
        if node is None:
            return ""
        if not isinstance(node, TextLeaf):
            self.desk.report("wrong-shape", says("record-value-wanted", way=WAY_OUT), node.line, node.column)
            return ""
        if node.broken:
            return ""
        if kept is _some and not node.text.strip():
            self.desk.report("unreadable-value", says("record-value-empty", way=WAY_OUT), node.line, node.column)
            return ""
        try:
            return kept(node.text)
        except _Wrong as wrong:
            told = says("record-value-wrong", text=node.text, wanted=wrong.wanted, way=WAY_OUT)
            self.desk.report("unreadable-value", told, node.line, node.column)
            return ""

    def looks(self, node: Node | None) -> dict[str, str]:
        """Return look → words."""
        found: dict[str, str] = {}
        if node is None or (isinstance(node, TextLeaf) and not node.text):
            return found
        if not isinstance(node, Branch):
            self.desk.report("wrong-shape", says("record-looks-wanted", way=WAY_OUT), node.line, node.column)
            return found
        for leaf, value in node.entries:
            look = self.text(leaf, _letters(LOOK))
            if look:
                found[look] = self.text(value, str)
        return found

    def leaves(self, node: Node | None, looks: Mapping[str, str], top: Branch) -> tuple[FiledLeaf, ...]:
        """Return the leaves, those that cannot be read left out and reported."""
        if not isinstance(node, ListBranch):
            if not (node is not None and node.broken):
                at = node or top
                self.desk.report("wrong-shape", says("record-leaves-wanted", way=WAY_OUT), at.line, at.column)
            return ()
        found: dict[str, FiledLeaf] = {}
        for item in node.items:
            leaf = self.leaf(item, looks)
            if leaf is None:
                continue
            if leaf.code in found:
                told = says("record-leaf-twice", code=leaf.code, way=WAY_OUT)
                self.desk.report("duplicate-name", told, item.line, item.column)
            found[leaf.code] = leaf
        return tuple(found.values())

    def leaf(self, item: Node, looks: Mapping[str, str]) -> FiledLeaf | None:
        """Return one leaf; None where it cannot be read."""
        if not isinstance(item, Branch):
            if not item.broken:
                self.desk.report("wrong-shape", says("record-leaf-wanted", way=WAY_OUT), item.line, item.column)
            return None
        before = len(self.desk.findings)
        found = self.keys(item, set(_LEAF), says("a-leaf"))
        read = {key: self.text(found.get(key), kept) for key, kept in _LEAF.items()}
        lacking = [key for key in _COMPULSORY if key not in found]
        if lacking and not item.broken:
            told = says("record-leaf-lacks", keys=tuple(lacking), way=WAY_OUT)
            self.desk.report("missing-key", told, item.line, item.column)
        if item.broken or any(node.broken for node in found.values()) or len(self.desk.findings) > before:
            return None
        if read["look"] not in looks:
            at = found["look"]
            self.desk.report("unreadable-value", says("record-look-unknown", way=WAY_OUT), at.line, at.column)
            return None
        return FiledLeaf(
            code=read["code"],
            title=read["title"],
            chapter=read["chapter"],
            issue=read["issue"],
            issued=read["of"],
            sheets=int(read["sheets"]),
            content=read["content"],
            look=read["look"],
            figures=read["figures"],
        )


def _some(text: str) -> str:
    """Keep a text that may not be empty."""
    return text


def _count(text: str) -> str:
    if not (text.isascii() and text.isdigit() and len(text) <= 15 and int(text)):
        raise _Wrong(says("count-wanted"))
    return str(int(text))


def _day(text: str) -> str:
    """Keep a whole day: that of filing."""
    found = _when(text)
    if len(found) != len("2026-03-02"):
        raise _Wrong(says("date-wanted"))
    return found


def _when(text: str) -> str:
    """Keep the date of an issue, of which a month or a year may be all that is known."""
    found = read_date(text)
    if isinstance(found, Complaint):
        raise _Wrong(says("date-wanted"))
    return found


def _digest(text: str) -> str:
    if len(text) != 16 or set(text) - set("0123456789abcdef"):
        raise _Wrong(says("digest-wanted"))
    return text


def _letters(groups: Sequence[int]) -> _Kept:
    def kept(text: str) -> str:
        letters = text.replace("-", "")
        if len(letters) != sum(groups) or not ALPHABET.issuperset(letters):
            raise _Wrong(says("letters-wanted", number=sum(groups)))
        return letters

    return kept


_LEAF: Mapping[str, _Kept] = {
    "code": _some, "title": str, "chapter": str, "issue": _count, "of": _when, "sheets": _count,
    "content": _letters(CONTENT), "look": _letters(LOOK), "figures": _letters(FIGURES),
}  # fmt: skip
"""Key of a leaf's line → what its text has to be."""
_COMPULSORY = ("code", "title", "sheets", "content", "look")
