"""The command for a shopping list: what several batches take together."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import BOOK_ERRORS, checked_book, common, day_option, main, say, say_json, today_or, width


@main.command()
@click.argument("batches", nargs=-1, required=True, metavar="BATCH...")
@click.option(
    "--have",
    multiple=True,
    metavar="SUPPLY",
    help='What is there already: "glycerol-85: 200 g"; may be repeated. Only what is missing is then listed.',
)
@click.option("--from-shelf", is_flag=True, help="Take off what stands on the shelf; what --have tells goes before it.")
@click.option("--json", "as_json", is_flag=True, help="Print the list as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="Print the materials as comma-separated values.")
@common
@day_option("The day of the shelf")
def needs(
    batches: tuple[str, ...],
    have: tuple[str, ...],
    from_shelf: bool,
    as_json: bool,
    as_csv: bool,
    book: Path,
    today: date | None,
) -> int:
    """List everything that is weighed in for several batches on one day, rolled up by material.

    A BATCH is a code and what must come out; the code alone is the batch as written. Intermediates are made once, for
    the sum of what is needed, less what is there already.

    \b
      bookgen needs S-02                                    as written
      bookgen needs "S-02: 250 g" "B-01: 12 x 30 mL" W-01   a day's work
      bookgen needs "S-02: 250 g" --have "glycerol-85: 200 g" --have "W-01: 0.5 L"
      bookgen needs "S-02: 250 g" --from-shelf              less what lots and records say is there
    """
    from ..bench import Refused, Unknown, list_needs
    from ..machine import needs as machine
    from ..terminal import batch as terminal
    from ..terminal import needs as page

    if as_json and as_csv:
        raise click.UsageError("Give --json or --csv, not both.")
    checked = checked_book(book, filed=False)
    try:
        found = list_needs(checked, batches, have, today_or(today) if from_shelf else None)
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    except Refused as refused:
        if as_json:
            say_json(machine.refused_needs_json(str(refused), refused.findings))
        else:
            say(terminal.refusal_text(refused.told, refused.findings, refused.signs, width()), err=True)
        return BOOK_ERRORS
    answer = machine.needs_json(found, checked.book)
    if as_json:
        say_json(answer)
    elif as_csv:
        say(machine.needs_csv(answer), nl=False)
    else:
        say(page.needs_text(found, checked.book, width()), nl=False)
    return 0
