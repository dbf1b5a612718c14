"""What the cells of a table become: files of materials, and what is told of each cell that is not understood.

A cell is understood where the reader of the book finds nothing to say of it.  What is not understood, and a column
without a known head, stays word for word as a remark in the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..model import Book
from ..wording.saying import Saying, says
from .amounts import tidy
from .blank import stem_of, written
from .book import findings_alone
from .foreign import CannotBring, Foreign

HEADS = {
    "name": ("name", "material", "material name", "ingredient", "ingredient name", "raw material", "substance",
             "chemical", "chemical name", "common name"),
    "also": ("also", "also known as", "synonym", "synonyms", "other name", "other names"),
    "label": ("label", "label name", "inci", "inci name"),
    "function": ("function", "functions", "usual function"),
    "density": ("density", "specific gravity"),
    "water": ("water", "water content"),
    "soluble": ("soluble", "soluble in"),
    "hlb": ("hlb", "hlb value"),
    "required hlb": ("required hlb",),
    "kind": ("kind", "form"),
    "hazards": ("hazard", "hazards"),
    "cautions": ("caution", "cautions"),
    "disposal": ("disposal",),
    "source": ("source", "sources", "reference", "references"),
}  # fmt: skip
"""Key of a material → the heads that say it, in lower case."""
AMOUNT_HEADS = {
    "code": ("code", "formula code", "formula", "formula no"),
    "title": ("title", "preparation", "product", "formula name"),
    "name": HEADS["name"],
    "amount": ("amount", "quantity"),
    "unit": ("unit", "units"),
    "phase": ("phase",),
    "function": ("function", "functions"),
}
"""Key of a formula or its line → the heads that say it in a table of amounts."""
_LISTS = ("also", "soluble")
"""Keys whose cell may hold several texts, parted by semicolons."""
_FIGURES = ("density", "water", "hlb", "required hlb")
_WITH_UNIT = ("density", "water")
_HEAD = re.compile(r"(?P<words>.*?)[\s_]*(?:[\[(](?P<unit>[^\])]*)[\])]|(?P<percent>%))?")
NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_AS_IT_STANDS = re.compile(r"[0-9]+(?:\.[0-9]+)?(?: %| [A-Za-z/]+(?: at [0-9.]+ °C)?| at [0-9./]+ °C)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenColumn:
    """What a column is taken for."""

    head: str
    """Its head as written."""
    key: str
    """The key that it becomes; empty where its head is not known and its cells become remarks."""
    unit: str
    """The unit that stands in its head; empty for none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """What a table becomes; nothing is written yet."""

    columns: tuple[TakenColumn, ...]
    """What each column is taken for."""
    files: dict[str, str]
    """Path in the book → text of the new file."""
    told: tuple[Saying, ...]
    """Each row and each cell that was not understood."""


def holds_amounts(table: Foreign, taken: Sequence[str] = ()) -> bool:
    """Tell whether it is a table of amounts: whether a column is one of amounts."""
    try:
        return any(column.key == "amount" for column in columns_of(table, taken, AMOUNT_HEADS))
    except CannotBring:
        return False


def columns_of(
    table: Foreign, taken: Sequence[str] = (), known: Mapping[str, tuple[str, ...]] = HEADS
) -> tuple[TakenColumn, ...]:
    """Return what the columns are taken for, by their heads, or as the user says: `Water_(g)=water, %`.

    Raises CannotBring.
    """
    said = dict(_said(text, table, known) for text in taken)
    keys = {head: key for key, heads in known.items() for head in heads}
    found: list[TakenColumn] = []
    for head in table.heads:
        match = _HEAD.fullmatch(tidy(head))
        assert match is not None, "each part of a head may be empty"
        words = re.sub(r"[\s_-]+", " ", match["words"]).strip().casefold()
        unit = tidy(match["unit"] or match["percent"] or "")
        found.append(said.get(head) or TakenColumn(head=head, key=keys.get(words, ""), unit=unit))
    for key in known:
        same = tuple(column.head for column in found if column.key == key)
        if len(same) > 1:
            raise CannotBring(says("table-heads-same", heads=same, key=key))
    if not any(column.key == "name" for column in found):
        raise CannotBring(says("table-no-name"))
    return tuple(found)


def _said(text: str, table: Foreign, known: Mapping[str, tuple[str, ...]]) -> tuple[str, TakenColumn]:
    """Return the head that `HEAD=KEY, UNIT` names, and what its column is taken for; the unit may be left out."""
    head, _, rest = text.rpartition("=")
    head = head.strip()
    key, _, unit = (part.strip() for part in rest.partition(","))
    if head not in table.heads:
        raise CannotBring(says("no-such-head", head=head or text))
    if key not in known:
        raise CannotBring(says("no-such-key", key=key, keys=tuple(known)))
    return head, TakenColumn(head=head, key=key, unit=unit)


def materials_of(table: Foreign, book: Book, comma: bool, taken: Sequence[str] = ()) -> Brought:
    """Return the materials of a table; `comma` tells whether the book has a decimal comma.  Raises CannotBring."""
    columns = columns_of(table, taken)
    name_at = next(at for at, column in enumerate(columns) if column.key == "name")
    called = {tidy(name).casefold(): item.path for item in book.materials.values() for name in (item.name, *item.also)}
    called |= {key: item.path for key, item in book.materials.items()}
    called |= {key: item.path for key, item in book.formulas.items()}
    rows: dict[str, int] = {}
    files: dict[str, str] = {}
    told = list(table.told)

    def puzzle(row: int, at: int, cell: str, why: Saying) -> None:
        told.append(says("cell-puzzling", row=row, column=at + 1, head=columns[at].head, cell=cell or "empty", why=why))

    for row, cells in table.rows:
        name = tidy(cells[name_at])
        stem = stem_of(name, book.workroom.language)
        there = called.get(name.casefold()) or called.get(stem)
        if name.startswith("="):
            puzzle(row, name_at, name, says("cell-formula"))
        elif not stem:
            puzzle(row, name_at, name, says("cell-empty") if not name else says("no-letters", name=name))
        elif there:
            puzzle(row, name_at, name, says("row-name-there", what=there))
        elif stem in rows:
            puzzle(row, name_at, name, says("row-name-twice", row=rows[stem]))
        else:
            rows[stem] = row
            path = f"formulas/materials/{stem}.md"
            remarks: list[str] = []
            lines = [f"name: {written(name)}"]
            why = complaint_of(path, lines, table.comma)
            if why is not None:
                puzzle(row, name_at, name, why)
                continue
            for at, (column, cell) in enumerate(zip(columns, cells, strict=True)):
                if not cell or at == name_at:
                    continue
                line, why = _line(path, column, cell, table.comma, comma) if column.key else ("", None)
                if why is not None:
                    puzzle(row, at, cell, why)
                if line:
                    lines.append(line)
                else:
                    remarks.append(f"# {plain_remark(column.head)}: {plain_remark(cell)}")
            files[path] = "\n".join(["---", *lines, *remarks, "---", ""])
    return Brought(columns=columns, files=files, told=tuple(told))


def _line(path: str, column: TakenColumn, cell: str, comma: bool, own: bool) -> tuple[str, Saying | None]:
    """Return a cell as a line of a front matter; or nothing, and why it is not understood."""
    if cell.startswith("="):
        return "", says("cell-formula")
    text = tidy(cell)
    if column.key in _WITH_UNIT and NUMBER.fullmatch(text):
        if not column.unit:
            return "", says("cell-no-unit")
        text = f"{text} {'at ' if '/' in column.unit and '°' in column.unit else ''}{column.unit}"
        text = text.replace(" at at ", " at ").replace("g/cm³", "g/mL").replace("g/ml", "g/mL")
    why = complaint_of(path, ["name: x", _written_line(column.key, text)], comma)
    if why is not None:
        return "", why
    if column.key in _FIGURES and comma is not own:
        text = re.sub(r"(?<=[0-9])[.,](?=[0-9])", "," if own else ".", text)
    line = _written_line(column.key, text)
    return line, complaint_of(path, ["name: x", line], own)


def _written_line(key: str, text: str) -> str:
    parts = [tidy(part) for part in text.split(";")] if key in _LISTS else [text]
    values = [value_of(part) for part in parts if part]
    return f"{key}: {values[0]}" if len(values) == 1 else "\n".join([f"{key}:", *(f"  - {value}" for value in values)])


def value_of(text: str) -> str:
    """Return a text as a value of YAML; a figure with its unit as it stands."""
    return text if _AS_IT_STANDS.fullmatch(text) else written(text)


def complaint_of(path: str, lines: list[str], comma: bool) -> Saying | None:
    """Return the first thing that is wrong with a file of these lines; None when nothing is."""
    found = findings_alone(path, "\n".join(["---", *lines, "---", ""]).encode(), comma)
    return found[0].says if found else None


def plain_remark(text: str) -> str:
    """Return a text on one line, with what cannot be seen as an escape."""
    return "".join(_shown(text))


def _shown(text: str) -> Iterator[str]:
    for sign in tidy(text):
        yield sign if sign.isprintable() else sign.encode("unicode_escape").decode()
