"""The commands, and the only room that prints.

Output goes to stdout, everything else to stderr.  Exit: 0 done, 1 the book has errors, 2 wrong use, 3 cannot write,
130 interrupted.  Only click is imported here; each command imports what it needs.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from . import __version__

if TYPE_CHECKING:
    from .pipeline import Checked

BOOK_ERRORS = 1
CANNOT_WRITE = 3
INTERRUPTED = 130

_Command = TypeVar("_Command", bound=Callable[..., Any])


class _Commands(click.Group):
    """The group of commands, with this program's exit codes and commands in the order of work."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            # The reader has enough, as `head` has: what is still held back goes nowhere.
            _drop_the_rest()
            return 0

    def main(self, *args: Any, **extra: Any) -> Any:
        extra.update(standalone_mode=False, prog_name="bookgen")
        _write_what_the_terminal_can_show()
        try:
            sys.exit(super().main(*args, **extra) or 0)
        except click.ClickException as wrong:
            wrong.show()
            sys.exit(wrong.exit_code)
        except (click.Abort, KeyboardInterrupt):
            click.echo("Interrupted; the earlier pages are as they were.", err=True)
            sys.exit(INTERRUPTED)
        except OSError as reason:
            _drop_the_rest()
            where = f"{reason.filename}: " if reason.filename else ""
            click.echo(f"Cannot write: {where}{reason.strerror or reason}.", err=True)
            sys.exit(CANNOT_WRITE)


def _write_what_the_terminal_can_show() -> None:
    """Let no character stop an answer: thin spaces become plain ones and the rest `?` where they cannot be shown.

    Bytes of a file name that are no text are written as escapes, in JSON as the escapes JSON has for them.
    """
    import codecs

    codecs.register_error("bookgen", _shown_otherwise)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="bookgen")


def _shown_otherwise(reason: UnicodeError) -> tuple[str, int]:
    if not isinstance(reason, UnicodeEncodeError):
        raise reason
    text = ""
    for sign in reason.object[reason.start : reason.end]:
        if "\ud800" <= sign <= "\udfff":
            text += f"\\u{ord(sign):04x}"
        else:
            text += _PLAINLY.get(sign, "?")
    return text, reason.end


_PLAINLY = {"\u202f": " ", "\u00a0": " ", "\u2212": "-", "\u00d7": "x", "\u00b7": "-", "\u2248": "about", "\u2013": "-"}
"""Signs of ours that a terminal without Unicode may lack, and what stands for them there."""


def _drop_the_rest() -> None:
    """Send what is still held for stdout nowhere, so that closing it does not fail once more."""
    import os

    if isinstance(sys.stdout, io.TextIOWrapper):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        with suppress(OSError):
            os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


class _Day(click.ParamType[date]):
    """A date by ISO 8601."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is no date; write year-month-day, such as 2026-03-02.", param, ctx)


def _today(given: date | None) -> date:
    """Return the day of making: as given, else SOURCE_DATE_EPOCH, else the clock."""
    import os

    if given is not None:
        return given
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if not epoch:
        return datetime.now().astimezone().date()
    try:
        if not (epoch.isascii() and epoch.isdigit()):
            raise ValueError
        return datetime.fromtimestamp(int(epoch), tz=UTC).date()
    except (ValueError, OverflowError, OSError):
        raise click.UsageError(f"SOURCE_DATE_EPOCH is {epoch!r}; it has to be a count of seconds since 1970.") from None


def _common(command: _Command) -> _Command:
    """Give a command the options that all have."""
    command = click.option(
        "--today", type=_Day(), metavar="DATE", help="The day of making, year-month-day (default: today)."
    )(command)
    return click.option(
        "--book",
        type=click.Path(exists=True, file_okay=False, path_type=Path),
        default=Path("."),
        metavar="DIR",
        help="The book: a folder that holds formulas/ (default: here).",
    )(command)


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Exit codes: 0 done, 1 the book has errors, 2 wrong use, 3 cannot write, 130 interrupted.",
)
@click.version_option(__version__, prog_name="bookgen")
def main() -> None:
    """Keep a formula book whose figures are always right.

    A book is a folder with formulas/ in it: one Markdown file a formula, one a material, and workroom.yaml for your
    balances and droppers. bookgen reads it, reckons every figure, says what is wrong, and makes pages and a binder.

    \b
    Every day:
      bookgen check                          what is wrong, and where
      bookgen weigh S-02 --obtain "250 g"    today's batch, here in the terminal
      bookgen publish                        check, then pages and binder into site/
    """


def _checked(book: Path) -> Checked:
    """Read, reckon and review the book; stop where there is none."""
    from .pipeline import NoBook, check_book

    try:
        return check_book(book)
    except NoBook as missing:
        raise click.UsageError(str(missing)) from missing


def _width() -> int:
    """Return the terminal's columns; in a pipe as many as text is ever set in."""
    from shutil import get_terminal_size

    from .pages.terminal import WIDEST

    return get_terminal_size((WIDEST, 24)).columns


def _say_findings(checked: Checked) -> None:
    from .pages.terminal import findings_text

    text = findings_text(checked.review.findings, _width())
    if text:
        click.echo(text, err=True)


def _progress(label: str) -> Callable[[int, int], None] | None:
    """Return a counter for a terminal; none in a pipe."""
    if not sys.stderr.isatty():
        return None

    def tell(done: int, of: int) -> None:
        click.echo(f"\r{label}: {done} of {of}", nl=done == of, err=True)

    return tell


def _publish(book: Path, today: date | None, out: Path | None, *, site: bool, binder: bool) -> int:
    from .pipeline import CannotPublish, publish

    checked = _checked(book)
    _say_findings(checked)
    if checked.unreadable_workroom:
        click.echo(f"Nothing is published: put {checked.book.workroom.path} right first.", err=True)
        return BOOK_ERRORS
    _today(today)  # pages do not depend on it; a day that cannot be read is refused all the same
    try:
        done = publish(checked, out or book / "site", site=site, binder=binder, progress=_progress("sheets"))
    except CannotPublish as reason:
        click.echo(str(reason), err=True)
        return CANNOT_WRITE
    for sentence in done.problems:
        click.echo(sentence, err=True)
    for written in done.written:
        click.echo(written)
    return BOOK_ERRORS if checked.has_errors or done.incomplete else 0


_out = click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Where to write (default: site/ in the book).",
)


@main.command()
@_common
@_out
def publish(book: Path, today: date | None, out: Path | None) -> int:
    """Check the book, then make site and binder: the main job.

    Writes site/index.html and site/binder.pdf and sends nothing anywhere. A formula with an error is published with
    a stamp and the reason instead of its weights; the rest of the book is complete.
    """
    return _publish(book, today, out, site=True, binder=True)


@main.command()
@_common
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def check(book: Path, today: date | None, as_json: bool) -> int:
    """Say what is wrong with the book, all of it in one run.

    \b
    error   bars the formula and the formulas that use it
    query   what a pharmacist would ask before making it
    note    worth knowing

    Exits with 1 when there is an error.
    """
    from .pages.machine import findings_json, text_of
    from .pages.terminal import findings_text, summary

    checked = _checked(book)
    if as_json:
        click.echo(text_of({"findings": findings_json(checked.review.findings)}), nl=False)
    else:
        text = findings_text(checked.review.findings, _width())
        if text:
            click.echo(text)
        click.echo(summary(checked.book, checked.review))
    return BOOK_ERRORS if checked.has_errors else 0


@main.command()
@_common
@_out
def site(book: Path, today: date | None, out: Path | None) -> int:
    """Make the pages only.

    Writes site/index.html. A binder made from an earlier state of the book is taken away, so that it never looks
    current.
    """
    return _publish(book, today, out, site=True, binder=False)


@main.command()
@_common
@_out
def binder(book: Path, today: date | None, out: Path | None) -> int:
    """Make the printable binder only.

    Writes site/binder.pdf. Each formula starts on a fresh sheet and is numbered within itself, so that after a change
    only its sheets are printed and filed again. Pages made from an earlier state of the book are taken away.
    """
    return _publish(book, today, out, site=False, binder=True)


@main.command(short_help="Reckon one batch: what to weigh, with what, what first.")
@click.argument("code")
@click.option("--obtain", metavar="BATCH", help='What must come out: "250 g", "12 x 50 mL + 5 %", "40 g of W-01".')
@click.option("--dropper", metavar="NAME", help="Count drops with this dropper; the formula's weights are kept.")
@click.option("--json", "as_json", is_flag=True, help="Print the batch as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="Print the lines as comma-separated values.")
@_common
def weigh(
    code: str, obtain: str | None, dropper: str | None, as_json: bool, as_csv: bool, book: Path, today: date | None
) -> int:
    """Reckon one batch of the formula CODE: what to weigh, how to measure it, what to make first.

    \b
      bookgen weigh S-02                               as written
      bookgen weigh S-02 --obtain "250 g"
      bookgen weigh S-02 --obtain "12 x 50 mL + 5 %"   twelve bottles and a little more
      bookgen weigh S-02 --obtain "40 g of W-01"       what 40 g of W-01 allow
    """
    from .pages import machine, terminal
    from .pipeline import Refused, Unknown, weigh_batch

    if as_json and as_csv:
        raise click.UsageError("--json and --csv exclude each other.")
    checked = _checked(book)
    try:
        weighing = weigh_batch(checked, code, obtain, _today(today), dropper)
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    except Refused as refused:
        if as_json:
            answer = machine.refused_json(refused.formula, obtain or "", str(refused), refused.findings, refused.barred)
            click.echo(machine.text_of(answer), nl=False)
        else:
            click.echo(terminal.refusal_text(refused.formula, str(refused), refused.findings, _width()), err=True)
        return BOOK_ERRORS
    findings = checked.findings_of(weighing.figures.key)
    if as_json or as_csv:
        answer = machine.weighing_json(weighing, findings)
        click.echo(machine.text_of(answer) if as_json else machine.csv_of(answer), nl=False)
    else:
        text = terminal.weighing_text(weighing, checked.reckoning, checked.review, findings, _width())
        click.echo(text, nl=False)
    return 0


@main.command(short_help="Print the JSON Schemas of the front matter.")
@click.argument("kind", type=click.Choice(["formula", "material", "workroom"]), required=False)
def schema(kind: str | None) -> int:
    """Print the JSON Schemas of the front matter, for an editor that checks while you type.

    Without KIND all three in one document.
    """
    from .pages.machine import text_of
    from .source import json_schemas

    schemas = json_schemas()
    click.echo(text_of(schemas[kind] if kind else schemas), nl=False)
    return 0


if __name__ == "__main__":
    main()
