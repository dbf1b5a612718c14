"""A file's bytes into its front matter and its body.

Every line ending becomes a line feed, so that lines are counted as an editor counts them.  What YAML alone would take
for a line ending (U+0085, U+2028, U+2029) and what cannot be printed becomes a space, one for one, so that columns
stay right.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from ..wording.saying import Saying, says
from .desk import Desk

LARGEST = 128 * 1024
"""Bytes of the largest file that is read; a formula of twelve lines with its method has about 3,000."""

_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufeff\ufffe\uffff]")
_BREAKS = str.maketrans("\u2028\u2029", "  ")
_OPEN = re.compile(r"(?:[ \t]*\n)*---[ \t]*(?:\n|$)")
_CLOSE = re.compile(r"^---[ \t]*$", re.MULTILINE)


class Text(NamedTuple):
    """A file, taken apart."""

    front: str
    front_line: int
    """The file's line on which the front matter begins."""
    body: str
    body_line: int
    """The file's line on which the body begins."""
    whole: bool
    """False when the front matter is missing or not closed."""


def decode(content: bytes, desk: Desk, largest: int = LARGEST) -> str | None:
    """Return the text of a file, or None when it cannot be read; findings go to the desk."""
    if len(content) > largest:
        desk.report("file-too-large", file_too_large(len(content), largest))
        return None
    if content[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        desk.report("unreadable-file", says("utf-16"), 1, 1)
        return None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        read = error.object  # without a byte order mark, as the offset counts
        before = read[: error.start].decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n")
        line = before.count("\n") + 1
        guess = read[error.start : error.start + 1].decode("cp1252", "replace")
        told = says("older-encoding", sign=guess) if guess.isalpha() else says("not-utf-8")
        desk.report("unreadable-file", told, line, len(before.split("\n")[-1]) + 1)
        return None
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.isascii() or not text.isprintable():
        text = _printable(text, desk)
    if text is not None and not text.strip():
        desk.report("empty-file", says("file-empty"), 1, 1)
        return None
    return text


def file_too_large(size: int, largest: int) -> Saying:
    """Return that a file of so many bytes is not read, and how large one may be."""
    return says("file-too-large", size=size // 1024, most=largest // 1024)


def _printable(text: str, desk: Desk) -> str:
    """Report the first character that cannot be printed and put a space for each."""
    match = _CONTROL.search(text)
    if match:
        line = text.count("\n", 0, match.start()) + 1
        column = match.start() - text.rfind("\n", 0, match.start())
        sign = match[0]
        if sign == "\0":
            desk.report("unreadable-file", says("nul"), line, column)
        else:
            desk.report("control-character", says("control-character", code=f"{ord(sign):04X}"), line, column)
        text = _CONTROL.sub(" ", text)
    if "\u2028" in text or "\u2029" in text:
        text = text.translate(_BREAKS)
    return text


def split_front(text: str, desk: Desk) -> Text:
    """Return the front matter between its lines `---` and the body below."""
    opened = _OPEN.match(text)
    if opened is None:
        desk.report("no-front-matter", says("no-front-matter"), 1, 1)
        return Text("", 1, text, 1, False)
    front_line = text.count("\n", 0, opened.end()) + 1
    closed = _CLOSE.search(text, opened.end())
    if closed is None:
        desk.report("unclosed-front-matter", says("front-open"), max(front_line - 1, 1), 1)
        return Text("", front_line, "", front_line, False)
    front = text[opened.end() : closed.start()]
    body = text[closed.end() + 1 :]
    return Text(front, front_line, body, text.count("\n", 0, closed.end()) + 2, True)
