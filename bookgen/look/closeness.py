"""How long a formula is on paper, told before it is set, so that it is set closer where that saves a side.

Enters: the shown record of a formula.  Leaves: words for the `class` of its leaf, some for narrow paper (A5) and some
for wide (A4, Letter); the style of each paper heeds its own.  Heights are estimates in millimetres from the number of
letters, within a tenth of what the engine sets (`tests/pages/test_sheets_type.py` holds them to that): a leaf that is
told wrong is a little closer or a side longer, never less readable.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil

from ..model import Paper
from ..shown.phrases import Block, Danger, Listing, Paragraph, Prose, Text
from ..shown.plain import as_text, lines_of
from ..shown.records import Caution, Fact, FormulaShown, LineShown, MaterialShown, TableShown


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A side's column of type as its style sets it."""

    word: str
    """What its classes end in."""
    width: int
    """Across, mm."""
    height: int
    """Down, mm."""
    small: float
    """Height of a line of small print, mm."""
    text: float
    """Height of a line of text, mm."""
    gap: float
    """Space between two parts, mm."""
    row: float
    """Space above and below a row of the table, mm."""

    def lines(self, text: Text, letter: float, less: float = 0) -> int:
        """Return the lines that a text takes, of letters so wide on average, in a column narrower by `less` mm."""
        length = len(as_text(text))
        return ceil(length * letter * RAGGED / (self.width - less)) if length else 0


NARROW = Column(word="narrow", width=113, height=180, small=3.8, text=4.15, gap=2.4, row=1.3)
WIDE = Column(word="wide", width=152, height=255, small=4.0, text=4.6, gap=4, row=1.9)
COLUMNS = {Paper.A5: NARROW, Paper.A4: WIDE, Paper.LETTER: replace(WIDE, height=248)}
"""The column of each paper, where there is more to be told than narrow from wide."""
SMALL, TEXT = 1.34, 1.58
"""Width of a letter on average, of small print and of text, mm."""
RAGGED = 1.03
"""What a ragged edge takes, as a factor."""
CLOSER = 0.825
"""Height of a leaf that is set close, of what it is otherwise."""
NEAR = 0.94
"""A leaf that fills so much of its sides by the estimate may run over."""
SPARE = 0.02
"""Part of a side that a leaf set close has to leave free by the estimate."""
WORTH = 1.45
"""A leaf of up to so many sides is turned where the back begins with how it is kept, so that the back is not empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """How high the parts of a leaf are, mm."""

    table: float
    """From the title to the end of the table."""
    ledger: float
    """Of that, the table itself."""
    work: float
    """Equipment and method."""
    rest: float
    """How it is kept and used, notes, source, changes, why."""


def closeness(page: FormulaShown) -> str:
    """Return the classes of a formula's leaf, for each kind of column.

    `close-…`: set close, because that saves a side or a sheet.  `turned-…`: what is made stands in front, how it is
    kept and used on the back.  `whole-…`: the method in one piece.  `spread-…`: two sheets or more, the table in one
    piece.
    """
    return " ".join(f"{word}-{column.word}" for column in (NARROW, WIDE) for word in _words_for(page, column))


def _words_for(page: FormulaShown, column: Column) -> Iterator[str]:
    parts = heights(page, column)
    full, sides = column.height, (parts.table + parts.work + parts.rest) / column.height
    closer = 1.0
    if any(limit * NEAR < sides and sides * CLOSER <= limit - SPARE for limit in (1, 2)):
        closer = CLOSER
        yield "close"
    if sides * closer > 2:
        if parts.ledger <= full:
            yield "spread"
        if parts.work <= 0.93 * full:
            yield "whole"
    elif sides * closer > 1:
        if sides * closer <= WORTH and (parts.table + parts.work) * closer <= full:
            yield "turned"
        elif (parts.work + parts.rest) * closer <= 0.93 * full:
            yield "whole"


def heights(page: FormulaShown, column: Column) -> Heights:
    """Return how high the parts of a leaf are."""
    ledger = _table(page.table, column)
    table = (
        6.5 * column.lines(page.title, 2.9, less=22)
        + column.small
        + column.text * column.lines(page.purpose + page.use, TEXT)
        + (column.gap * 2 + column.text + (0 if column is NARROW else column.small))
        + column.small * column.lines(page.stamp_says, TEXT)
        + (_warnings(page.hazards, column) + 2 if page.hazards else 0)
        + ((column.small + 0.8) * len(page.first) + 6 if page.first else 0)
        + ledger
    )
    work = (
        column.small * column.lines("; ".join(page.equipment) + "Equipment", SMALL)
        + sum(6 + _blocks(part.text, column, column.text, TEXT, 6) for part in page.method)
        + column.gap * 2
    )
    secondary, letter = (column.small, SMALL) if column is NARROW else (column.text, TEXT)
    changes = "".join(change.text + 18 * "x" for change in page.changes)
    rest = (
        _keeping((*page.checks, *page.keeping), column)
        + (_warnings(page.cautions, column) if page.cautions or page.cautions_text else 0)
        + _blocks(page.cautions_text, column, secondary, letter)
        + _blocks(page.intro, column, secondary, letter)
        + sum(5 + column.gap + _blocks(part.text, column, secondary, letter) for part in page.parts)
        + column.small * column.lines("; ".join(page.source) + changes, SMALL)
        + column.small * column.lines("".join(_words(fact) for fact in page.why if not fact.general), SMALL)
        + column.gap * 3
    )
    return Heights(table=table, ledger=ledger, work=work, rest=rest)


def material_height(page: MaterialShown, column: Column) -> float:
    """Return how high a material is where it stands with others on a sheet, mm."""
    facts = "".join(_words(fact) + "   " for fact in page.facts)
    return (
        5.5 * column.lines(page.name, 2.1, less=25)
        + column.small * column.lines(f"{page.function} {page.also}", SMALL)
        + (_warnings(page.hazards, column) + 1 if page.hazards else 0)
        + (_warnings(page.cautions, column) if page.cautions else 0)
        + column.small * column.lines(facts, SMALL)
        + sum((4.5 if part.title else 0) + _blocks(part.text, column, column.text, TEXT) for part in page.parts)
        + column.small * column.lines("Source: " + "; ".join(page.source) if page.source else "", SMALL)
        + column.gap * 2
    )


def _words(fact: Fact) -> str:
    figures = "".join(figure.text + figure.unit for figure in fact.figures)
    return f"{fact.term} {figures} {as_text(fact.text)} {fact.note}  "


def _keeping(facts: Sequence[Fact], column: Column) -> float:
    if not facts:
        return 0
    if column is NARROW:
        return column.small * column.lines("".join(_words(fact) for fact in facts), SMALL) + 4
    return sum((column.small + 0.6) * column.lines(_words(fact), SMALL) for fact in facts) + column.gap + 2


def _warnings(list_: Sequence[Caution], column: Column) -> float:
    return (
        column.gap
        + 6
        + sum(column.small * column.lines(f"{caution.who}: {caution.text}", SMALL, less=6) for caution in list_)
    )


def _blocks(text: Prose, column: Column, line: float, letter: float, less: float = 0) -> float:
    blocks = [line for line in lines_of(Prose(_run_on(text.blocks))) if line.strip()]
    return sum(line * column.lines(block.strip(), letter, less) + 1 for block in blocks)


def _run_on(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """Return blocks as a sheet sets them: what is hazardous in a step that stands close goes on in its last line."""
    found: list[Block] = []
    for block in blocks:
        match block:
            case Listing():
                found.append(replace(block, items=tuple(_run_on(item) for item in block.items)))
            case Danger() if found and isinstance(step := found[-1], Paragraph) and step.tight:
                found[-1] = replace(step, parts=(*step.parts, " ", *block.parts))
            case _:
                found.append(block)
    return tuple(found)


def _table(table: TableShown, column: Column) -> float:
    rows = [row for phase in table.phases for row in phase.rows]
    heads = sum(5.8 for phase in table.phases if phase.letter)
    height = 6 + heads + sum(_row(row, column) for row in (*rows, *table.aids)) + 5.5 + (6 if table.aids else 0)
    return height + column.small * column.lines(table.verdict, SMALL) + column.gap


def _row(row: LineShown, column: Column) -> float:
    name = ceil((len(row.link.words) * TEXT + len(row.function) * SMALL) / (0.39 * column.width))
    written = ceil(len(row.written) * SMALL / (0.17 * column.width))
    plan = (row.plan.summary, *row.plan.steps, row.plan.error + row.plan.left + row.plan.direct) if row.plan else ()
    below = sum(column.small * column.lines(note, SMALL, less=6) + 1 for note in (*plan, *row.notes))
    return 3.9 * max(1, name, written) + column.row + below
