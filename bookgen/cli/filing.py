"""What a keeper says after filing: `filed`."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .start import BOOK_ERRORS, CANNOT_WRITE, WRONG_USE, common, day_option, main, say, today_or, width

if TYPE_CHECKING:
    from ..changes import Choice
    from ..model import Filed

MOST_CODES = 24
"""Codes that are told one by one."""


@main.command()
@common
@day_option("The day of filing")
@click.argument("pdf", type=click.Path(dir_okay=False, path_type=Path), required=False)
@click.option("--whole", is_flag=True, help="The whole binder was printed and filed anew: site/binder.pdf.")
def filed(book: Path, today: date | None, pdf: Path | None, whole: bool) -> int:
    """Record that what was printed is in the binder now.

    Reads the list that site/changes.pdf carries (site/binder.pdf the first time and with --whole, or the PDF named)
    and writes it into formulas/filed.yaml: the record of what is in the binder, by which bookgen binder --changes
    finds what has to be printed next. Nothing else writes that file. Where changes were printed more than once it
    asks which are in the binder.

    \b
      bookgen binder                    the whole binder, to print once
      bookgen filed                     it is in the binder
      bookgen binder --changes          later: what changed since, and what to do with it
      bookgen filed                     that is in the binder too
    """
    if pdf is not None and whole:
        raise click.UsageError("Name a PDF or say --whole, not both.")
    with _record_told(book):
        return _file(book, pdf, whole, today_or(today))


def _file(book: Path, pdf: Path | None, whole: bool, today: date) -> int:
    """Put what was printed on record and tell it."""
    from ..changes import BrokenRecord, NothingFiled, SeveralWait, file_printed
    from ..pipeline import NoBook
    from ..source.writing import CannotRecord

    try:
        try:
            done = file_printed(book, pdf, whole=whole, today=today, sure=_asked_whether)
        except SeveralWait as several:
            chosen = _asked_which(several.choices)
            if chosen is None:
                return WRONG_USE
            done = file_printed(book, chosen, whole=False, today=today)
    except NoBook as missing:
        raise click.UsageError(str(missing)) from missing
    except NothingFiled as reason:
        say(str(reason), err=True)
        return WRONG_USE
    except BrokenRecord as reason:
        say_broken(reason)
        return BOOK_ERRORS
    except CannotRecord as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    record = done.record
    if done.already:
        say(f"Already on record (filed {record.on}): {_count(record)}.")
        return 0
    say(f"Filed {record.on}: {_count(record)} are on record in {record.path}.")
    say(f"Read from {done.path}.")
    if not done.first:
        for word, codes in (("In", done.into), ("Out", done.out)):
            if codes:
                say(f"{word}: {_named(codes)}.")
    if done.check:
        say(f"The list of effective sheets in front of the binder must show check {done.check} at its foot.")
    return 0


@contextmanager
def _record_told(book: Path) -> Iterator[None]:
    """Let Ctrl-C tell what is on record: the record as it stands on the disk, and whether this run wrote it."""
    from ..source import read_record_alone
    from ..source.writing import record_bytes

    def standing() -> bytes | None:
        try:
            return record_bytes(book)
        except OSError:
            return None

    before = standing()
    try:
        yield
    except (KeyboardInterrupt, click.Abort) as reason:
        if standing() == before:
            raise KeyboardInterrupt("nothing was put on record") from reason
        record = read_record_alone(book).filed
        raise KeyboardInterrupt(
            f"all the same it is filed {record.on}: {_count(record)} are on record in {record.path}"
        ) from reason


def _count(record: Filed) -> str:
    return f"{len(record.leaves)} leaves on {sum(leaf.sheets for leaf in record.leaves)} sheets"


def _asked_which(choices: Sequence[Choice]) -> Path | None:
    """Name what may be in the binder and ask for it; None where nobody can answer, or nobody wants to."""
    say("More than one printed set may be in the binder. Say which one is:", err=True)
    for number, choice in enumerate(choices, 1):
        moved = [f"{word}: {_named(codes)}" for word, codes in (("in", choice.into), ("out", choice.out)) if codes]
        say(f"{number}  bookgen filed {choice.path}", err=True)
        say(f"   its list of effective sheets shows check {choice.check}; {'; '.join(moved)}", err=True)
    if not _somebody_is_there():
        return None
    answer = click.prompt("Which number", default="", show_default=False, err=True).strip()
    found = [
        choice.path
        for number, choice in enumerate(choices, 1)
        if answer in (str(number), str(choice.path), choice.check)
    ]
    if not found:
        say("Nothing is recorded.", err=True)
        return None
    return found[0]


def _asked_whether(binder: Choice) -> bool:
    """Ask whether a whole binder is the one on paper; where nobody can answer, it is taken for that."""
    if not _somebody_is_there():
        return True
    question = f"Does the list of effective sheets in front of your binder show check {binder.check} at its foot?"
    return click.confirm(question, err=True)


def _somebody_is_there() -> bool:
    """Return whether a question can be read and answered."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def say_broken(reason: Exception) -> None:
    """Say that the record cannot be read, and where."""
    from ..changes import BrokenRecord
    from ..terminal.batch import findings_text

    if isinstance(reason, BrokenRecord) and reason.findings:
        say(findings_text(reason.findings, width()), err=True)
    say(str(reason), err=True)


def _named(codes: Sequence[str]) -> str:
    """Return the codes as a list; of many the first and how many more."""
    if len(codes) <= MOST_CODES:
        return ", ".join(codes)
    return f"{', '.join(codes[:MOST_CODES])} and {len(codes) - MOST_CODES} more"
