"""The command for the shelf: what is there of every material and intermediate."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import checked_book, common, day_option, main, say, say_json, today_or, width


@main.command()
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@common
@day_option("The day, at whose end so much is there")
def shelf(as_json: bool, book: Path, today: date | None) -> int:
    """List what is there of every material and intermediate, first expiring first.

    What is there is what was received or last counted, less what batch records took since. What is past its date is
    told with how to throw it away, what is to be tested again apart: a retest is no expiry.

    \b
      bookgen shelf
      bookgen shelf --today 2026-06-30     what was, or will be, there on that day
    """
    from ..machine import on_shelf as machine
    from ..reckon.on_shelf import on_shelf
    from ..review.doubts import doubts_of_lots
    from ..shown.on_shelf import there_shown
    from ..terminal import on_shelf as terminal

    checked = checked_book(book, filed=False)
    found = on_shelf(checked.reckoning, today_or(today))
    doubts = doubts_of_lots(checked.book, checked.review.findings)
    if as_json:
        say_json(machine.shelf_json(found, checked.book, doubts))
    else:
        say(terminal.shelf_text(there_shown(found, checked.book), doubts, width()), nl=False)
    return 0
