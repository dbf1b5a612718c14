"""How long a formula is on paper, told before it is set, so that it is set closer where that saves a side.

Enters: the shown record of a formula.  Leaves: words for the `class` of its leaf on its paper.  Heights are
estimates in millimetres from the number of letters, within a tenth of what the engine sets
(`tests/pages/test_sheets_type.py` holds them to that): a leaf that is told wrong is a little closer or a side longer,
never less readable.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import ceil

from ..model import Paper
from ..shown.judged_records import LabelShown
from ..shown.phrases import Block, Danger, Listing, Paragraph, Prose, Text
from ..shown.plain import as_text, lines_of
from ..shown.records import Caution, Fact, FormulaShown, LineShown, MaterialShown, TableShown


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A side's column of type as its style sets it."""

    narrow: bool
    """Whether it is A5's."""
    width: int
    """Across, mm."""
    height: int
    """Down, mm."""
    small: float
    """Height of a line of small print, mm."""
    points: float
    """Size of the type of what is weighed and done, pt."""
    leading: float
    """Height of its lines, of their type."""
    prose: float
    """Size of the type of other text, pt."""
    gap: float
    """Space between two parts, mm."""
    row: float
    """Space above and below a row of the table, mm."""
    blank: float
    """Width of the ruled space to write what was weighed, mm."""

    @property
    def text(self) -> float:
        """Height of a line of the method, mm."""
        return self.points * self.leading * POINT

    @property
    def letter(self) -> float:
        """Width of a letter of the method on average, mm."""
        return self.points * SERIF

    def lines(self, text: Text, letter: float, less: float = 0) -> int:
        """Return the lines that a text takes, of letters so wide on average, in a column narrower by `less` mm."""
        length = len(as_text(text))
        return ceil(length * letter * RAGGED / (self.width - less)) if length else 0


POINT = 25.4 / 72
"""Millimetres."""
NARROW = Column(
    narrow=True, width=120, height=180, small=4.0, points=9.5, leading=1.28, prose=9, gap=2.4, row=1.3, blank=15,
)  # fmt: skip
WIDE = Column(
    narrow=False, width=152, height=255, small=4.15, points=11, leading=1.35, prose=10, gap=4, row=1.9, blank=22
)
COLUMNS = {Paper.A5: NARROW, Paper.A4: WIDE, Paper.LETTER: replace(WIDE, width=157, height=248)}
"""The column of each paper, where there is more to be told than narrow from wide."""
NAME = 0.41
"""Part of the column that names of ingredients take."""
WIDEST = 0.94
"""Part of the column that a table may take by the estimate for its type to grow."""
SERIF = 0.168
"""Width of a letter of the serif on average, mm for each point of its size."""
SMALL, TEXT = 1.34, 1.58
"""Width of a letter on average, of small print and of text of 9.5 pt, mm."""
RAGGED = 1.03
"""What a ragged edge takes, as a factor."""
CLOSER = 0.9
"""Height of a leaf that is set close, of what it is otherwise."""
NEAR = 0.95
"""Part of a side that is filled by the estimate, which may be too low."""
SURELY = 0.95
"""Of that, what is filled where the estimate is lower than any yet."""
SURER = 0.015
"""How much less of it is filled for each step that type is grown."""
GROWN = (0, 0.5, 1, 1.5)
"""By how much the type of what is weighed and done grows where a side has room, pt, step by step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """How high the parts of a leaf are, mm."""

    head: float
    """From the title to the table."""
    phases: tuple[float, ...]
    """The table, phase by phase, then its total and the aids."""
    work: float
    """Equipment and method."""
    keeping: float
    """What it should be like and how it is kept."""
    cautions: float
    """Cautions for use."""
    rest: float
    """Notes, label."""
    record: float
    """Source, changes, why: in one piece."""

    @property
    def table(self) -> float:
        """From the title to the end of the table."""
        return self.head + sum(self.phases)

    @property
    def after(self) -> float:
        """All that stands behind the method."""
        return self.keeping + self.cautions + self.rest + self.record


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """One way to set a leaf."""

    step: int
    """How many steps its type is grown."""
    close: bool
    """Whether it is set close."""
    whole: bool
    """Whether the table begins a side where it does not fit below what stands before it."""
    ahead: int
    """How much stands between table and method: nothing, how it is kept, that and the cautions."""


_WAYS = tuple(
    Arrangement(step=step, close=close, whole=whole, ahead=ahead)
    for close, whole, ahead, step in product((False, True), (True, False), (0, 1, 2), reversed(range(len(GROWN))))
    if not (close and step)
)
"""All ways, those first that are taken where others are as good."""


def closeness(page: FormulaShown, paper: str) -> str:
    """Return the classes of a formula's leaf on that paper.  The method is in one piece in any case.

    `close`: set close, because that saves a sheet.  `grown-1` and on: type larger by so many steps.  `whole`: the table
    in one piece.  `ahead-1`: how it is kept stands before a method that begins a side; `ahead-2`: the cautions too.
    `turned`: what is made stands in front, the rest on the back.  `spread`: two sheets or more.  `fore`: how it is kept
    and the cautions stand in front, where nothing else would below the hazards; table, method and notes on a side each.
    """
    return " ".join(_words_for(page, COLUMNS[Paper(paper)]))


def _words_for(page: FormulaShown, column: Column) -> Iterator[str]:
    fitting = [
        step for step, more in enumerate(GROWN)
        if not step or _width(page.table, replace(column, points=column.points + more)) < WIDEST * column.width
    ]  # fmt: skip
    full = [column.height * (NEAR - SURER * step) for step in range(len(GROWN))]
    grown = [heights(page, replace(column, points=column.points + more)) for more in GROWN]

    def worth(way: Arrangement) -> tuple[int, int, bool, bool, bool]:
        sides, bench = _sides(grown[way.step], way, full[way.step])
        surely, _ = _sides(grown[way.step], way, full[way.step] * SURELY)
        return ceil(ceil(sides) / 2), ceil(ceil(surely) / 2), way.close, sides > 1, bench > 1

    # As few sheets as can be, by setting close where nothing else saves one; one side; table and method on one side.
    best = min((way for way in _WAYS if way.step in fitting), key=worth)
    sides, bench = _sides(grown[best.step], best, full[best.step])
    if best.close:
        yield "close"
    if best.step:
        yield f"grown-{best.step}"
    if best.whole:
        yield "whole"
    if best.ahead:
        yield f"ahead-{best.ahead}"
    if sides > 2:
        yield "spread"
        if best.whole and not best.ahead and _room_before(grown[best.step], best, full[best.step]):
            yield "fore"
    elif sides > 1 >= bench and grown[best.step].after * (CLOSER if best.close else 1) <= full[best.step]:
        yield "turned"


def _room_before(parts: Heights, way: Arrangement, full: float) -> bool:
    """Return whether a table begins the second side, and how the preparation is kept fits on the first; cautions may
    run on above the table."""
    closer = CLOSER if way.close else 1
    kept = (parts.head + parts.keeping) * closer
    return kept <= full < parts.table * closer and kept + (parts.cautions + sum(parts.phases)) * closer <= 2 * full


def _sides(parts: Heights, way: Arrangement, full: float) -> tuple[float, float]:
    """Return how many sides a leaf takes, and how many to the end of its method: those filled and part of the last."""
    ahead = (0, parts.keeping, parts.keeping + parts.cautions)[way.ahead]
    table = (sum(parts.phases),) if way.whole else parts.phases
    blocks = (
        (parts.head, False),
        *((height, True) for height in table),
        (ahead, False),
        (parts.work, True),
        (parts.keeping + parts.cautions + parts.rest - ahead, False),
        (parts.record, True),
    )
    at, ends = 0.0, []
    for height, whole in blocks:
        height *= CLOSER if way.close else 1
        if whole and height <= full < at % full + height:
            at = ceil(at / full) * full
        at += height
        ends.append(at / full)
    return ends[-1], ends[-3]


def heights(page: FormulaShown, column: Column) -> Heights:
    """Return how high the parts of a leaf are."""
    letter = column.prose * SERIF
    head = (
        6.5 * column.lines(page.title, 2.9, less=22)
        + column.small
        + 1.35 * POINT * column.prose * column.lines(page.purpose + page.use, letter)
        + column.gap * 2
        + (4.7 if column.narrow else 8.8)
        + column.small * column.lines(page.stamp_says, letter)
        + (_warnings(page.hazards, column) + 2 if page.hazards else 0)
        + ((column.small + 0.8) * len(page.first) + 6 if page.first else 0)
    )
    work = (
        column.small * column.lines("; ".join(page.equipment) + "Equipment", SMALL)
        + sum(6 + _blocks(part.text, column, column.text, column.letter, 6) for part in page.method)
        + column.gap * 2
    )
    secondary, letter = (column.small, SMALL) if column.narrow else (column.prose * 1.35 * POINT, letter)
    changes = "".join(change.text + 18 * "x" for change in page.changes)
    cautions = (_warnings(page.cautions, column) if page.cautions or page.cautions_text else 0) + _blocks(
        page.cautions_text, column, secondary, letter
    )
    rest = (
        _blocks(page.intro, column, secondary, letter)
        + sum(5 + column.gap + _blocks(part.text, column, secondary, letter) for part in page.parts)
        + (_label(page.label, column) if page.label else 0)
        + column.gap * 2
    )
    record = (
        column.small * column.lines("; ".join(page.source) + changes, SMALL)
        + column.small * column.lines("".join(_words(fact) for fact in page.why if not fact.general), SMALL)
        + column.gap
    )
    return Heights(
        head=head,
        phases=tuple(_table(page.table, column)),
        work=work,
        keeping=_keeping((*page.checks, *page.keeping), column),
        cautions=cautions,
        rest=rest,
        record=record,
    )


def _label(label: LabelShown, column: Column) -> float:
    list_ = column.lines(f"For a label, a draft by weight in the finished product: {label.text}", SMALL)
    notes = column.lines(" ".join(as_text(text) for text in (*label.asked, *label.notes)), SMALL)
    return column.small * (list_ + notes) + 1.6


def material_height(page: MaterialShown, column: Column) -> float:
    """Return how high a material is where it stands with others on a sheet, mm."""
    facts = "".join(_words(fact) + "   " for fact in page.facts)
    return (
        5.5 * column.lines(page.name, 2.1, less=25)
        + column.small * column.lines(f"{page.function} {page.also}", SMALL)
        + (_warnings(page.hazards, column) + 1 if page.hazards else 0)
        + (_warnings(page.cautions, column) if page.cautions else 0)
        + column.small * column.lines(facts, SMALL)
        + sum((4.5 if part.title else 0) + _blocks(part.text, column, 9 * 1.3 * POINT, TEXT) for part in page.parts)
        + column.small * column.lines("Source: " + "; ".join(page.source) if page.source else "", SMALL)
        + column.gap * 2
    )


def _words(fact: Fact) -> str:
    figures = "".join(figure.text + figure.unit for figure in fact.figures)
    return f"{fact.term} {figures} {as_text(fact.text)} {as_text(fact.note)}  "


def _keeping(facts: Sequence[Fact], column: Column) -> float:
    if not facts:
        return 0
    if column.narrow:
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


def _table(table: TableShown, column: Column) -> Iterator[float]:
    for number, phase in enumerate(table.phases):
        rows = sum(_row(row, column) for row in phase.rows)
        yield rows + (column.text + 1.5 if phase.letter else 0) + (6 if number == 0 else 0)
    aids = sum(_row(row, column) for row in table.aids)
    yield 5.5 + aids + (6 if table.aids else 0) + column.small * column.lines(table.verdict, SMALL) + column.gap


def _width(table: TableShown, column: Column) -> float:
    """Return how wide the table's longest words stand side by side, mm."""
    rows = [row for phase in table.phases for row in phase.rows] + list(table.aids)

    def longest(*texts: str) -> int:
        return max((len(word) for text in texts for word in re.split(r"[-\s]", text)), default=0)

    names = longest(*(row.link.words for row in rows)) * column.letter * 1.05 + 7
    written = max(16, longest(*(row.written for row in rows)) * SMALL * 1.1 + 1.5)
    grams = max((len(row.grams.figure.text) for row in rows if row.grams.figure), default=1) * column.points * 0.18 + 3
    measured = max((len(as_text(part.words)) for row in rows for part in row.measured), default=0) * SMALL + 2.5
    return names + written + (12 + grams + measured + column.blank if table.weighed else 0) + 10 * table.has_ml


def _row(row: LineShown, column: Column) -> float:
    width = column.width - column.blank
    name = ceil((len(row.link.words) * column.letter + len(row.function) * SMALL) / (NAME * column.width - 7))
    written = ceil(len(row.written) * SMALL / (0.18 * width))
    plan = (row.plan.summary, *row.plan.steps, row.plan.error + row.plan.left + row.plan.direct) if row.plan else ()
    below = sum(column.small * column.lines(note, SMALL, less=6) + 1 for note in (*plan, *row.notes))
    return 1.25 * POINT * column.points * max(1, name, written) + column.row + below
