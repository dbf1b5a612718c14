"""The command that brings a table into the book."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .start import CANNOT_WRITE, common, main, say

if TYPE_CHECKING:
    from ..bringing import BringPlan


@main.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--decimal", type=click.Choice(["comma", "point"]), help="Decimal sign, where the table leaves it open.")
@click.option(
    "--take",
    "taken",
    multiple=True,
    metavar="HEAD=KEY",
    help='What a column is, where its head does not say so: "Water_(g)=water, %"; may be repeated.',
)
@click.option(
    "--measures", type=click.Choice(["us", "imperial"]), help="Turn old units into g and mL, by these measures."
)
@click.option(
    "--weights", type=click.Choice(["avoirdupois", "apothecaries"]), help="Turn ounces and pounds into g, by these."
)
@click.option("--yes", is_flag=True, help="Write without asking, as in a pipe.")
@common
def bring(
    file: Path,
    decimal: str | None,
    taken: tuple[str, ...],
    measures: str | None,
    weights: str | None,
    yes: bool,
    book: Path,
) -> int:
    """Bring the table in FILE, as CSV, into the book: a new file for each material, or for each formula.

    A table with a column of amounts holds formulas, a row for each line, with their codes; any other holds materials.

    Says first how the table was read, what each column is taken for by its head, which files it makes, and each cell
    that was not understood, by row and column; then asks. Nothing is guessed and nothing is written over. What was not
    understood of a material stays as a remark in its file; a formula with such a line is not written.

    \b
      bookgen bring notebook.csv
      bookgen bring notebook.csv --take "Description=name" --take "Moisture=water, %"
    """
    from ..bringing import bring as bringing
    from ..bringing import plan
    from ..pipeline import NoBook
    from ..source.foreign import CannotBring
    from ..source.old_units import Accepted, Measures, Weights
    from ..source.writing import CannotAdd

    accepted = Accepted(
        measures=Measures(measures) if measures else None, weights=Weights(weights) if weights else None
    )
    try:
        planned = plan(book, file, decimal, taken, accepted)
    except (NoBook, CannotBring) as refused:
        raise click.UsageError(str(refused)) from refused
    _tell(planned)
    files = planned.brought.files
    if not files:
        say("Nothing to write.")
        return 0
    if not yes:
        if not sys.stdin.isatty():
            raise click.UsageError("Nothing was written: look at the list above, then say --yes.")
        say(f"Write {len(files)} new {'file' if len(files) == 1 else 'files'}? [y/N] ", nl=False, err=True)
        if sys.stdin.readline().strip().casefold() not in ("y", "yes"):
            say("Nothing was written.")
            return 0
    try:
        written = bringing(book, planned)
    except CannotAdd as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    say(f"Written: {len(written)} {'file' if len(written) == 1 else 'files'}.")
    return 0


def _tell(planned: BringPlan) -> None:
    """Say what the table was found to be and what it becomes."""
    table, brought = planned.table, planned.brought
    say(f"Read as {table.encoding}, cells parted by {table.delimiter}, decimal {'comma' if table.comma else 'point'}.")
    say("\nColumns:")
    for column in brought.columns:
        unit = f", in {column.unit}" if column.key and column.unit else ""
        say(f"  {column.head or '(no head)'}: {(column.key or 'not known, kept as a remark')}{unit}")
    if brought.told:
        say("\nTo look at:")
        for told in brought.told:
            say(f"  {told}")
    if brought.files:
        say("\nNew files:")
        for path in brought.files:
            say(f"  {path}")
    say("")
