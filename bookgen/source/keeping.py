"""A trial kept: the file of its base as its next issue begins, with the lines of the trial, and the trial's own file.

Files are changed as text, so that what need not change stays byte for byte.  What could not be set in surely gives
None, and whoever asks reads the outcome again and holds it against the trial.  Pure: texts enter, texts leave.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields

from ..findings import Place
from ..model import METHOD, Formula, Line, Status
from ..written import Linked, Picture
from .amounts import split_line, tidy
from .desk import Desk
from .front import decode, split_front
from .quotes import quoted
from .tree import Branch, Node, TextLeaf, read_tree

TAKEN = ("purpose", "density", "yield", "pH", "appearance", "preserved by")
"""Keys of a trial that its base takes over; the others tell of the trial itself."""
TAKEN_SECTIONS = (METHOD, "cautions")
"""Sections of a trial that its base takes over, in lower case; what else is written there was noted on the trial."""

_ROWS = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+$")
_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"|\'(?:[^\']|\'\')*\'')
_INSTEAD = re.compile(r"(?:^|\s+)instead\s+of\s+", re.DOTALL)
_SAFE = re.compile(r"[^\W_](?:(?!: | #)[^\r\n])*(?<![:\s])")


class _ByHand(Exception):
    """Something cannot be set in surely."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontRows:
    """A formula's file, to be changed."""

    path: str
    """Relative to the book's folder."""
    rows: tuple[str, ...]
    """Its rows with their ends."""
    closing: int
    """Index of the row that closes the front matter."""
    tree: Branch
    """The front matter."""
    formula: Formula
    """The formula; of a trial with its own lines alone."""

    @property
    def end(self) -> str:
        """How its rows end."""
        return self.rows[0][len(self.rows[0].rstrip("\r\n")) :] or "\n"


def rows_of_file(path: str, content: bytes, formula: Formula) -> FrontRows | None:
    """Return a file to be changed; None where it cannot be read to its end."""
    desk = Desk(path)
    text = decode(content, desk)
    if text is None:
        return None
    split = split_front(text, desk)
    tree, whole = read_tree(split.front, split.front_line, desk)
    if not (whole and split.whole):
        return None
    rows = tuple(_ROWS.findall(content.decode("utf-8")))
    return FrontRows(path=path, rows=rows, closing=split.body_line - 2, tree=tree, formula=formula)


@dataclass(frozen=True, slots=True)
class _Edits:
    """Rows that go, and rows that come before others, by index."""

    gone: set[int] = field(default_factory=set)
    put: dict[int, list[str]] = field(default_factory=dict)

    def replace(self, first: int, last: int, rows: list[str]) -> None:
        self.gone.update(range(first, last))
        self.put.setdefault(first, []).extend(rows)

    def applied(self, rows: tuple[str, ...]) -> str:
        found: list[str] = []
        for at in range(len(rows) + 1):
            found += self.put.get(at, [])
            if at < len(rows) and at not in self.gone:
                found.append(rows[at])
        return "".join(found)


# ── The base ──────────────────────────────────────────────────────────────────────────────────────────────────────


def with_trial(base: FrontRows, trial: FrontRows, whole: Formula, same: Callable[[str], str]) -> bytes | None:
    """Return the base's file with what the trial changes; None where that cannot be set in surely.

    `whole` is the trial as a whole formula, `same` returns one name for all names of a material.
    """
    edits = _Edits()
    try:
        for phase in base.formula.ingredients:
            its = next((other for other in whole.ingredients if other.letter == phase.letter), None)
            _phase(base, trial, list(phase.lines), list(its.lines) if its else [], same, edits, phase.place)
        _new_phases(base, trial, whole, edits)
        for key in TAKEN:
            if key in trial.formula.places:
                _key(base, trial, key, edits)
        for title in TAKEN_SECTIONS:
            _section(base, trial, title, edits)
        return edits.applied(base.rows).encode("utf-8")
    except _ByHand:
        return None


def _phase(
    base: FrontRows,
    trial: FrontRows,
    lines: list[Line],
    whole: list[Line],
    same: Callable[[str], str],
    edits: _Edits,
    at: Place,
) -> None:
    stays = {line.place for line in whole if line.place.path == base.path}
    left = [line for line in lines if line.place not in stays]
    added = []
    for line in (line for line in whole if line.place.path == trial.path):
        own = next(other for other in trial.formula.lines if other.place == line.place)
        wanted = same(own.departs.instead_of if own.departs and own.departs.instead_of else own.material)
        there = next((other for other in left if same(other.material) == wanted), None)
        if there is None:
            added.append(own)
            continue
        left.remove(there)
        first, last = _extent(base, there.place)
        edits.replace(first, last, _changed(base, trial, there, own))
    indent = _indent(base.rows[lines[-1].place.line - 1])
    end = _extent(base, lines[-1].place)[1]
    for line in left:
        edits.replace(*_extent(base, line.place), [])
    if not whole:
        first = at.line - 1
        if _starts(base, at) != first:
            raise _ByHand
        edits.replace(first, end, [])
    for line in added:
        edits.put.setdefault(end, []).extend(_moved(trial, line.place, indent, base.end))


def _new_phases(base: FrontRows, trial: FrontRows, whole: Formula, edits: _Edits) -> None:
    letters = {phase.letter for phase in base.formula.ingredients}
    last = base.formula.ingredients[-1]
    end = _extent(base, last.lines[-1].place)[1]
    for phase in whole.ingredients:
        if phase.letter not in letters:
            rows = _moved(trial, phase.place, _indent(base.rows[last.place.line - 1]), base.end)
            edits.put.setdefault(end, []).extend(rows)


def _changed(base: FrontRows, trial: FrontRows, there: Line, own: Line) -> list[str]:
    """Return the rows of a line of the base as the trial has it."""
    key, value = _entry(base, there.place)
    _, other = _entry(trial, own.place)
    named = own.departs is not None or own.material != there.material
    row = base.rows[key.line - 1]
    first, last = _extent(base, there.place)
    keeps = own.departs is not None and own.departs.keeps_amount
    before, now = _fields(value), _fields(other)
    if isinstance(value, TextLeaf) and isinstance(other, TextLeaf):
        amount = before["amount"] if keeps else now["amount"]
        text = ", ".join(part for part in (amount, now["function"] or before["function"]) if part)
        if value.spans or last != first + 1 or value.line != key.line:
            raise _ByHand
        start, end = _span(row, key)
        begin, close = _span(row, value)
        name = _name(own.material) if named else row[start:end]
        return [row[:start] + name + row[end:begin] + _value(text) + row[close:]]
    if any("#" in row for row in base.rows[first:last]):
        raise _ByHand  # a remark would go
    fields = {name: text for name, text in before.items() if name not in ("because", "note")}
    fields.update((name, text) for name, text in now.items() if text and not (keeps and name == "amount"))
    indent = _indent(row)
    name = _name(own.material if named else there.material)
    return [
        f"{indent}{name}:{base.end}",
        *(f"{indent}  {field}: {_value(text)}{base.end}" for field, text in fields.items() if text),
    ]


def _fields(value: Node) -> dict[str, str]:
    """Return the fields of a line as they are written, the function parted from the amount."""
    if isinstance(value, TextLeaf):
        pairs = {"amount": value.text}
    elif isinstance(value, Branch) and all(isinstance(leaf, TextLeaf) for _, leaf in value.entries):
        pairs = {key.text: leaf.text for key, leaf in value.entries if isinstance(leaf, TextLeaf)}
    else:
        raise _ByHand
    written = pairs.get("amount", "")
    instead = _INSTEAD.search(written)
    if instead:
        amount, (_, function) = written[: instead.start()], split_line(written[instead.end() :])
    else:
        amount, function = split_line(tidy(written))
    return {**pairs, "amount": tidy(amount), "function": pairs.get("function", "") or tidy(function)}


def _key(base: FrontRows, trial: FrontRows, key: str, edits: _Edits) -> None:
    rows = _moved(trial, _top(trial, key), "", base.end)
    if key in base.formula.places:
        edits.replace(*_extent(base, _top(base, key)), rows)
    else:
        edits.put.setdefault(_extent(base, _top(base, "ingredients"))[1], []).extend(rows)


def _section(base: FrontRows, trial: FrontRows, title: str, edits: _Edits) -> None:
    rows = [row.rstrip("\r\n") + base.end for row in _section_rows(trial, title)]
    if not rows:
        return
    starts = _sections(base)
    at = next((at for at, (name, _) in enumerate(starts) if name == title), None)
    if at is None:
        last = base.rows[-1]
        space = [base.end] if last.endswith(("\n", "\r")) else [base.end, base.end]
        edits.put.setdefault(len(base.rows), []).extend([*space, *rows])
        return
    first = starts[at][1]
    last_row = starts[at + 1][1] if at + 1 < len(starts) else len(base.rows)
    edits.replace(first, last_row, [*rows, *([base.end] if at + 1 < len(starts) else [])])


def _section_rows(sheet: FrontRows, title: str) -> list[str]:
    starts = _sections(sheet)
    for at, (name, first) in enumerate(starts):
        if name == title:
            rows = list(sheet.rows[first : starts[at + 1][1] if at + 1 < len(starts) else None])
            while rows and not rows[-1].strip():
                rows.pop()
            return rows
    return []


def _sections(sheet: FrontRows) -> list[tuple[str, int]]:
    """Return the titles of the sections of a file in lower case, each with the index of its row."""
    own = [section for section in sheet.formula.body.sections if section.place.path == sheet.path]
    return [(section.title.casefold(), section.place.line - 1) for section in own if section.title]


# ── The trial ─────────────────────────────────────────────────────────────────────────────────────────────────────


def with_note(trial: FrontRows, base: str, before: int, after: int) -> bytes | None:
    """Return the trial's file, based for good on the issue it was tried on, withdrawn, with the issue it became.

    `base` is the code of the base, `before` and `after` are its issues.  None where that cannot be set in surely.
    """
    edits = _Edits()
    rows, place = trial.rows, trial.formula.places["based on"]
    try:
        top = _top(trial, "based on")
        first, last = _extent(trial, top)
        row = rows[first]
        if last != first + 1 or place.line != top.line:
            raise _ByHand
        start = place.column - 1
        named = re.sub(r"@[0-9]+", "", row[start:], count=1)
        code = trial.formula.based_on.partition("@")[0]
        put = [
            row[:start] + named.replace(code, f"{base}@{before}", 1),
            f"kept as: {base}, issue {after}{trial.end}",
        ]
        if "status" in trial.formula.places:
            at = trial.formula.places["status"]
            there = rows[at.line - 1]
            begin, close = _span(there, _leaf(trial, "status"))
            edits.replace(at.line - 1, at.line, [there[:begin] + Status.WITHDRAWN.value + there[close:]])
        else:
            put.append(f"status: {Status.WITHDRAWN.value}{trial.end}")
        edits.replace(first, last, put)
    except _ByHand:
        return None
    return edits.applied(rows).encode("utf-8")


# ── Where things stand ────────────────────────────────────────────────────────────────────────────────────────────


def _top(sheet: FrontRows, key: str) -> Place:
    found = [leaf for leaf, _ in sheet.tree.entries if leaf.text == key]
    if len(found) != 1:
        raise _ByHand
    return Place(path=sheet.path, line=found[0].line, column=found[0].column)


def _leaf(sheet: FrontRows, key: str) -> TextLeaf:
    value = next(value for leaf, value in sheet.tree.entries if leaf.text == key)
    if not isinstance(value, TextLeaf):
        raise _ByHand
    return value


def _entry(sheet: FrontRows, place: Place) -> tuple[TextLeaf, Node]:
    """Return the key and the value of a line."""
    for key, value in _entries(sheet.tree):
        if (key.line, key.column) == (place.line, place.column):
            return key, value
    raise _ByHand


def _entries(branch: Branch) -> Iterator[tuple[TextLeaf, Node]]:
    for key, value in branch.entries:
        yield key, value
        if isinstance(value, Branch):
            yield from _entries(value)


def _starts(sheet: FrontRows, place: Place) -> int:
    """Return the index of the row that begins with what stands there."""
    if sheet.rows[place.line - 1][: place.column - 1].strip():
        raise _ByHand
    return place.line - 1


def _extent(sheet: FrontRows, place: Place) -> tuple[int, int]:
    """Return the rows of an entry: the index of its first, and that behind its last; remarks below it do not count."""
    first = _starts(sheet, place)
    indent, last = len(_indent(sheet.rows[first])), first + 1
    for at in range(first + 1, sheet.closing):
        row = sheet.rows[at]
        words = row.strip()
        if not words or words.startswith("#"):
            continue
        deep = len(_indent(row))
        if deep < indent or (deep == indent and not words.startswith("- ")):
            break
        last = at + 1
    return first, last


def _moved(sheet: FrontRows, place: Place, indent: str, end: str) -> list[str]:
    """Return the rows of an entry, as deep as they are to stand."""
    first, last = _extent(sheet, place)
    was = _indent(sheet.rows[first])
    return [f"{indent}{row.removeprefix(was).rstrip(chr(13) + chr(10))}{end}" for row in sheet.rows[first:last]]


def _indent(row: str) -> str:
    return row[: len(row) - len(row.lstrip(" "))]


def _span(row: str, leaf: TextLeaf) -> tuple[int, int]:
    """Return where a text stands in its row, quotes counted."""
    start = leaf.column - 1
    in_quotes = _QUOTED.match(row, start)
    if in_quotes:
        return start, in_quotes.end()
    if row[start : start + len(leaf.text)] != leaf.text:
        raise _ByHand
    return start, start + len(leaf.text)


def _value(text: str) -> str:
    return text if _SAFE.fullmatch(text) else quoted(text)


def _name(text: str) -> str:
    return text if _SAFE.fullmatch(text) and ":" not in text else quoted(text)


# ── The outcome, held against what was meant ──────────────────────────────────────────────────────────────────────


def text_of(formula: Formula, titles: tuple[str, ...] = TAKEN_SECTIONS) -> Mapping[str, object]:
    """Return the sections of these titles as far as they are read: words, and where each link and picture leads."""
    body = formula.body

    def leads(piece: object) -> object:
        match piece:
            case str() | int() | None:
                return piece
            case tuple():
                return tuple(map(leads, piece))
            case Linked() | Picture():
                address = piece.address
                to = body.page_links.get(address) or body.images.get(address) or address
                return type(piece), to, leads(piece.words)
        return type(piece), *(leads(getattr(piece, part.name)) for part in fields(piece))  # type: ignore[arg-type]

    return {
        section.title.casefold(): leads(section.blocks)
        for section in body.sections
        if section.title.casefold() in titles
    }
