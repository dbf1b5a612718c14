"""The command that sets two formulas side by side."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import checked_book, common, day_option, main, say, say_json, today_or, width


@main.command()
@click.argument("first")
@click.argument("second")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@common
@day_option("The day of the last prices")
def compare(first: str, second: str, as_json: bool, book: Path, today: date | None) -> int:
    """Set two formulas side by side, or an earlier issue of one, written S-02@2.

    Lines are matched by material, with their percentages and the difference; then active content, the substances
    carried, pH, storage, what 100 g cost by the last prices, and the steps of the method that differ. An earlier issue
    is reckoned with the materials of today.

    \b
      bookgen compare S-02 W-07
      bookgen compare S-02@2 S-02
    """
    from ..bench import Unknown
    from ..issuing import compared_issues
    from ..machine.compared import compared_json
    from ..show import signs_of
    from ..terminal.compared import compared_text

    checked = checked_book(book, filed=False)
    try:
        found, names, costs = compared_issues(checked, first, second, today_or(today))
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    if as_json:
        say_json(compared_json(found, costs))
    else:
        say(compared_text(found, names, costs, signs_of(checked.book.workroom), width()), nl=False)
    return 0
