"""The command for a worksheet: one batch on paper, to write on."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import (
    BOOK_ERRORS,
    batch_options,
    checked_book,
    common,
    day_option,
    main,
    pdf_option,
    say,
    today_or,
    told_at_the_bench,
    width,
)


@main.command()
@click.argument("codes", metavar="CODE...", nargs=-1, required=True)
@batch_options
@click.option("--blank", is_flag=True, help="For a trainee: amounts to be worked out, the answers on their own sheet.")
@click.option(
    "--paper",
    type=click.Choice(["A4", "A5", "Letter"], case_sensitive=False),
    help="Paper of the sheet (default: the workroom's).",
)
@pdf_option("worksheet")
@common
@day_option("The day of making")
def worksheet(
    codes: tuple[str, ...],
    obtain: str | None,
    into: str | None,
    dropper: str | None,
    drops: tuple[str, ...],
    blank: bool,
    paper: str | None,
    target: Path | None,
    book: Path,
    today: date | None,
) -> int:
    """Print one batch of the formula CODE as a sheet to write on; of several, such as trials, side by side.

    What weigh says stands on it, in the order of the method: what to make first, each weighing with its balance or
    dropper, the method with today's amounts. Lots, weighed amounts, gross weights, checks and yield are left blank.

    Two to four codes make one sheet with a column each: lines matched by material, what differs set apart, room to
    write for each. Each is made in the batch asked for.

    An earlier worksheet is written over as long as nobody has written into it; any other file stays.

    \b
      bookgen worksheet T-01 T-02 T-03 --obtain "100 g"
      bookgen worksheet S-02 --obtain "12 x 50 mL + 5 %"
      bookgen worksheet S-02 --obtain "250 g" --paper A4 --to today.pdf
      bookgen worksheet S-02 --obtain "250 g" --blank      for a trainee
    """
    from ..bench import findings_at, todays_queries, weigh_batch
    from ..model import Paper
    from ..pipeline import print_abreast, print_worksheet
    from ..terminal.batch import findings_text

    _must_fit(codes, blank=blank)
    checked, day = checked_book(book, filed=False), today_or(today)
    with told_at_the_bench():
        weighings = [weigh_batch(checked, code, obtain, day, dropper, drops=drops, into=into) for code in codes]
        sheet = Paper(paper) if paper else checked.book.workroom.paper
        named = "-".join(weighing.formula.code or weighing.figures.key for weighing in weighings)
        target = target or Path(f"{named}-{day.isoformat()}-worksheet.pdf")
        if len(weighings) == 1:
            done = print_worksheet(checked, weighings[0], target, paper=sheet, today=day, trainee=blank)
        else:
            done = print_abreast(checked, weighings, target, paper=sheet, today=day)
    findings = dict.fromkeys(
        finding
        for weighing in weighings
        for finding in (*todays_queries(checked, weighing, drops, dropper), *findings_at(checked, weighing))
    )
    for told in (findings_text(tuple(findings), width()), *done.problems):
        if told:
            say(told, err=True)
    if not done.written:
        return BOOK_ERRORS
    say(f"Written: {done.written}")
    return 0


MOST_ABREAST = 4
"""Columns of a sheet: more leave no room to write."""


def _must_fit(codes: tuple[str, ...], *, blank: bool) -> None:
    """Refuse what no one sheet is for.  Raises UsageError."""
    if len(codes) > MOST_ABREAST:
        raise click.UsageError(f"{len(codes)} formulas do not fit side by side: name up to {MOST_ABREAST}.")
    if len({code.casefold() for code in codes}) < len(codes):
        raise click.UsageError("A formula is named twice: name each once.")
    if blank and len(codes) > 1:
        raise click.UsageError("--blank is for one formula: name one, or leave --blank out.")
