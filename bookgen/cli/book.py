"""Commands that concern the whole book: publish, check, site, binder, schema; `filing.py` has what follows."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .start import (
    BOOK_ERRORS,
    CANNOT_WRITE,
    WRONG_USE,
    checked_book,
    common,
    day_option,
    main,
    progress,
    say,
    say_findings,
    say_json,
    say_schema,
    today_or,
    width,
)

if TYPE_CHECKING:
    from ..pipeline import Checked


KEEPER, OTHERS = "keeper", "others"
"""For whom an edition is."""


def _output(book: Path, out: Path | None, option: str = "--out") -> Path:
    """Return the output folder, its way without `..`.  Raises UsageError for one that must not be replaced."""
    if out is None:
        return book / "site"
    real = Path(os.path.realpath(out.parent)) / out.name if out.name not in ("", "..") else Path(os.path.realpath(out))
    for what, lies in (("the book", book), ("the folder you are in", Path())):
        if Path(os.path.realpath(lies)).is_relative_to(real):
            raise click.UsageError(
                f"{option}: {real} holds {what} and would be replaced as a whole; name a folder for the output alone, "
                f"such as {option} {'site' if option == '--out' else 'for-others'}."
            )
    return real if ".." in out.parts else out


@contextmanager
def _in_its_place() -> Iterator[None]:
    """Let Ctrl-C tell that what was made is in its place."""
    from ..press.folder import NewStands

    try:
        yield
    except KeyboardInterrupt as reason:
        raise NewStands from reason


def _output_for_others(book: Path, out: Path | None, to: Path | None) -> Path:
    """Return the folder of the edition for others.  Raises UsageError where it would replace the keeper's."""
    if to is None:
        raise click.UsageError("--for others: name a folder with --to DIR, so that your own pages stay.")
    if out is not None:
        raise click.UsageError("--out is for your own pages; the edition for others goes where --to says.")
    if os.path.realpath(to) == os.path.realpath(book / "site"):
        raise click.UsageError(f"--to: {to} holds your own pages; name another folder.")
    return _output(book, to, "--to")


def _publish(
    book: Path,
    out: Path | None,
    *,
    site: bool,
    binder: bool,
    edition: str = KEEPER,
    to: Path | None = None,
    today: date | None = None,
    batches: tuple[str, ...] = (),
) -> int:
    from ..pipeline import CannotPublish, FaultyTheme, NotForOthers, publish

    others = edition == OTHERS
    if to is not None and not others:
        raise click.UsageError("--to goes with --for others; your own pages go where --out says.")
    target = _output_for_others(book, out, to) if others else _output(book, out)
    day = today_or(today) if site and not others else None
    checked = checked_book(book)
    say_findings(checked)
    if checked.in_the_way:
        say(f"Nothing is published: {checked.in_the_way}", err=True)
        return BOOK_ERRORS
    try:
        done = publish(
            checked,
            target,
            site=site,
            binder=binder,
            others=others,
            today=day,
            progress=progress("sheets"),
            batches_of=_with_batches(checked, batches),
        )
    except (FaultyTheme, NotForOthers) as reason:
        say(str(reason), err=True)
        return BOOK_ERRORS
    except CannotPublish as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    with _in_its_place():
        for sentence in done.problems:
            say(sentence, err=True)
        for written in done.written:
            say(written)
    return BOOK_ERRORS if checked.has_errors or done.incomplete else 0


_out = click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Where to write (default: site/ in the book).",
)


_for = click.option(
    "--for",
    "edition",
    type=click.Choice([KEEPER, OTHERS]),
    default=KEEPER,
    help="For whom: others get no batches, lots, prices, suppliers or text headed 'For the keeper'.",
)
_to = click.option(
    "--to",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="With --for others: where to write that edition.",
)
_day = day_option("The day of the page of the shelf; no other page depends on it")


@main.command()
@common
@_out
@_for
@_to
@_day
def publish(book: Path, out: Path | None, edition: str, to: Path | None, today: date | None) -> int:
    """Check the book, then make site and binder: the main job.

    Writes site/index.html and site/binder.pdf and sends nothing anywhere. A formula with an error is published with
    a stamp and the reason instead of its weights; the rest of the book is complete.

    With --for others --to DIR it makes an edition to hand on: without batches, lots, prices, suppliers, findings, and
    sections headed "For the keeper".
    """
    return _publish(book, out, site=True, binder=True, edition=edition, to=to, today=today)


@main.command()
@common
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
@click.option("--explain", metavar="CODE", help="Say what was judged of this formula, by what, and how it stands.")
def check(book: Path, as_json: bool, explain: str | None) -> int:
    """Say what is wrong with the book, all of it in one run.

    \b
    error   bars the formula and the formulas that use it
    query   what a pharmacist would ask before making it
    note    worth knowing

    With --explain it says for one formula what keeps it from spoiling and why, and lists each substance that the
    tables of limits have, how much of it there is, and how that compares with the entry; then the list of
    ingredients for its label. Exits with 1 when there is an error.
    """
    from ..machine.batch import findings_json
    from ..shown.findings import judged_words
    from ..terminal.batch import findings_text, summary

    checked = checked_book(book)
    if explain is not None:
        return _explain(checked, explain, as_json)
    if as_json:
        say_json({"findings": findings_json(checked.review.findings), "judged": judged_words(checked.reckoning)})
    else:
        text = findings_text(checked.review.findings, width())
        if text:
            say(text)
        say(summary(checked.reckoning, checked.review, width()))
    return BOOK_ERRORS if checked.has_errors else 0


def _explain(checked: Checked, code: str, as_json: bool) -> int:
    from ..bench import Unknown, formula_key
    from ..machine.judged import judged_json
    from ..machine.label import label_json
    from ..show import signs_of
    from ..shown.judged import judged_of
    from ..shown.label import label_of
    from ..shown.shelf import LAW_SHORT
    from ..terminal.judged import judged_text
    from ..terminal.label import label_text

    try:
        figures = checked.reckoning.figures[formula_key(checked.book, code)]
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    if as_json:
        judged = judged_json(figures, checked.book.materials)
        say_json({"code": figures.formula.code, "judged": judged, "label": label_json(figures)})
    else:
        say(judged_text(judged_of(figures, checked.book, signs_of(checked.book.workroom)), width()))
        label = label_of(figures, signs_of(checked.book.workroom))
        if label is not None:
            say(f"\nFor a label:\n{label_text(label, width())}")
        say(f"\n{LAW_SHORT}")
    return 0


@main.command()
@common
@_out
@_for
@_to
@_day
def site(book: Path, out: Path | None, edition: str, to: Path | None, today: date | None) -> int:
    """Make the pages only.

    Writes site/index.html. A binder made from an earlier state of the book is taken away, so that it never looks
    current. --for others --to DIR is as with bookgen publish.
    """
    return _publish(book, out, site=True, binder=False, edition=edition, to=to, today=today)


@main.command()
@common
@_out
@click.option("--changes", is_flag=True, help="Only what differs from the binder as it was filed.")
@click.option("--appearance", is_flag=True, help="With --changes: also leaves that only look different.")
@click.option(
    "--batches", multiple=True, metavar="CODE", help="Also the batches of this formula, each a leaf behind it."
)
def binder(book: Path, out: Path | None, changes: bool, appearance: bool, batches: tuple[str, ...]) -> int:
    """Make the printable binder, or what changed in it.

    Writes site/binder.pdf. Each formula starts on a fresh sheet and is numbered within itself, so that after a change
    only its sheets are printed and filed again. Pages made from an earlier state of the book are taken away.

    With --changes it writes site/changes.pdf instead: the leaves that are new or changed since the binder was filed,
    headed by filing instructions. Put it into the binder, then run bookgen filed. Pages and binder stay as they are.

    Batches go in only with --batches. Once one is filed, --changes prints the new ones of that formula too.
    """
    if appearance and not changes:
        raise click.UsageError("--appearance goes with --changes; the whole binder is printed in its present look.")
    if changes:
        return _changes(book, out, appearance, batches)
    return _publish(book, out, site=False, binder=True, batches=batches)


def _with_batches(checked: Checked, codes: tuple[str, ...]) -> frozenset[str]:
    """Return the keys of formulas whose batches are asked for.  Raises UsageError for a code that the book lacks."""
    from ..bench import Unknown, formula_key

    try:
        return frozenset(formula_key(checked.book, code) for code in codes)
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown


def _changes(book: Path, out: Path | None, appearance: bool, batches: tuple[str, ...]) -> int:
    from ..changes import BrokenRecord, CodeUnknown, NothingFiled, print_changes
    from ..pipeline import CannotPublish, FaultyTheme

    target = _output(book, out)
    checked = checked_book(book)
    say_findings(checked)
    if checked.in_the_way:
        say(f"Nothing is printed: {checked.in_the_way}", err=True)
        return BOOK_ERRORS
    try:
        done = print_changes(
            checked,
            target,
            appearance=appearance,
            progress=progress("sheets"),
            batches_of=_with_batches(checked, batches),
        )
    except NothingFiled as reason:
        say(str(reason), err=True)
        return WRONG_USE
    except BrokenRecord as reason:
        say(str(reason), err=True)  # the findings have said where
        return BOOK_ERRORS
    except (CodeUnknown, FaultyTheme) as reason:
        say(str(reason), err=True)
        return BOOK_ERRORS
    except CannotPublish as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    with _in_its_place():
        for sentence in done.problems:
            say(sentence, err=True)
        for sentence in (done.written, *done.said):
            if sentence:
                say(sentence)
    return BOOK_ERRORS if checked.has_errors or done.incomplete else 0


@main.command()
@click.argument("kind", type=click.Choice(["formula", "material", "batch", "workroom"]), required=False)
def schema(kind: str | None) -> int:
    """Print the JSON Schemas of the front matter, for an editor that checks while you type.

    Without an argument all four, in one document.
    """
    from ..source import json_schemas

    schemas = json_schemas()
    say_schema(schemas[kind] if kind else schemas)
    return 0
