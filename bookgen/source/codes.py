"""Codes and file names: of formulas, of their issues, of materials."""

from __future__ import annotations

import re

from ..model import FormulaIssue
from ..units import Complaint
from ..wording.saying import Saying, says
from .amounts import tidy
from .values import read_whole

_NAME = re.compile(r"[A-Za-z0-9-]{1,40}")
_ISSUE_OF = re.compile(r"([^\s,]+)(?: ?, ?| )(?:issue )?([0-9]+)", re.IGNORECASE)
_DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10)))
)
"""Names that no file may have there, in whatever case and with whatever ending; common practice, no source."""


def name_complaint(name: str) -> Saying | None:
    """Return what is wrong with a code or file name, as the rest of a sentence; None when nothing is."""
    if name.casefold() in _DEVICES:
        return says("name-of-device", name=name)
    if _NAME.fullmatch(name):
        return None
    return says("name-too-long", most=40) if len(name) > 40 else says("name-letters")


def read_code(text: str, comma: bool) -> str | Complaint:
    """Return a formula's code."""
    code = text.strip()
    wrong = name_complaint(code)
    return Complaint(says=says("bad-code", name=code, why=wrong), rule="bad-name") if wrong else code


def read_base(text: str, comma: bool) -> str | Complaint:
    """Return the code of a formula, `S-02`, or that of one of its issues, `S-02@3`."""
    code, at, issue = text.strip().partition("@")
    if at and not re.fullmatch(r"[1-9][0-9]{0,8}", issue):
        return Complaint(says=says("bad-base", name=text.strip(), code=code), rule="bad-name")
    read = read_code(code, comma)
    return read if isinstance(read, Complaint) else f"{read}{at}{issue}"


def read_issue_of(text: str, comma: bool) -> FormulaIssue | Complaint:
    """Return `S-02, issue 3`."""
    words = tidy(text)
    match = _ISSUE_OF.fullmatch(words)
    if match is None:
        return Complaint(says=says("no-issue-of", text=words))
    issue = read_whole(match[2], comma)
    if isinstance(issue, Complaint):
        return issue.behind(match.start(2))
    return FormulaIssue(code=match[1], issue=issue)
