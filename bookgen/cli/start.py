"""The group of commands, and what all of them share: exit codes, the book, the day, the width of the terminal."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Iterator, MutableMapping
from contextlib import contextmanager, suppress
from datetime import UTC, date, datetime
from importlib import import_module
from math import ceil
from time import monotonic
from typing import TYPE_CHECKING, Any, TypeVar

import click

from .. import __version__

if TYPE_CHECKING:
    from pathlib import Path

    from ..pipeline import Checked

BOOK_ERRORS = 1
WRONG_USE = 2
CANNOT_WRITE = 3
INTERRUPTED = 130

COMMANDS = {
    "start": ("new", "Begin a book: a workroom, one material, one formula."),
    "add": ("new", "Add a formula or a material: a new file with its keys explained."),
    "publish": ("book", "Check the book, then make site and binder: the main job."),
    "check": ("book", "Say what is wrong with the book, all of it in one run."),
    "site": ("book", "Make the pages only."),
    "binder": ("book", "Make the printable binder, or what changed in it."),
    "filed": ("filing", "Record that what was printed is in the binder now."),
    "preview": ("preview", "Show the pages in the browser while you write."),
    "weigh": ("weigh", "Reckon one batch: what to weigh, with what, what first."),
    "worksheet": ("worksheet", "Print one batch, or several side by side, to write on."),
    "labels": ("labels", "Print the labels of one batch on the workroom's sheet of labels."),
    "dilute": ("mixing", "Dilute: how much of the strong one, how much water."),
    "mix": ("mixing", "Mix strengths: how much of each, or what results."),
    "drops": ("drops", "Turn counted drops weighed at the bench into a drop mass."),
    "needs": ("needs", "List what several batches take together, and what is missing."),
    "record": ("record", "Put a batch on record: what was weighed, what came out."),
    "shelf": ("shelf", "List what is there, and what is past its date."),
    "cost": ("cost", "Tell what a batch cost, or what one will cost."),
    "trace": ("trace", "Follow a lot into every batch, or a batch back to every lot."),
    "issue": ("issue", "Begin a new issue of a formula and keep the present one."),
    "keep": ("keep", "Make a trial the next issue of the formula it is based on."),
    "compare": ("compare", "Set two formulas, or two issues of one, side by side."),
    "hand-on": ("hand_on", "Hand one formula on: as one page, as a PDF, or as files."),
    "rename": ("rename", "Give a formula another code, a material another name."),
    "bring": ("bring", "Bring in a table, or what another book handed on."),
    "schema": ("book", "Print the JSON Schemas of the front matter."),
}
"""The commands in the order of work: in which file each stands, and what it does in one line.

The line stands here, so that `--help` loads no command, and a command no other file than its own.
"""
ORDER = tuple(COMMANDS)

Command = TypeVar("Command", bound=Callable[..., Any])


def _load(file: str) -> None:
    """Load a file of commands, which enters them into the group."""
    match file:
        case "book":
            import_module("bookgen.cli.book")
        case "bring":
            import_module("bookgen.cli.bring")
        case "compare":
            import_module("bookgen.cli.compare")
        case "cost":
            import_module("bookgen.cli.cost")
        case "drops":
            import_module("bookgen.cli.drops")
        case "filing":
            import_module("bookgen.cli.filing")
        case "hand_on":
            import_module("bookgen.cli.hand_on")
        case "issue":
            import_module("bookgen.cli.issue")
        case "keep":
            import_module("bookgen.cli.keep")
        case "labels":
            import_module("bookgen.cli.labels")
        case "mixing":
            import_module("bookgen.cli.mixing")
        case "needs":
            import_module("bookgen.cli.needs")
        case "new":
            import_module("bookgen.cli.new")
        case "preview":
            import_module("bookgen.cli.preview")
        case "record":
            import_module("bookgen.cli.record")
        case "rename":
            import_module("bookgen.cli.rename")
        case "shelf":
            import_module("bookgen.cli.shelf")
        case "trace":
            import_module("bookgen.cli.trace")
        case "weigh":
            import_module("bookgen.cli.weigh")
        case "worksheet":
            import_module("bookgen.cli.worksheet")


class _WhenAsked(MutableMapping[str, click.Command]):
    """The commands by name; the file of one is loaded when it is asked for."""

    def __init__(self) -> None:
        self._loaded: dict[str, click.Command] = {}

    def __getitem__(self, name: str) -> click.Command:
        if name not in self._loaded:
            _load(COMMANDS[name][0])
        return self._loaded[name]

    def __setitem__(self, name: str, command: click.Command) -> None:
        self._loaded[name] = command

    def __delitem__(self, name: str) -> None:
        del self._loaded[name]

    def __iter__(self) -> Iterator[str]:
        return iter(COMMANDS)

    def __len__(self) -> int:
        return len(COMMANDS)


class _Commands(click.Group):
    """The group of commands, with this program's exit codes and commands in the order of work."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(ORDER)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, words) for name, (_, words) in COMMANDS.items()])

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            # The reader has enough, as `head` has: what is still held back goes nowhere.
            _drop_the_rest()
            return 0
        except Ended as ended:
            return ended.code

    def main(self, *args: Any, **extra: Any) -> Any:
        extra.update(standalone_mode=False, prog_name="bookgen")
        _lead_what_is_closed_nowhere()
        _write_what_the_terminal_can_show()
        try:
            sys.exit(super().main(*args, **extra) or 0)
        except click.ClickException as wrong:
            told = io.StringIO()
            wrong.show(told)
            say(told.getvalue(), err=True, nl=False)
            sys.exit(wrong.exit_code)
        except (click.Abort, KeyboardInterrupt, RuntimeError) as reason:
            by = reason if isinstance(reason, KeyboardInterrupt) else reason.__cause__
            if isinstance(reason, RuntimeError) and not (
                isinstance(by, KeyboardInterrupt) or isinstance(reason, click.Abort)
            ):
                raise  # before Python 3.12 an interrupt while a class is made, as a module loads, comes as such
            say(f"Interrupted; {str(by or '') or 'the earlier pages are as they were'}.", err=True)
            sys.exit(INTERRUPTED)
        except OSError as reason:
            _drop_the_rest()
            where = f"{reason.filename}: " if reason.filename else ""
            say(f"Cannot write: {where}{reason.strerror or reason}.", err=True)
            sys.exit(CANNOT_WRITE)


def say(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Print text: with ordinary spaces, so that it can be searched and pasted."""
    from ..show import with_ordinary_spaces

    click.echo(with_ordinary_spaces(text), err=err, nl=nl)


def say_json(answer: dict[str, Any]) -> None:
    """Print an answer for machines, with the line on law and licensed practice as its `note`; a path stays as it is."""
    from ..machine.text import text_of
    from ..shown.shelf import LAW_SHORT

    click.echo(text_of({**answer, "note": LAW_SHORT}), nl=False)


def say_schema(schema: dict[str, Any]) -> None:
    """Print a JSON Schema, which is no answer about a preparation."""
    from ..machine.text import text_of

    click.echo(text_of(schema), nl=False)


def _lead_what_is_closed_nowhere() -> None:
    """Give each stream that was closed at the start a place that leads nowhere.

    Else the next file that is opened takes its number, and what a library says on the stream goes into that file.
    """
    import os

    for number, name in enumerate(("stdin", "stdout", "stderr")):
        try:
            os.fstat(number)
        except OSError:
            nowhere = os.open(os.devnull, os.O_RDWR)
            if nowhere != number:  # a lower one was closed later than the start
                os.dup2(nowhere, number)
                os.close(nowhere)
            os.set_inheritable(number, True)
        if getattr(sys, name) is None:
            nowhere_to = open(number, "w" if number else "r", encoding="utf-8", closefd=False)  # noqa: SIM115
            setattr(sys, name, nowhere_to)


def _write_what_the_terminal_can_show() -> None:
    """Let no character stop an answer: what the terminal cannot show is written plainly, or as `?`.

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
            text += _INSTEAD.get(sign, "?")
    return text, reason.end


_INSTEAD = {"\u2212": "-", "\u00d7": "x", "\u00b7": "-", "\u2248": "about", "\u2013": "-"}
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
            self.fail(f"{value!r} is not a date; write year-month-day, such as 2026-03-02.", param, ctx)


def today_or(given: date | None) -> date:
    """Return the day that counts as today: as given, else SOURCE_DATE_EPOCH, else the clock."""
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


def day_option(what: str) -> Callable[[Command], Command]:
    """Give a command whose answer depends on it the day; `what` says which day it is."""
    return date_option("--today", what)


def date_option(name: str, what: str) -> Callable[[Command], Command]:
    """Give a command a day under that name; `what` says which day it is."""
    return click.option(name, type=_Day(), metavar="DATE", help=f"{what}, year-month-day (default: today).")


def common(command: Command) -> Command:
    """Give a command the option that all have."""
    from pathlib import Path

    return click.option(
        "--book",
        type=click.Path(exists=True, file_okay=False, path_type=Path),
        default=Path("."),
        metavar="DIR",
        help="The book: a folder that holds formulas/ (default: here).",
    )(command)


def batch_options(command: Command) -> Command:
    """Give a command the options that say which batch: how much, in which containers, with which dropper."""
    options = (
        click.option(
            "--obtain",
            metavar="BATCH",
            help='What must come out: "250 g", "12 x 50 mL + 5 %", "40 g of W-01", "twice".',
        ),
        click.option("--into", metavar="CONTENT", help='Count full containers of this: "50 mL", "30 capsules".'),
        click.option(
            "--dropper", metavar="NAME", help="Count drops with this dropper; the formula's weights are kept."
        ),
        click.option(
            "--drop",
            "drops",
            multiple=True,
            metavar="WEIGHING",
            help='Count with a dropper weighed today: "rose-oil: 20 drops 0.52 g"; may be repeated.',
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


def pdf_option(what: str) -> Callable[[Command], Command]:
    """Give a command the file that its PDF goes to; `what` is the last word of its usual name."""
    from pathlib import Path

    return click.option(
        "--to",
        "target",
        type=click.Path(dir_okay=False, path_type=Path),
        metavar="FILE",
        help=f"Where to write the PDF (default: CODE-DATE-{what}.pdf, here).",
    )


class Ended(Exception):
    """A command is at its end, and has said why; the code is what it exits with."""

    def __init__(self, code: int) -> None:
        super().__init__(code)
        self.code = code


@contextmanager
def told_at_the_bench() -> Iterator[None]:
    """Say why a batch cannot be had or printed, and end the command: what is unknown, refused, or cannot be written.

    Raises UsageError and Ended.
    """
    from ..bench import Refused, Unknown
    from ..pipeline import CannotPublish, FaultyTheme
    from ..terminal.batch import refusal_text

    try:
        yield
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    except Refused as refused:
        say(refusal_text(refused.told, refused.findings, refused.signs, width()), err=True)
        raise Ended(BOOK_ERRORS) from refused
    except FaultyTheme as reason:
        say(str(reason), err=True)
        raise Ended(BOOK_ERRORS) from reason
    except CannotPublish as reason:
        say(str(reason), err=True)
        raise Ended(CANNOT_WRITE) from reason


@click.group(
    cls=_Commands,
    commands=_WhenAsked(),
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Exit codes: 0 done, 1 the book has errors, 2 wrong use, 3 cannot write, 130 interrupted.",
)
@click.version_option(__version__, prog_name="bookgen")
def main() -> None:
    """Keep a formula book whose figures are always right.

    A book is a folder with formulas/ in it: a Markdown file for each formula and each material, and workroom.yaml
    for your balances and droppers. bookgen reads it, reckons every figure, says what is wrong, and makes pages and
    a binder.

    \b
    The first day:
      bookgen start my-book                  three files to begin with

    \b
    Every day:
      bookgen check                          what is wrong, and where
      bookgen weigh S-02 --obtain "250 g"    today's batch, here in the terminal
      bookgen publish                        check, then pages and binder into site/
    """


def checked_book(book: Path, *, filed: bool = True) -> Checked:
    """Read, reckon and review the book; stop where there is none.

    At the bench (`filed` false) nothing is compared with what was filed: today's weights are in demand.
    """
    from ..pipeline import NoBook, check_book

    try:
        return check_book(book, filed=filed)
    except NoBook as missing:
        raise click.UsageError(str(missing)) from missing


def width() -> int:
    """Return the terminal's columns; in a pipe as many as text is ever set in."""
    from shutil import get_terminal_size

    from ..terminal.columns import WIDEST

    return get_terminal_size((WIDEST, 24)).columns


def say_findings(checked: Checked) -> None:
    from ..terminal.batch import findings_text

    text = findings_text(checked.review.findings, width())
    if text:
        say(text, err=True)


def progress(label: str, clock: Callable[[], float] = monotonic) -> Callable[[int, int], None] | None:
    """Return a counter for a terminal that also says how long it will still take; none in a pipe.

    What was kept from earlier runs is there at once and says nothing of the time: only what was done since the first
    count does.  `clock` tells seconds.
    """
    if not sys.stderr.isatty():
        return None
    began: tuple[float, int] | None = None
    shown = 0

    def tell(done: int, of: int) -> None:
        nonlocal began, shown
        if began is None or done < began[1]:
            began = clock(), done
        left = _left(clock() - began[0], done - began[1], of - done)
        line = f"{label}: {done} of {of}{left}"
        say(f"\r{line}{' ' * (shown - len(line))}", nl=done == of, err=True)
        began, shown = (None, 0) if done == of else (began, len(line))

    return tell


FEWEST = 5
"""So many have to be done before anything is said of the time: the first ones also wait for the start."""


def _left(seconds: float, done: int, to_do: int) -> str:
    """Return the words for the time that `to_do` more will take, after `done` took so many seconds; rounded up."""
    if done < FEWEST or not to_do:
        return ""
    left = seconds / done * to_do
    if left > 90:
        return f", about {ceil(left / 60)} min left"
    return f", about {max(1, ceil(left / 10)) * 10} s left"
