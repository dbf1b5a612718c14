"""What was typed, in our own words, when YAML gives up: its own sentences are never shown.

In go the text and the parser's error, out come rule, message, line and column (both counted from 0 in the text).
The parser's words differ between its two implementations, so they only choose where to look; the lines decide.
"""

from __future__ import annotations

import re

import yaml

from .quotes import in_quotes

_NO_SPACE = re.compile(r"(\s*(?:- +)?)([^\s:#'\"{\[][^:#]*?):(?=[^\s/])")
_KEY = re.compile(r"\s*(?:- +)?(?:'[^']*'|\"[^\"]*\"|[^\s:#][^:]*?) *:(?=\s|$)")
_COMMA_FIRST = re.compile(r"(\s*[^\s:#][^:]*: +)(,[^#]*)")
_TAB = re.compile(r" *\t")

Explained = tuple[str, str, int, int]


def explain_yaml(text: str, error: yaml.YAMLError) -> Explained:
    """Return (rule, message, line, column) for the error, line and column counted from 0."""
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
        return ("unreadable-line", "The front matter ends above this line; take `...` and further `---` out.", line, 0)
    return _block(lines, line, column)


def _unprintable(text: str, error: yaml.YAMLError) -> Explained:
    before = text[: int(getattr(error, "position", 0) or 0)]
    line = before.count("\n")
    return ("control-character", "A character here cannot be printed: take it out.", line, len(before.split("\n")[-1]))


def _shown(text: str) -> str:
    text = text.strip()
    return text if len(text) <= 40 else text[:40] + "…"


def _missing_space(lines: list[str], line: int) -> Explained | None:
    match = _NO_SPACE.match(lines[line])
    if match is None or _KEY.match(lines[line]):
        return None
    name, value = match[2], lines[line][match.end() :]
    message = f"`{_shown(lines[line])}` lacks a space after the colon: write `{name}: {_shown(value)}`."
    return ("missing-space", message, line, match.end() - 1)


def _tab(lines: list[str], line: int) -> Explained:
    column = max(lines[line].find("\t"), 0)
    return ("tab-indentation", "This line is indented with a tab: use spaces.", line, column)


def _no_colon(lines: list[str], line: int) -> Explained:
    line = min(line, len(lines) - 1)
    if _TAB.match(lines[line]):
        return _tab(lines, line)
    found = _missing_space(lines, line)
    if found:
        return found
    column = len(lines[line]) - len(lines[line].lstrip())
    if lines[line].lstrip()[:1] in {'"', "'"}:
        message = f"`{_shown(lines[line])}` has a quote that is not closed, or no colon after it."
        return ("unclosed-quote", message, line, column)
    message = f"`{_shown(lines[line])}` has no colon: write `key: value`."
    return ("unreadable-line", message, line, column)


def _second_colon(lines: list[str], line: int, column: int) -> Explained:
    """A colon where none may stand: the second one of its line, or the first one below an unfinished line."""
    first = _KEY.match(lines[line])
    if first and first.end() - 1 < column:
        key = first[0].strip().rstrip(":").rstrip()
        value = lines[line][first.end() :].strip()
        message = f"The value of `{_shown(key)}` holds a colon and a space: put it {in_quotes(value)}."
        return ("colon-in-value", message, line, column)
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
    message = "This line is indented deeper than the line above, which already has its value: align the two."
    return ("wrong-indentation", message, line, indent)


def _quote(problem: str, lines: list[str], line: int, column: int, end_line: int, end_column: int) -> Explained:
    if "escape" in problem:
        message = "A backslash in \"…\" begins a special character: use single quotes '…' instead."
        # One parser points at the backslash, the other behind it.
        behind = lines[end_line][end_column : end_column + 1] != "\\" and end_column > 0
        return ("needs-quotes", message, end_line, end_column - behind)
    message = f"{_shown(lines[line][column:])} opens a quote that is not closed."
    return ("unclosed-quote", message, line, column)


def _bracket(lines: list[str], line: int, column: int, end_line: int, end_column: int) -> Explained:
    before = lines[end_line][:end_column].rstrip()
    if end_line == line and before.endswith(('"', "'")):
        return ("text-after-quote", "Text follows the closing quote: put the whole value in quotes.", line, end_column)
    sign = lines[line][column : column + 1] or "{"
    return ("unclosed-quote", f"The {sign} that opens here is not closed, or a comma is missing.", line, column)


def _needs_quotes(lines: list[str], line: int, column: int) -> Explained:
    line = min(line, len(lines) - 1)
    sign = lines[line][column : column + 1]
    if sign == "\t":
        return _tab(lines, line)
    rule = "yaml-mark" if sign in {"&", "*", "!"} else "needs-quotes"
    message = f"A value cannot begin with {sign}: put it {in_quotes(lines[line][column:])}."
    return (rule, message, line, column)


def _behind_quote(line: str) -> str:
    key = _KEY.match(line)
    value = line[key.end() :] if key else line.strip().removeprefix("- ")
    return f"Text follows the closing quote: take the quotes out, or put the whole value {in_quotes(value)}."


def _block(lines: list[str], line: int, column: int) -> Explained:
    here = lines[line]
    before = here[:column].rstrip()
    if before.endswith(('"', "'")) and ":" in before:
        return ("text-after-quote", _behind_quote(here), line, column)
    comma = _COMMA_FIRST.match(here)
    if comma:
        message = (
            f"`{_shown(comma[2])}` begins with a comma: write 0{_shown(comma[2])}, or what stands before the comma."
        )
        return ("unreadable-number", message, line, comma.start(2))
    indent = len(here) - len(here.lstrip())
    if here.lstrip().startswith("-"):
        message = "A list item stands here among keys, or is not indented like the others."
    else:
        message = "This line is not indented like its neighbours: align it with them."
    return ("wrong-indentation", message, line, indent)
