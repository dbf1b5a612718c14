"""What was typed, in our own words, when YAML gives up: its own sentences are never shown.

In go the text and the parser's error, out come rule, saying, line and column (both counted from 0 in the text).
The parser's words differ between its two implementations, so they only choose where to look; the lines decide.
"""

from __future__ import annotations

import re

import yaml

from ..wording.saying import Saying, says
from .quotes import in_quotes

_NO_SPACE = re.compile(r"(\s*(?:- +)?)([^\s:#'\"{\[][^:#]*?):(?=[^\s/])")
_KEY = re.compile(r"\s*(?:- +)?(?:'[^']*'|\"[^\"]*\"|[^\s:#][^:]*?) *:(?=\s|$)")
_COMMA_FIRST = re.compile(r"(\s*[^\s:#][^:]*: +)(,[^#]*)")
_TAB = re.compile(r" *\t")

Explained = tuple[str, Saying, int, int]


def explain_yaml(text: str, error: yaml.YAMLError) -> Explained:
    """Return (rule, saying, line, column) for the error, line and column counted from 0."""
    lines = text.split("\n")
    if not isinstance(error, yaml.MarkedYAMLError):
        return _unprintable(text, error)
    problem = f"{error.context or ''} {error.problem or ''}"
    at = error.problem_mark or error.context_mark
    line, column = (min(at.line, len(lines) - 1), at.column) if at else (0, 0)
    if at and at.line >= len(lines):
        column = 0
    start = error.context_mark
    if start is not None and start.line >= len(lines):
        start = None
    if "simple key" in problem and start is not None:
        return _no_colon(lines, start.line)
    if _TAB.match(lines[line]) or "tab character" in problem:
        return _tab(lines, line)
    if "mapping values are not allowed" in problem:
        return _second_colon(lines, line, column)
    if "quoted scalar" in problem and start is not None:
        return _quote(problem, lines, start.line, start.column, line, column)
    if "flow" in problem and start is not None:
        return _bracket(lines, start.line, start.column, line, column)
    if any(word in problem for word in ("alias", "anchor", "tag", "block scalar", "directive")):
        where = (start.line, start.column) if start is not None else (line, column)
        return _needs_quotes(lines, *where)
    if "cannot start any token" in problem or "could not determine a constructor" in problem:
        return _needs_quotes(lines, line, column)
    if "document start" in problem:
        return ("unreadable-line", says("front-ended"), line, 0)
    return _block(lines, line, column)


def _unprintable(text: str, error: yaml.YAMLError) -> Explained:
    before = text[: int(getattr(error, "position", 0) or 0)]
    line = before.count("\n")
    return ("control-character", says("unprintable"), line, len(before.split("\n")[-1]))


def _missing_space(lines: list[str], line: int) -> Explained | None:
    match = _NO_SPACE.match(lines[line])
    if match is None or _KEY.match(lines[line]):
        return None
    name, value = match[2], lines[line][match.end() :]
    told = says("space-missing", text=lines[line].strip(), key=name, value=value.strip())
    return ("missing-space", told, line, match.end() - 1)


def _tab(lines: list[str], line: int) -> Explained:
    column = max(lines[line].find("\t"), 0)
    return ("tab-indentation", says("tab"), line, column)


def _no_colon(lines: list[str], line: int) -> Explained:
    line = min(line, len(lines) - 1)
    if _TAB.match(lines[line]):
        return _tab(lines, line)
    found = _missing_space(lines, line)
    if found:
        return found
    column = len(lines[line]) - len(lines[line].lstrip())
    if lines[line].lstrip()[:1] in {'"', "'"}:
        return ("unclosed-quote", says("key-quote-open", text=lines[line].strip()), line, column)
    return ("unreadable-line", says("colon-lacking", text=lines[line].strip()), line, column)


def _second_colon(lines: list[str], line: int, column: int) -> Explained:
    """A colon where none may stand: the second one of its line, or the first one below an unfinished line."""
    first = _KEY.match(lines[line])
    if first and first.end() - 1 < column:
        key = first[0].strip().rstrip(":").rstrip()
        value = lines[line][first.end() :].strip()
        return ("colon-in-value", says("colon-in-value", key=key, quotes=in_quotes(value)), line, column)
    above = line - 1
    while above > 0 and not lines[above].strip():
        above -= 1
    if above >= 0:
        found = _missing_space(lines, above)
        if found:
            return found
        if not _KEY.match(lines[above]):
            return _no_colon(lines, above)
    indent = len(lines[line]) - len(lines[line].lstrip())
    return ("wrong-indentation", says("too-deep"), line, indent)


def _quote(problem: str, lines: list[str], line: int, column: int, end_line: int, end_column: int) -> Explained:
    if "escape" in problem:
        # One parser points at the backslash, the other behind it.
        behind = lines[end_line][end_column : end_column + 1] != "\\" and end_column > 0
        return ("needs-quotes", says("backslash"), end_line, end_column - behind)
    return ("unclosed-quote", says("quote-open", text=lines[line][column:].strip()), line, column)


def _bracket(lines: list[str], line: int, column: int, end_line: int, end_column: int) -> Explained:
    before = lines[end_line][:end_column].rstrip()
    if end_line == line and before.endswith(('"', "'")):
        return ("text-after-quote", says("text-after-quote"), line, end_column)
    sign = lines[line][column : column + 1] or "{"
    return ("unclosed-quote", says("bracket-open", sign=sign), line, column)


def _needs_quotes(lines: list[str], line: int, column: int) -> Explained:
    line = min(line, len(lines) - 1)
    sign = lines[line][column : column + 1]
    if sign == "\t":
        return _tab(lines, line)
    rule = "yaml-mark" if sign in {"&", "*", "!"} else "needs-quotes"
    return (rule, says("cannot-begin", sign=sign, quotes=in_quotes(lines[line][column:])), line, column)


def _behind_quote(line: str) -> Saying:
    key = _KEY.match(line)
    value = line[key.end() :] if key else line.strip().removeprefix("- ")
    return says("text-after-quotes", quotes=in_quotes(value))


def _block(lines: list[str], line: int, column: int) -> Explained:
    here = lines[line]
    before = here[:column].rstrip()
    if before.endswith(('"', "'")) and ":" in before:
        return ("text-after-quote", _behind_quote(here), line, column)
    comma = _COMMA_FIRST.match(here)
    if comma:
        return ("unreadable-number", says("comma-first", text=comma[2].strip()), line, comma.start(2))
    indent = len(here) - len(here.lstrip())
    told = says("item-among-keys" if here.lstrip().startswith("-") else "not-aligned")
    return ("wrong-indentation", told, line, indent)
