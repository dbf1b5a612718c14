"""The command for one batch: what to weigh, with what, what first."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import BOOK_ERRORS, batch_options, checked_book, common, day_option, main, say, say_json, today_or, width


@main.command()
@click.argument("code")
@batch_options
@click.option("--json", "as_json", is_flag=True, help="Print the batch as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="Print the lines as comma-separated values.")
@common
@day_option("The day of making")
def weigh(
    code: str,
    obtain: str | None,
    into: str | None,
    dropper: str | None,
    drops: tuple[str, ...],
    as_json: bool,
    as_csv: bool,
    book: Path,
    today: date | None,
) -> int:
    """Reckon one batch of the formula CODE: what to weigh, how to measure it, what to make first.

    \b
      bookgen weigh S-02                               as written
      bookgen weigh S-02 --obtain "250 g"
      bookgen weigh S-02 --obtain "12 x 50 mL + 5 %"   twelve bottles and a little more
      bookgen weigh S-02 --obtain "40 g of W-01"       what 40 g of W-01 allow
      bookgen weigh S-03 --obtain "12 + 2"             twelve pieces and two to spare
      bookgen weigh S-02 --obtain twice                also half, 1.5 x, of what the formula makes
      bookgen weigh S-02 --obtain "40 g of W-01 and 12 g of glycerol-85"
                                                       what both allow; says which one limits
      bookgen weigh S-02 --obtain "250 g" --into "50 mL"
                                                       how many full bottles, and what is left
      bookgen weigh S-02 --drop "rose-oil: 20 drops 0.52 g"
                                                       with a dropper that is not in the book
    """
    from ..bench import Refused, Unknown, findings_at, todays_queries, weigh_batch
    from ..machine import batch as machine
    from ..model import Formula
    from ..shown.shelf import shelf_of
    from ..terminal import batch as terminal

    if as_json and as_csv:
        raise click.UsageError("Give --json or --csv, not both.")
    checked = checked_book(book, filed=False)
    now = checked.book.find(code)
    if now is not None and code.casefold() in checked.book.naming.former:
        say(f"{code} is {now.code if isinstance(now, Formula) else now.key} now.", err=True)
    try:
        weighing = weigh_batch(checked, code, obtain, today_or(today), dropper, drops=drops, into=into)
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    except Refused as refused:
        if as_json:
            answer = machine.refused_json(refused.formula, obtain or "", str(refused), refused.findings, refused.barred)
            say_json(answer)
        else:
            say(terminal.refusal_text(refused.told, refused.findings, refused.signs, width()), err=True)
        return BOOK_ERRORS
    findings = (*todays_queries(checked, weighing, drops, dropper), *findings_at(checked, weighing))
    if as_json or as_csv:
        answer = machine.weighing_json(weighing, shelf_of(checked.reckoning, checked.review), findings)
        if as_json:
            say_json(answer)
        else:
            say(machine.csv_of(answer), nl=False)
    else:
        text = terminal.weighing_text(weighing, checked.reckoning, checked.review, findings, width())
        say(text, nl=False)
    return 0
