"""What a table of amounts becomes: a file for each formula whose lines are all understood.

A formula that lacks a line is another formula, so none is written of which one line is not understood.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..model import Book
from ..wording.saying import Saying, says
from .amounts import tidy
from .blank import stem_of, written
from .bringing import NUMBER, Brought, TakenColumn, complaint_of, plain_remark, value_of
from .codes import name_complaint
from .foreign import CannotBring, Foreign
from .old_units import Accepted, as_fraction, in_metric


def formulas_of(table: Foreign, columns: Sequence[TakenColumn], book: Book, comma: bool, accepted: Accepted) -> Brought:
    """Return the formulas of a table; `comma` tells whether the book has a decimal comma, `accepted` which old
    units the user lets be turned.  Raises CannotBring."""
    at = {column.key: number for number, column in enumerate(columns) if column.key}
    for key in ("code", "name"):
        if key not in at:
            raise CannotBring(says("table-lacks-column", key=key))
    if table.told:
        raise CannotBring(table.told[0])
    groups: dict[str, list[tuple[int, tuple[str, ...]]]] = {}
    for row, cells in table.rows:
        if not cells[at["code"]]:
            raise CannotBring(says("row-lacks-code", row=row))
        groups.setdefault(cells[at["code"]].casefold(), []).append((row, cells))
    told: list[Saying] = []
    files: dict[str, str] = {}
    taken = {formula.path.casefold() for formula in book.formulas.values()}
    for rows in groups.values():
        code = rows[0][1][at["code"]]
        try:
            title, text = _formula(code, rows, columns, book, (table.comma, comma), accepted, told)
        except CannotBring as left_out:
            told.append(says("formula-left-out", code=code, why=left_out.says))
            continue
        stem = stem_of(title, book.workroom.language) or code.lower()
        path = f"formulas/{stem}.md"
        if path.casefold() in taken or path in files:
            path = f"formulas/{stem}-{code.lower()}.md"
        files[path] = text
    return Brought(columns=tuple(columns), files=files, told=tuple(told))


def _formula(
    code: str,
    rows: list[tuple[int, tuple[str, ...]]],
    columns: Sequence[TakenColumn],
    book: Book,
    commas: tuple[bool, bool],
    accepted: Accepted,
    told: list[Saying],
) -> tuple[str, str]:
    """Return title and text of one formula; cells that are not understood are told.  Raises CannotBring."""
    at = {column.key: number for number, column in enumerate(columns) if column.key}
    wrong = name_complaint(code)
    there = book.find(code)
    if wrong or len(code) == 1:
        raise CannotBring(says("code-refused", name=code, why=wrong) if wrong else says("new-name-reserved", name=code))
    if there is not None:
        raise CannotBring(says("new-name-taken", name=code, what=there.path))
    titles = (
        tuple(dict.fromkeys(cells[at["title"]] for _, cells in rows if cells[at["title"]])) if "title" in at else ()
    )
    if len(titles) > 1:
        raise CannotBring(says("titles-differ", titles=titles))
    title = tidy(titles[0]) if titles else code
    head = [f"code: {code}", f"title: {written(title)}", "status: draft", "ingredients:"]
    phases: dict[str, list[str]] = {}
    understood = True
    for row, cells in rows:
        phase = tidy(cells[at["phase"]]) if "phase" in at else ""
        remarks = [
            f"# {plain_remark(column.head)}: {plain_remark(cell)}"
            for column, cell in zip(columns, cells, strict=True)
            if cell and not column.key
        ]
        amount, remark, why = _amount(cells, columns, commas[0], accepted)
        where = at["amount"]
        for key in ("name", "function", "phase", "title"):
            if key in at and (cells[at[key]].startswith("=") or (key == "name" and not cells[at[key]])):
                where, why = at[key], says("cell-formula" if cells[at[key]] else "cell-missing")
        line = ""
        if why is None:
            extra = tidy(cells[at["function"]]) if "function" in at else ""
            name = written(cells[at["name"]])
            line = f"  {name}: {value_of(', '.join(part for part in (amount, extra) if part))}"
            why = complaint_of("formulas/x.md", [*head, line], commas[0])
            if commas[0] is not commas[1]:
                amount = re.sub(r"(?<=[0-9])[.,](?=[0-9])", "," if commas[1] else ".", amount)
                line = f"  {name}: {value_of(', '.join(part for part in (amount, extra) if part))}"
        if why is not None:
            cell = cells[where] or "empty"
            head_of = columns[where].head
            told.append(says("cell-puzzling", row=row, column=where + 1, head=head_of, cell=cell, why=why))
            understood = False
            continue
        if remark:
            told.append(says("row-turned", row=row, how=remark))
            remarks.append(f"# {remark}")
        phases.setdefault(phase, []).extend([line, *(f"  {remark}" for remark in remarks)])
    if not understood:
        raise CannotBring(says("line-not-understood"))
    if "" in phases and len(phases) > 1:
        raise CannotBring(says("phases-missing"))
    lines: list[str] = []
    for phase, within in phases.items():
        lines += within if not phase else [f"  {written(phase)}:", *(f"  {line}" for line in within)]
    why = complaint_of("formulas/x.md", [*head, *lines], commas[1])
    if why is not None:
        raise CannotBring(why)
    return title, "\n".join(["---", *head, *lines, "---", "", "## Method", ""])


def _amount(
    cells: tuple[str, ...], columns: Sequence[TakenColumn], comma: bool, accepted: Accepted
) -> tuple[str, Saying | None, Saying | None]:
    """Return an amount with its unit, how it was turned from an old unit, and why it is not understood."""
    at = {column.key: number for number, column in enumerate(columns) if column.key}
    column, text = columns[at["amount"]], tidy(cells[at["amount"]])
    unit = tidy(cells[at["unit"]]) if "unit" in at else ""
    if text.startswith("="):
        return "", None, says("cell-formula")
    if not text:
        return "", None, says("cell-missing")
    if unit:
        text = f"{text} {unit}"
    elif NUMBER.fullmatch(text) or as_fraction(text) is not None:
        if not column.unit:
            return "", None, says("cell-no-unit")
        text = f"{text} {column.unit}"
    turned = in_metric(text, comma, accepted)
    if isinstance(turned, Saying):
        return "", None, turned
    if turned is not None:
        return turned[0].replace(".", ",") if comma else turned[0], turned[1], None
    return text, None, None
