"""The command for a worksheet: one batch on paper, to write on."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import (
    BOOK_ERRORS,
    CANNOT_WRITE,
    checked_book,
    common,
    day_option,
    main,
    say,
    today_or,
    width,
)


@main.command()
@click.argument("code")
@click.option(
    "--obtain", metavar="BATCH", help='What must come out: "250 g", "12 x 50 mL + 5 %", "40 g of W-01", "twice".'
)
@click.option("--into", metavar="CONTENT", help='Count the full containers of this content: "50 mL".')
@click.option("--dropper", metavar="NAME", help="Count drops with this dropper; the formula's weights are kept.")
@click.option(
    "--drop",
    "drops",
    multiple=True,
    metavar="WEIGHING",
    help='Count with a dropper weighed today: "rose-oil: 20 drops 0.52 g"; may be repeated.',
)
@click.option("--blank", is_flag=True, help="For a trainee: amounts to be worked out, the answers on their own sheet.")
@click.option(
    "--paper",
    type=click.Choice(["A4", "A5", "Letter"], case_sensitive=False),
    help="Paper of the sheet (default: the workroom's).",
)
@click.option(
    "--to",
    "target",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Where to write the PDF (default: CODE-DATE-worksheet.pdf, here).",
)
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
    from ..bench import Refused, Unknown, findings_at, todays_queries, weigh_batch
    from ..model import Paper
    from ..pipeline import CannotPublish, FaultyTheme, print_worksheet
    from ..terminal.batch import findings_text, refusal_text

    checked, day = checked_book(book, filed=False), today_or(today)
    try:
        weighing = weigh_batch(checked, code, obtain, day, dropper, drops=drops, into=into)
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    except Refused as refused:
        say(refusal_text(refused.told, refused.findings, refused.signs, width()), err=True)
        return BOOK_ERRORS
    sheet = Paper(paper) if paper else checked.book.workroom.paper
    target = target or Path(f"{weighing.formula.code or weighing.figures.key}-{day.isoformat()}-worksheet.pdf")
    try:
        done = print_worksheet(checked, weighing, target, paper=sheet, today=day, trainee=blank)
    except FaultyTheme as reason:
        say(str(reason), err=True)
        return BOOK_ERRORS
    except CannotPublish as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    findings = (*todays_queries(checked, weighing, drops, dropper), *findings_at(checked, weighing))
    for told in (findings_text(findings, width()), *done.problems):
        if told:
            say(told, err=True)
    if not done.written:
        return BOOK_ERRORS
    say(f"Written: {done.written}")
    return 0
