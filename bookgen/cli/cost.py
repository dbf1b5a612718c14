"""The command for what a batch costs."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import BOOK_ERRORS, checked_book, common, day_option, main, say, say_json, today_or, width


@main.command()
@click.argument("code")
@click.option("--obtain", metavar="BATCH", help='What must come out: "250 g", "12 x 50 mL + 5 %".')
@click.option("--into", metavar="CONTENT", help='Fill containers of this content: "50 mL".')
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@common
@day_option("The day of the last prices")
def cost(code: str, obtain: str | None, into: str | None, as_json: bool, book: Path, today: date | None) -> int:
    """Tell what the batch CODE cost, by the lots that it took, or what a batch of the formula CODE will cost.

    Per batch, gram and container; losses and what is taken out again are in it. Each currency has its own sum. What has
    no price is named, and the sum is then "at least".

    \b
      bookgen cost S-02-2026-11-29              a batch on record, by its lots
      bookgen cost S-02 --obtain "12 x 50 mL"   a batch to come, by the last prices
    """
    from ..bench import Refused, Unknown, cost_of
    from ..machine import cost as machine
    from ..terminal import cost as terminal
    from ..terminal.batch import refusal_text

    checked = checked_book(book, filed=False)
    try:
        found, formula, batch = cost_of(checked, code, obtain, into, today_or(today))
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    except Refused as refused:
        say(refusal_text(refused.told, refused.findings, refused.signs, width()), err=True)
        return BOOK_ERRORS
    title = formula.title if formula else ""
    if as_json:
        say_json(machine.cost_json(found, formula.code if formula else "", title, batch))
    else:
        heading = " ".join(part for part in (batch or (formula.code if formula else ""), title) if part)
        say(terminal.cost_text(found, heading, checked.book.workroom, width()), nl=False)
    return 0
