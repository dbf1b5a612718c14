"""A worksheet: today's batch on paper, in the order of work, with blanks for what really happens.

Enters: one batch, the shelf, the day.  Leaves: `WorksheetShown`.  Whatever is reckoned stands beside a blank, never in
it.  For a trainee the amounts are left out here, so that they are absent and not merely hidden.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, word
from ..model import Known
from ..reckon.batchline import Aliquot, BatchLine, Counted, OnlyCounted, Weighed
from ..reckon.first import MakeFirst
from ..reckon.known import add
from ..reckon.links import LinkAmount
from ..reckon.measure import finest_first
from ..reckon.tried import tried
from ..reckon.turns import Turn
from ..reckon.weighing import Weighing
from .body import amount_of
from .figures import NOT_KNOWN, weight
from .formula import formula_shown
from .from_shelf import content_words, first_words, lots_in_short
from .held import held_words
from .phrases import (
    NOTHING,
    Amount,
    Block,
    Danger,
    Figure,
    Grid,
    Heading,
    Inline,
    Listing,
    Paragraph,
    Phrase,
    Prose,
    Quote,
    Stressed,
    joined,
    phrase,
    pieces_of,
    within,
)
from .records import Caution, Fact, First, FormulaShown, Frame, LineShown, Link, PlanShown, TextPart
from .shelf import Shelf, Way
from .table import balance_words
from .wanted import asked_in_words

BLANK = show.NBSP * 12
"""As wide as a number that is written by hand into a line of the method."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighingRow:
    """One weighing: the whole of a line, or the portion of it that a step of the method takes."""

    link: Link
    """What is weighed."""
    written: str
    """The amount of the whole line, as the formula has it."""
    portion: str
    """Which portion of it this is: `1/2 of it`, `the rest`; empty for the whole."""
    take: Phrase
    """How much, in one unit; nothing on a trainee's sheet."""
    measured: Phrase
    """With which balance or dropper, and how surely; nothing on a trainee's sheet."""
    common: bool
    """True where it is weighed plainly on the balance that most are, which `WorksheetShown.on` names."""
    so_far: Figure | None
    """Grams in the vessel once it is in, the vessel itself aside; None where that is not known, and for a trainee."""
    plan: PlanShown | None
    """The stock that it is taken from, where it is too little to weigh."""
    notes: tuple[str | Phrase, ...]
    """Remarks on it."""
    instead: tuple[str, ...]
    """What to weigh of a lot that holds more or less of a substance than reckoned for; nothing on a trainee's sheet."""
    apart: str
    """What to do where the vessel holds more than the balance does; nothing on a trainee's sheet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotsShown:
    """The lots that one ingredient is to be taken of."""

    name: str
    """The ingredient, with its code if it has one."""
    words: str
    """Its lots, first expiring first: `GL-2211 until 2028-03-31`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselShown:
    """What is weighed into one vessel, one after the other."""

    letter: str
    """The phase's letter; empty in a formula without phases."""
    instruction: str
    """What is done with the phase."""
    rows: tuple[WeighingRow, ...]
    """The weighings in the order of the method."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorksheetShown:
    """The worksheet of one batch."""

    frame: Frame
    """What surrounds it."""
    code: str
    """The code."""
    title: str
    """The title."""
    issue: str
    """Number of the issue."""
    issued: str
    """Its date."""
    stamp: str
    """`draft`, `trial`; empty for an approved formula."""
    stamp_says: str | Phrase
    """What the stamp means."""
    made: str
    """The day of making."""
    asked: str
    """The batch as it was asked for: `12 × 50 mL + 5 %`; empty where that is the amount itself."""
    batch: tuple[Fact, ...]
    """To obtain, weigh in all, yield; on a trainee's sheet to obtain and yield."""
    hazards: tuple[Caution, ...]
    """Dangers in making it."""
    tried: tuple[Phrase, ...]
    """What was made of it so far, and what was to be done next time; nothing where no record tells."""
    first: tuple[First, ...]
    """What is made first, in the order of work; on a trainee's sheet without amounts."""
    instead: tuple[str, ...]
    """Beside each that is made first what is there of it already; empty where nothing is, and on a trainee's sheet."""
    lots: tuple[LotsShown, ...]
    """The lots to take, in the order of the table; nothing on a trainee's sheet."""
    on: str
    """On which balance most is weighed; nothing on a trainee's sheet, and where there is none."""
    vessels: tuple[VesselShown, ...]
    """The weighings."""
    total: Figure | None
    """The printed total; None where there is none, and on a trainee's sheet."""
    total_why: str | Phrase
    """Why there is none, or what it leaves out."""
    verdict: Phrase
    """How sure the batch is; nothing on a trainee's sheet."""
    equipment: tuple[str, ...]
    """What is needed."""
    method: tuple[TextPart, ...]
    """The method with the amounts of this batch; on a trainee's sheet with blanks."""
    checks: tuple[Fact, ...]
    """What is to be expected: appearance, pH, density."""
    keeping: tuple[Fact, ...]
    """Container, place, use-by with its reason."""
    fills: str
    """How many containers of what content are to be filled; empty where none were named."""
    blank: bool
    """True for a trainee's sheet."""


def worksheet_shown(weighing: Weighing, shelf: Shelf, picture: Way, today: date) -> WorksheetShown:
    """Return the worksheet of a batch made today."""
    figures, asked = weighing.figures, weighing.obtain
    page = formula_shown(figures, weighing, shelf, picture, on_paper=True)
    return WorksheetShown(
        frame=page.frame,
        code=page.code,
        title=page.title,
        issue=page.issue,
        issued=page.issued,
        stamp=page.stamp,
        stamp_says=page.stamp_says,
        made=show.day(today),
        asked=asked_in_words(asked, shelf.signs)
        if asked and (asked.containers or asked.supplies or asked.times)
        else "",
        batch=page.batch,
        hazards=page.hazards,
        tried=tuple(_tried(weighing, shelf)),
        first=page.first,
        instead=tuple(_there(made, weighing, shelf.signs) for made in reversed(weighing.make_first)),
        lots=tuple(_lots(weighing, page, shelf.signs)),
        on=page.table.on,
        vessels=tuple(_vessels(weighing, page, shelf)),
        total=replace(page.table.total.figure, unit="g") if page.table.total.figure else None,
        total_why=page.table.total_why,
        verdict=page.table.verdict,
        equipment=page.equipment,
        method=page.method,
        checks=page.checks,
        keeping=(*(fact for fact in page.keeping if fact.term in map(word, _KEPT)), _use_by(weighing, shelf.signs)),
        fills=_fills(weighing, shelf.signs),
        blank=False,
    )


_KEPT = (noted("Container"), noted("Keep in"))
"""What of the keeping a worksheet repeats; its own use-by is a date."""


def for_trainee(sheet: WorksheetShown) -> WorksheetShown:
    """Return the same worksheet with all that is reckoned from the batch left out."""
    return replace(
        sheet,
        batch=tuple(fact for fact in sheet.batch if fact.term in map(word, _GIVEN)),
        first=tuple(replace(first, amounts=()) for first in sheet.first),
        instead=("",) * len(sheet.first),
        lots=(),
        on="",
        vessels=tuple(replace(vessel, rows=tuple(map(_emptied_row, vessel.rows))) for vessel in sheet.vessels),
        total=None,
        total_why="",
        verdict=NOTHING,
        method=tuple(
            replace(part, text=Prose(tuple(_emptied(block) for block in part.text.blocks))) for part in sheet.method
        ),
        blank=True,
    )


_GIVEN = (noted("To obtain"), noted("Yield"))
"""What a trainee starts from."""


def _emptied_row(row: WeighingRow) -> WeighingRow:
    lasting = tuple(note for note in row.notes if not any(isinstance(piece, Figure) for piece in pieces_of(note)))
    return replace(row, take=NOTHING, measured=NOTHING, so_far=None, plan=None, notes=lasting, instead=(), apart="")


def _emptied(block: Block) -> Block:
    """Return a block of the method with a blank for each amount."""
    match block:
        case Paragraph() | Danger() | Heading():
            return replace(block, parts=within(block.parts, _blank_for))
        case Listing(items=items):
            return replace(block, items=tuple(tuple(_emptied(inner) for inner in item) for item in items))
        case Quote(blocks=blocks):
            return replace(block, blocks=tuple(_emptied(inner) for inner in blocks))
        case Grid(head=head, rows=rows):
            cells = [
                tuple(replace(cell, parts=within(cell.parts, _blank_for)) for cell in row) for row in (head, *rows)
            ]
            return replace(block, head=cells[0], rows=tuple(cells[1:]))
        case _:
            return block


def _blank_for(piece: Inline) -> Inline:
    return Amount(piece.number, (BLANK,), known=True) if isinstance(piece, Amount) else piece


# ── The weighings ─────────────────────────────────────────────────────────────────────────────────────────────────────


def _vessels(weighing: Weighing, page: FormulaShown, shelf: Shelf) -> Iterator[VesselShown]:
    """Yield what is weighed into each vessel, in the order of the method."""
    formula, lines = weighing.formula, weighing.evaluation.lines
    instructions = {phase.letter: phase.instruction for phase in formula.ingredients}
    for (_, letter), into in groupby(weighing.turns, key=lambda turn: (turn.vessel, lines[turn.row].figure.phase)):
        rows = tuple(_rows(tuple(into), weighing, page, shelf.signs))
        yield VesselShown(letter=letter, instruction=instructions.get(letter, ""), rows=rows)


def _rows(turns: Sequence[Turn], weighing: Weighing, page: FormulaShown, signs: show.Signs) -> Iterator[WeighingRow]:
    shown = {row.index: row for phase in page.table.phases for row in phase.rows}
    shown |= {row.index: row for row in page.table.aids}
    held: list[Known] = []
    steps: list[Fraction | None] = []
    told: set[int] = set()
    for turn in turns:
        line, row = weighing.evaluation.lines[turn.row], shown[turn.row]
        part = weighing.links[turn.link] if turn.portion and turn.link is not None else None
        held.append(part.grams if part else line.grams if line.is_unshown else line.printed)
        steps.append(part.step if part else line.step)
        take = take_of(line, row) if part is None else Phrase(amount_of(turn.link or 0, part, signs).parts)
        beside = part is None and isinstance(line.metered, Weighed)  # drops that stand beside the weight
        yield WeighingRow(
            link=row.link,
            written=row.written,
            portion=_portion(part) if part else "",
            take=take,
            measured=joined(", ", (said.words for said in row.measured if beside or not said.much)),
            common=row.common,
            so_far=_so_far(f"turn-{turn.vessel}-{len(held)}.so-far", add(held), steps, signs),
            plan=row.plan,
            notes=row.notes,
            instead=() if turn.row in told else _instead(turn.row, weighing, signs),
            apart=_apart(line, add(held), weighing, signs),
        )
        told.add(turn.row)


def _portion(part: LinkAmount) -> str:
    """Return which portion of a line an amount of the method is."""
    share = part.link.portion
    return word("the rest") if part.link.rest or share is None else word("{share} of it", share=share)


def take_of(line: BatchLine, row: LineShown) -> Phrase:
    """Return how much of a line is taken: drops where it is counted, the two weights of diluted ethanol, else its
    weight or its volume."""
    much = [part.words for part in row.measured if part.much]
    if much and (isinstance(line.metered, Counted | OnlyCounted) or line.blended is not None):
        return much[-1]
    for cell, unit in ((row.grams, "g"), (row.ml, "mL")):
        if cell.figure is not None:
            return Phrase((replace(cell.figure, unit=unit),))
    return NOTHING if line.figure.is_fill else Phrase((word(NOT_KNOWN),))


def _apart(line: BatchLine, held: Known, weighing: Weighing, signs: show.Signs) -> str:
    """Return what to do where all that is in the vessel, itself aside, is more than a line's balance holds.

    Balances are told apart by their steps, as two may have one name; a count has none that it is read on.
    """
    if not isinstance(line.metered, Weighed | Aliquot) or isinstance(held, Missing):
        return ""
    for balance in finest_first(weighing.workroom.balances):
        most = balance.capacity_g
        if balance.name == line.with_ and balance.readability_g == line.step and most is not None and held > most:
            told = noted("More than the {balance} holds ({most}): weigh it apart and tip it in.")
            return word(told, balance=balance_words(balance.name), most=show.with_unit(show.plain(most, signs), "g"))
    return ""


def _so_far(name: str, grams: Known, steps: Sequence[Fraction | None], signs: show.Signs) -> Figure | None:
    """Return what is in a vessel, with the digits of the finest balance that weighed into it."""
    if isinstance(grams, Missing):
        return None
    finest = None if None in steps else min(step for step in steps if step is not None)
    return weight(name, grams, finest, signs, unit="")


# ── What the shelf has of it ──────────────────────────────────────────────────────────────────────────────────────────


def _there(made: MakeFirst, weighing: Weighing, signs: show.Signs) -> str:
    """Return what is there of an intermediate; empty where nothing is."""
    there = weighing.from_shelf.first.get(made.key) if weighing.from_shelf else None
    return first_words(there, signs) if there else ""


def _lots(weighing: Weighing, page: FormulaShown, signs: show.Signs) -> Iterator[LotsShown]:
    """Yield the lots that each line is to be taken of; lines that are alike are named once.

    What is there of an intermediate stands where it says to make it first.
    """
    lines = weighing.figures.amounts.lines
    told: set[LotsShown] = set()
    for row in (*(row for phase in page.table.phases for row in phase.rows), *page.table.aids):
        proposals = weighing.from_shelf.lines.get(row.index, ()) if weighing.from_shelf else ()
        if proposals and weighing.from_shelf and lines[row.index].key not in weighing.from_shelf.first:
            words = lots_in_short(proposals, signs)
            name = f"{row.link.code} {row.link.words}" if row.link.code else row.link.words
            lots = LotsShown(name=name, words=words)
            if lots not in told:
                told.add(lots)
                yield lots


def _instead(row: int, weighing: Weighing, signs: show.Signs) -> tuple[str, ...]:
    proposals = weighing.from_shelf.lines.get(row, ()) if weighing.from_shelf else ()
    return tuple(words for proposal in proposals for words in content_words(proposal, signs))


# ── What it comes to ──────────────────────────────────────────────────────────────────────────────────────────────────


def _tried(weighing: Weighing, shelf: Shelf) -> Iterator[Phrase]:
    """Yield what the records tell of a formula: how much was made at a time, and what to do next time."""
    found, signs = tried(shelf.reckoning, weighing.figures.key), shelf.signs
    if found.count:
        often = {1: noted("Made once so far"), 2: noted("Made twice so far")}.get(
            found.count, noted("Made {count} times so far")
        )
        words = phrase(often, count=found.count)
        if found.least is not None and found.most is not None:
            ends = dict.fromkeys((found.least, found.most))
            sizes = (
                _plain(f"tried.{name}", size, found.unit, signs)
                for name, size in zip(("least", "most"), ends, strict=False)
            )
            words += ", "
            words += joined(f" {word('to')} ", sizes)
            # What came out falls a little short of its plan: the same plan again is no larger batch.
            if found.span and not found.span[0] <= weighing.evaluation.obtain <= found.span[1]:
                many = noted("that") if len(ends) == 1 else noted("any of these")
                beyond = (
                    noted("; today’s batch is larger than {many}, and heating and cooling do not scale with it")
                    if weighing.evaluation.obtain > found.most
                    else noted("; today’s batch is smaller than {many}, and heating and cooling do not scale with it")
                )
                words += word(beyond, many=word(many))
        yield words + "."
    if found.next_time is not None:
        said = show.sentence(show.written(found.next_time.next_time, signs))
        yield phrase("{label} {said} ({batch})", label=Stressed((word("Next time:"),), strong=True), said=said,
                     batch=found.next_time.batch)  # fmt: skip


def _plain(name: str, size: Fraction, unit: str, signs: show.Signs) -> Figure:
    return Figure(text=show.plain(size, signs), value=show.exact(size), name=name, unit=unit)


def _use_by(weighing: Weighing, signs: show.Signs) -> Fact:
    """Return the last day of use with its reason."""
    if isinstance(weighing.use_by, Missing):
        return Fact(term=word("Use by"), text=word("not known: {why}.", why=weighing.use_by.says.words(signs)))
    reason = show.written(str(weighing.use_by_why), signs)
    return Fact(
        term=word("Use by"), text=word("up to and including {day}", day=show.day(weighing.use_by)), note=f"({reason})"
    )


def _fills(weighing: Weighing, signs: show.Signs) -> str:
    """Return how many containers a batch is to fill: `12 × 50 mL`."""
    if weighing.container is None or weighing.containers_full is None:
        return ""
    return f"{weighing.containers_full}{show.THIN}×{show.THIN}{held_words(weighing.container, signs)}"
