"""Earlier issues: where they are kept, and a file as its next issue begins.

A file is changed as text, so that what stands in it stays byte for byte; what comes of it is read again, and has to be
the very same formula but for its number and its change log.  Pure: bytes enter, bytes leave.
"""

from __future__ import annotations

import re
from dataclasses import replace

from ..model import Formula
from ..wording.saying import Saying, says
from .amounts import tidy
from .blank import written
from .book import EARLIER, front_alone

_LINES = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+$")
_ENDING = re.compile(r"[\r\n]*$")


def path_of_earlier(code: str, issue: int) -> str:
    """Return where an earlier issue is kept, relative to the book's folder.

    >>> path_of_earlier("S-02", 3)
    'formulas/earlier/S-02-issue-3.md'
    """
    return f"formulas/{EARLIER}/{code}-issue-{issue}.md"


def next_issue(content: bytes, path: str, change: str, on: str, *, comma: bool) -> bytes | Saying:
    """Return a formula's file with its issue counted up and the change entered; a sentence where that would lose
    something.

    `change` is one line of words, `on` the ISO date of the issue; `comma` tells the book's decimal sign.
    """
    before = front_alone(path, content, comma)
    if before is None or not before.whole:
        return says("issue-unread", path=path)
    formula = before.formula
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        return says("issue-unread", path=path)
    lines = _LINES.findall(text)
    number = formula.issue + 1
    entry = f"{number}, {on}: {written(change)}"
    # From the bottom up, so that no place moves before it is used.
    edits = sorted(
        (_of_changes(formula, lines, before.closing, entry), _of_issue(formula, lines, number)), reverse=True
    )
    for at, took, put in edits:
        lines[at : at + took] = put
    after = "".join(lines).encode("utf-8")
    read = front_alone(path, after, comma)
    if read is None or not read.whole:
        return says("issue-by-hand", path=path, issue=number)
    logged = [entry for entry in read.formula.changes if entry.issue == number]
    same = replace(read.formula, issue=formula.issue, changes=formula.changes, places=formula.places) == formula
    others = tuple(entry for entry in read.formula.changes if entry.issue != number)
    is_right = (
        same
        and read.formula.issue == number
        and others == formula.changes
        and [(entry.on, entry.text) for entry in logged] == [(on, tidy(change))]
        and read.body == before.body
        and read.rules == before.rules
    )
    return after if is_right else says("issue-by-hand", path=path, issue=number)


Edit = tuple[int, int, list[str]]
"""Index of a line, how many lines go, what comes in their place."""


def _of_issue(formula: Formula, lines: list[str], number: int) -> Edit:
    place = formula.places.get("issue")
    if place is None:
        code = formula.places.get("code")
        at = code.line if code else 1
        return at, 0, [f"issue: {number}{_ending(lines[at - 1])}"]
    line, column = lines[place.line - 1], place.column - 1
    return place.line - 1, 1, [line[:column] + re.sub(r"\d+", str(number), line[column:], count=1)]


def _of_changes(formula: Formula, lines: list[str], closing: int, entry: str) -> Edit:
    """Enter it where the newest stands: on top, or below where the log runs downwards."""
    log = formula.changes
    if not log:
        end = _ending(lines[closing - 1]) or "\n"
        return closing - 1, 0, [f"changes:{end}", f"  {entry}{end}"]
    newest_first = log[0].issue >= log[-1].issue
    at = (log[0] if newest_first else log[-1]).place.line - 1
    indent = lines[at][: len(lines[at]) - len(lines[at].lstrip(" "))]
    put = [f"{indent}{entry}{_ending(lines[at])}"]
    if not newest_first:
        at += 1
        while at < closing - 1 and lines[at].startswith(f"{indent} "):
            at += 1
    return at, 0, put


def _ending(line: str) -> str:
    found = _ENDING.search(line)
    return found[0] if found else ""
