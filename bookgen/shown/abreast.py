"""Several formulas on one worksheet, side by side: trials of one base, each a column, in one line what is the same.

Enters: a batch of each, the shelf, the day.  Leaves: `AbreastShown`.  Lines are matched by phase and ingredient.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from .. import show
from ..language import word
from ..model import Known
from ..reckon.compared import steps_of
from ..reckon.weighing import Weighing
from .formula import formula_shown
from .phrases import Figure, Phrase, joined
from .records import Caution, Fact, FormulaShown, Frame, LineShown, Link, PlanShown
from .shelf import Shelf, Way
from .wanted import asked_in_words
from .worksheet import take_of

Place = tuple[str, str, bool]
"""Phase, ingredient, and whether it counts to what the formula makes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialColumn:
    """One formula, as the head of its column."""

    code: str
    """The code."""
    title: str
    """The title."""
    issue: str
    """Number of the issue."""
    stamp: str
    """`draft`, `trial`; empty for an approved formula."""
    obtain: Fact
    """How much is to come out."""
    total: Figure | None
    """The printed total; None where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AbreastCell:
    """What of an ingredient goes into one of them."""

    take: Phrase
    """How much, in one unit."""
    measured: Phrase
    """With which balance or dropper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AbreastRow:
    """One ingredient in all columns."""

    link: Link
    """What is weighed."""
    differs: bool
    """True where its share is not known to be the same in all."""
    cells: tuple[AbreastCell | None, ...]
    """Column by column; None where it does not go in."""
    notes: tuple[tuple[str, str | Phrase], ...]
    """Remarks, each behind the codes that it holds for; no codes where it holds for all."""
    plans: tuple[tuple[str, PlanShown], ...]
    """The stocks that it is taken from, each behind the codes that it holds for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AbreastPhase:
    """What is weighed of one phase."""

    letter: str
    """The phase's letter; empty in a formula without phases."""
    instruction: str
    """What is done with the phase."""
    rows: tuple[AbreastRow, ...]
    """Its ingredients."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AbreastStep:
    """One step of the method."""

    codes: str
    """Whose step it is; empty where it is a step of all."""
    text: str
    """Its words; how much of each stands in the table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AbreastShown:
    """Several formulas on one worksheet."""

    frame: Frame
    """What surrounds it."""
    columns: tuple[TrialColumn, ...]
    """The formulas."""
    made: str
    """The day of making."""
    asked: str
    """The batch as it was asked for; empty where each is as it is written."""
    hazards: tuple[Caution, ...]
    """Dangers in making any of them."""
    first: tuple[tuple[Link, tuple[Fact | None, ...]], ...]
    """What is made first, with how much of it for each column."""
    phases: tuple[AbreastPhase, ...]
    """The weighings."""
    equipment: tuple[str, ...]
    """What is needed."""
    steps: tuple[AbreastStep, ...]
    """The method."""
    checks: tuple[tuple[str, tuple[str, ...]], ...]
    """What is to be expected, column by column."""


def abreast_shown(weighings: Sequence[Weighing], shelf: Shelf, picture: Way, today: date) -> AbreastShown:
    """Return the worksheet of several batches made today."""
    pages = [formula_shown(weighing.figures, weighing, shelf, picture, on_paper=True) for weighing in weighings]
    asked = weighings[0].obtain
    return AbreastShown(
        frame=pages[0].frame,
        columns=tuple(
            TrialColumn(
                code=page.code,
                title=page.title,
                issue=page.issue,
                stamp=page.stamp,
                obtain=page.batch[0],
                total=replace(page.table.total.figure, unit="g") if page.table.total.figure else None,
            )
            for page in pages
        ),
        made=show.day(today),
        asked=asked_in_words(asked, shelf.signs) if asked else "",
        hazards=tuple(dict.fromkeys(hazard for page in pages for hazard in page.hazards)),
        first=tuple(_first(pages)),
        phases=tuple(_phases(weighings, pages)),
        equipment=tuple(dict.fromkeys(item for page in pages for item in page.equipment)),
        steps=tuple(_steps(weighings)),
        checks=tuple(_checks(weighings, shelf.signs)),
    )


# ── The weighings ─────────────────────────────────────────────────────────────────────────────────────────────────────


def _phases(weighings: Sequence[Weighing], pages: Sequence[FormulaShown]) -> Iterator[AbreastPhase]:
    lines = [
        {(line.figure.phase, line.figure.key or line.figure.name, line.figure.counts): line.figure.index
         for line in weighing.evaluation.lines}
        for weighing in weighings
    ]  # fmt: skip
    order = in_one_order([list(column) for column in lines])
    instructions: dict[str, str] = {}
    for weighing in weighings:
        for phase in weighing.formula.ingredients:
            instructions.setdefault(phase.letter, phase.instruction)
    for letter, instruction in instructions.items():
        rows = tuple(_row(place, lines, weighings, pages) for place in order if place[0] == letter)
        if rows:
            yield AbreastPhase(letter=letter, instruction=instruction, rows=rows)


def in_one_order(columns: Sequence[Sequence[Place]]) -> list[Place]:
    """Return what stands in any column, once, each behind what stands before it where it is new.

    >>> one, two, three = (("A", name, True) for name in ("oil", "wax", "resin"))
    >>> [name for _, name, _ in in_one_order([[one, two], [one, three, two]])]
    ['oil', 'resin', 'wax']
    """
    order: list[Place] = []
    for column in columns:
        at = 0
        for place in column:
            if place in order:
                at = order.index(place) + 1
            else:
                order.insert(at, place)
                at += 1
    return order


def _row(
    place: Place, lines: Sequence[dict[Place, int]], weighings: Sequence[Weighing], pages: Sequence[FormulaShown]
) -> AbreastRow:
    cells: list[AbreastCell | None] = []
    shares: list[Known | None] = []
    notes: dict[str | Phrase, list[str]] = {}
    plans: dict[PlanShown, list[str]] = {}
    link: Link | None = None
    for column, weighing, page in zip(lines, weighings, pages, strict=True):
        index = column.get(place)
        if index is None:
            cells.append(None)
            shares.append(None)
            continue
        row = _shown(page)[index]
        line = weighing.evaluation.lines[index]
        link = link or row.link
        measured = joined(", ", (said.words for said in row.measured if not said.much))
        cells.append(AbreastCell(take=take_of(line, row), measured=measured))
        shares.append(line.figure.percent)
        for note in row.notes:
            notes.setdefault(note, []).append(page.code)
        if row.plan is not None:
            plans.setdefault(row.plan, []).append(page.code)
    assert link is not None, "a place is one of a column"
    return AbreastRow(
        link=link,
        differs=any(share is None or share != shares[0] for share in shares),
        cells=tuple(cells),
        notes=tuple(("" if len(codes) == len(pages) else show.listing(codes), note) for note, codes in notes.items()),
        plans=tuple(
            (word("{codes}, each", codes=show.listing(codes)) if codes[1:] else codes[0], plan)
            for plan, codes in plans.items()
        ),
    )


def _shown(page: FormulaShown) -> dict[int, LineShown]:
    rows = {row.index: row for phase in page.table.phases for row in phase.rows}
    return rows | {row.index: row for row in page.table.aids}


# ── What stands around them ───────────────────────────────────────────────────────────────────────────────────────────


def _first(pages: Sequence[FormulaShown]) -> Iterator[tuple[Link, tuple[Fact | None, ...]]]:
    for link in dict.fromkeys(first.link for page in pages for first in page.first):
        yield (
            link,
            tuple(next((first.amounts[0] for first in page.first if first.link == link), None) for page in pages),
        )


def _steps(weighings: Sequence[Weighing]) -> Iterator[AbreastStep]:
    """Yield the steps of a method that all have, or each method on its own."""
    methods: dict[tuple[str, ...], list[str]] = {}
    for weighing in weighings:
        methods.setdefault(steps_of(weighing.formula), []).append(weighing.formula.code)
    for steps, codes in methods.items():
        for step in steps:
            yield AbreastStep(codes=show.listing(codes) if len(methods) > 1 else "", text=step)


def _checks(weighings: Sequence[Weighing], signs: show.Signs) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what is expected of each: how it looks, and its pH."""
    appearance = tuple(show.written(weighing.formula.appearance, signs) for weighing in weighings)
    acidity = []
    for weighing in weighings:
        ph = weighing.formula.ph
        ends = () if ph is None else dict.fromkeys((ph.low.text, ph.high.text))
        acidity.append(show.written(" to ".join(ends), signs))
    yield "Appearance", appearance
    yield "pH", tuple(acidity)
