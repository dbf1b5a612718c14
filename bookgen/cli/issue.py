"""The command that begins a new issue of a formula."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import CANNOT_WRITE, checked_book, common, day_option, main, say, today_or


@main.command()
@click.argument("code")
@click.argument("change")
@common
@day_option("The day of the new issue")
def issue(code: str, change: str, book: Path, today: date | None) -> int:
    """Begin a new issue of the formula CODE: run it before you edit, and say what changes.

    The file as it stands is kept byte for byte in formulas/earlier/, its issue number goes up by one and CHANGE is
    entered under changes: with today's date. Then make the change. Nothing is overwritten: all of it is done or none.

    \b
      bookgen issue S-02 "glycerol 6 % to 4 %"
    """
    from ..beginning import Declined
    from ..bench import Unknown
    from ..issuing import begin_issue
    from ..source.writing import CannotAdd

    checked = checked_book(book)
    try:
        begun = begin_issue(checked, code, change, today_or(today))
    except (Unknown, Declined) as reason:
        raise click.UsageError(str(reason)) from reason
    except CannotAdd as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    say(f"Kept: {book / begun.kept}")
    say(f"Begun: issue {begun.issue} in {book / begun.path}. Make the change there now.")
    return 0
