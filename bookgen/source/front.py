"""A file's bytes into its front matter and its body.

Every line ending becomes a line feed, so that lines are counted as an editor counts them.  What YAML alone would take
for a line ending (U+0085, U+2028, U+2029) and what cannot be printed becomes a space, one for one, so that columns
stay right.
"""

from __future__ import annotations

import re
from typing import NamedTuple

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
        message = f"The file is {len(content) // 1024} kB long; more than {largest // 1024} kB is not read."
        desk.report("file-too-large", message)
        return None
    if content[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        desk.report("unreadable-file", "The file is UTF-16: save it as UTF-8.", 1, 1)
        return None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        read = error.object  # without a byte order mark, as the offset counts
        before = read[: error.start].decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n")
        line = before.count("\n") + 1
        guess = read[error.start : error.start + 1].decode("cp1252", "replace")
        maybe = f" (perhaps {guess} from an older encoding)" if guess.isalpha() else ""
        message = f"The file is not UTF-8{maybe}: save it as UTF-8."
        desk.report("unreadable-file", message, line, len(before.split("\n")[-1]) + 1)
        return None
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.isascii() or not text.isprintable():
        text = _printable(text, desk)
    if text is not None and not text.strip():
        desk.report("empty-file", "The file is empty.", 1, 1)
        return None
    return text


def _printable(text: str, desk: Desk) -> str:
    """Report the first character that cannot be printed and put a space for each."""
    match = _CONTROL.search(text)
    if match:
        line = text.count("\n", 0, match.start()) + 1
        column = match.start() - text.rfind("\n", 0, match.start())
        sign = match[0]
        if sign == "\0":
            desk.report("unreadable-file", "The file holds a NUL: it is not text, or was damaged.", line, column)
        else:
            message = f"The character U+{ord(sign):04X} cannot be printed: take it out."
            desk.report("control-character", message, line, column)
        text = _CONTROL.sub(" ", text)
    if "\u2028" in text or "\u2029" in text:
        text = text.translate(_BREAKS)
    return text


def split_front(text: str, desk: Desk) -> Text:
    """Return the front matter between its lines `---` and the body below."""
    opened = _OPEN.match(text)
    if opened is None:
        message = "The file has no front matter: begin it with a line `---`, the keys, and another line `---`."
        desk.report("no-front-matter", message, 1, 1)
        return Text("", 1, text, 1, False)
    front_line = text.count("\n", 0, opened.end()) + 1
    closed = _CLOSE.search(text, opened.end())
    if closed is None:
        message = "The front matter is not closed: put a line `---` below its last key."
        desk.report("unclosed-front-matter", message, max(front_line - 1, 1), 1)
        return Text("", front_line, "", front_line, False)
    front = text[opened.end() : closed.start()]
    body = text[closed.end() + 1 :]
    return Text(front, front_line, body, text.count("\n", 0, closed.end()) + 2, True)
