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
@click.argument("code")
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
    code: str,
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
    """Print one batch of the formula CODE as a sheet to write on.

    What weigh says stands on it, in the order of the method: what to make first, each weighing with its balance or
    dropper, the method with today's amounts. Lots, weighed amounts, gross weights, checks and yield are left blank.

    An earlier worksheet is written over as long as nobody has written into it; any other file stays.

    \b
      bookgen worksheet S-02 --obtain "12 x 50 mL + 5 %"
      bookgen worksheet S-02 --obtain "250 g" --paper A4 --to today.pdf
      bookgen worksheet S-02 --obtain "250 g" --blank      for a trainee
    """
    from ..bench import findings_at, todays_queries, weigh_batch
    from ..model import Paper
    from ..pipeline import print_worksheet
    from ..terminal.batch import findings_text

    checked, day = checked_book(book, filed=False), today_or(today)
    with told_at_the_bench():
        weighing = weigh_batch(checked, code, obtain, day, dropper, drops=drops, into=into)
        sheet = Paper(paper) if paper else checked.book.workroom.paper
        target = target or Path(f"{weighing.formula.code or weighing.figures.key}-{day.isoformat()}-worksheet.pdf")
        done = print_worksheet(checked, weighing, target, paper=sheet, today=day, trainee=blank)
    findings = (*todays_queries(checked, weighing, drops, dropper), *findings_at(checked, weighing))
    for told in (findings_text(findings, width()), *done.problems):
        if told:
            say(told, err=True)
    if not done.written:
        return BOOK_ERRORS
    say(f"Written: {done.written}")
    return 0
