"""The command that sets two formulas side by side."""

from __future__ import annotations

from pathlib import Path

import click

from .start import checked_book, common, main, say, say_json, width


@main.command()
@click.argument("first")
@click.argument("second")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@common
def compare(first: str, second: str, as_json: bool, book: Path) -> int:
    """Set two formulas side by side, or an earlier issue of one, written S-02@2.

    Lines are matched by material, with their percentages and the difference; then the substances carried, pH, storage
    and the steps of the method that differ. An earlier issue is reckoned with today's materials.

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
        found, names = compared_issues(checked, first, second)
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    if as_json:
        say_json(compared_json(found))
    else:
        say(compared_text(found, names, signs_of(checked.book.workroom), width()), nl=False)
    return 0
