"""The command that puts a batch on record: asked line by line, given by options, or handed over as text."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import IO, TYPE_CHECKING

import click

from .start import BOOK_ERRORS, CANNOT_WRITE, checked_book, common, day_option, main, say, today_or, width

if TYPE_CHECKING:
    from ..pipeline import Checked
    from ..recording import OnRecord
    from ..source.record_text import WrittenLine


@main.command()
@click.argument("code", required=False)
@click.option("--obtain", metavar="BATCH", help='What was to come out: "250 g", "12 x 50 mL + 5 %".')
@click.option(
    "--weighed",
    multiple=True,
    metavar="LINE",
    help='What was weighed: "glycerol-85: 25.2 g, lot GL-2211"; once for each line.',
)
@click.option(
    "--weighed-beforehand",
    "beforehand",
    multiple=True,
    metavar="LINE",
    help='What was weighed for a stock: "citric-acid: 1.00 g, lot CA-7".',
)
@click.option("--came-out", metavar="AMOUNT", help='What came out: "617 g".')
@click.option("--ph", "--pH", "ph", metavar="PH", help="The pH that was measured.")
@click.option("--filled", metavar="JARS", help='What was filled: "12 x 50 mL".')
@click.option("--kept-sample", metavar="JARS", help='What was kept back: "1 x 10 mL".')
@click.option("--outcome", metavar="WORD", help="good, reworked or discarded.")
@click.option("--next-time", metavar="TEXT", help="What to do next time.")
@click.option("--notes", metavar="TEXT", help="Notes, such as why something was off the plan.")
@click.option("--from", "source", type=click.File("rb"), metavar="FILE", help="The record as text; - reads it here.")
@common
@day_option("The day of making")
def record(
    code: str | None,
    obtain: str | None,
    weighed: tuple[str, ...],
    beforehand: tuple[str, ...],
    came_out: str | None,
    ph: str | None,
    filled: str | None,
    kept_sample: str | None,
    outcome: str | None,
    next_time: str | None,
    notes: str | None,
    source: IO[bytes] | None,
    book: Path,
    today: date | None,
) -> int:
    """Put one batch of the formula CODE on record, in formulas/batches/.

    What weigh gives today stands in it as planned; what was weighed, of which lot, and what came out is asked line by
    line on a terminal, or given by options. The record is checked before it is written, and nothing is written over: a
    second batch of the day ends in -b.

    \b
      bookgen record S-02 --obtain "12 x 50 mL + 5 %"     asks line by line
      bookgen record S-02 --weighed "glycerol-85: 25.2 g, lot GL-2211" --came-out "617 g"
      bookgen record --from S-02-2026-11-29.md            the text of the bench page, saved as a file
      bookgen record < S-02-2026-11-29.md                 the same
    """
    from ..bench import Refused, Unknown
    from ..recording import (
        NotRecorded,
        batch_record,
        handed_over,
        planned_batch,
        planned_beforehand,
        planned_lines,
        put_on_record,
        put_text_on_record,
        weighed_of,
    )
    from ..source.writing import CannotAdd
    from ..terminal import batch as terminal

    given = {"came out": came_out, "pH": ph, "filled": filled, "kept sample": kept_sample, "outcome": outcome,
             "next time": next_time}  # fmt: skip
    more = {key: text for key, text in given.items() if text is not None}
    as_text = source is not None or code is None
    if as_text and (code is not None or obtain is not None or weighed or beforehand or more or notes is not None):
        raise click.UsageError("A record that is handed over as text goes alone; correct the text itself.")
    if code is None and source is None and sys.stdin.isatty():
        raise click.UsageError("Name the formula, or hand over a record with --from FILE.")
    if code is not None and not weighed and not sys.stdin.isatty():
        raise click.UsageError(
            'Say what was weighed: --weighed "glycerol-85: 25.2 g, lot GL-2211", once for each line.'
        )
    checked = checked_book(book, filed=False)
    try:
        if code is None:
            done = put_text_on_record(checked, (source or sys.stdin.buffer).read())
        else:
            weighing = planned_batch(checked, code, obtain, today_or(today))
            planned, stocks = planned_lines(weighing), planned_beforehand(weighing)
            if weighed:
                first, lines = weighed_of(checked, beforehand, stocks), weighed_of(checked, weighed, planned)
            else:
                say(HOW_TO_ANSWER)
                first = weighed_of(checked, beforehand, stocks) or _ask_lines(checked, stocks, "for a stock, ")
                lines, more = _ask_lines(checked, planned), _ask_rest(checked, more)
            formula, day = weighing.formula, today_or(today)
            written = batch_record(formula, day, obtain, planned, lines, more, notes or "", first)
            with _kept_where_refused(handed_over(formula, written), typed=not weighed):
                done = put_on_record(checked, formula, written)
    except KeyboardInterrupt:
        raise KeyboardInterrupt("nothing was written") from None
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    except Refused as refused:
        say(terminal.refusal_text(refused.told, refused.findings, refused.signs, width()), err=True)
        return BOOK_ERRORS
    except NotRecorded as reason:
        if not reason.findings:
            raise click.UsageError(str(reason)) from reason
        say(terminal.findings_text(reason.findings, width()), err=True)
        say(str(reason), err=True)
        return BOOK_ERRORS
    except CannotAdd as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    _tell(done, book)
    return 0


@contextmanager
def _kept_where_refused(text: str, *, typed: bool) -> Iterator[None]:
    """Print what was typed at the terminal where it is not put on record, so that nothing has to be typed again."""
    from ..recording import NotRecorded
    from ..source.writing import CannotAdd

    try:
        yield
    except (NotRecorded, CannotAdd):
        if typed:
            say(text)
            say(MEND_IT, err=True)
        raise


MEND_IT = "What was typed stands above: save it as a file, mend it, and hand it over with bookgen record --from FILE."
HOW_TO_ANSWER = (
    "Type each amount with its lot, as in 25.2 g, lot GL-2211; two lots apart by ;. An empty line leaves it out."
)


def _ask_lines(checked: Checked, planned: Sequence[WrittenLine], what: str = "") -> tuple[WrittenLine, ...]:
    """Ask what was weighed of each line; an empty line leaves it out, `;` parts the amounts of several lots.

    Of a stock its weight is typed, as the balance shows it; how it was thinned is as planned.
    """
    from ..recording import thinned_as
    from ..source.record_text import WrittenLine

    found: list[WrittenLine] = []
    for line in planned:
        phase = f"{line.phase}  " if line.phase else ""
        answer = _ask(checked, f"{phase}{line.material}, {what}{line.text} planned: ", "", line.material) or ""
        for text in filter(None, map(str.strip, answer.split(";"))):
            found.append(WrittenLine(material=line.material, phase=line.phase, text=thinned_as(text, line.text)))
    return tuple(found)


def _ask_rest(checked: Checked, given: Mapping[str, str]) -> dict[str, str]:
    """Ask for what else belongs to a record and is not given by an option; an empty line leaves it out."""
    from ..recording import KEYS

    found = dict(given)
    for key in KEYS:
        if key not in found and (text := _ask(checked, f"{key if key == 'pH' else key.capitalize()}: ", key)):
            found[key] = text
    return found


def _ask(checked: Checked, question: str, key: str, material: str = "") -> str | None:
    """Return what is typed, None for an empty line or the end; what cannot be read is told and asked for again."""
    from ..recording import complaints_about
    from ..show import signs_of

    while True:
        say(question, nl=False, err=True)
        line = sys.stdin.readline().strip()
        if not line:
            return None
        parts = line.split(";") if material else [line]
        told = [
            complaint for part in parts if part.strip() for complaint in complaints_about(checked, key, part, material)
        ]
        if not told:
            return line
        for complaint in told:
            say(complaint.words(signs_of(checked.book.workroom)), err=True)


def _tell(done: OnRecord, book: Path) -> None:
    from ..terminal import batch as terminal

    if done.renumbered:
        say(f"{done.renumbered} is the number of another batch, so this is {done.number}.")
    say(f"Written: {book / done.path}")
    if done.findings:
        say(terminal.findings_text(done.findings, width()), err=True)
