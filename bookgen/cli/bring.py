"""The command that brings into the book what was kept elsewhere: a table, or what another book handed on."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .start import CANNOT_WRITE, WRONG_USE, common, main, say, width

if TYPE_CHECKING:
    from ..bringing import BringPlan


@main.command()
@click.argument("source", type=click.Path(exists=True, path_type=Path))
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
    source: Path,
    decimal: str | None,
    taken: tuple[str, ...],
    measures: str | None,
    weights: str | None,
    yes: bool,
    book: Path,
) -> int:
    """Bring the table in a CSV file, or a folder that hand-on --folder wrote, into the book.

    A table becomes a new file for each material, or for each formula: one with a column of amounts holds formulas, a
    row for each line, with their codes; any other holds materials.

    Says first how the table was read, what each column is taken for by its head, which files it makes, and each cell
    that was not understood, by row and column; then asks. Nothing is guessed and nothing is written over. What was not
    understood of a material stays as a remark in its file; a formula with such a line is not written.

    From a folder come formulas, materials and pictures, all of them or none. What the book already has with the same
    content is left alone. Where a name stands for something else here, both places are named and nothing is written.

    \b
      bookgen bring wedging-cream
      bookgen bring notebook.csv
      bookgen bring notebook.csv --take "Description=name" --take "Moisture=water, %"
    """
    from ..bringing import bring as bringing
    from ..bringing import plan
    from ..pipeline import NoBook
    from ..source.foreign import CannotBring
    from ..source.old_units import Accepted, Measures, Weights
    from ..source.writing import CannotAdd

    if source.is_dir():
        if decimal or taken or measures or weights:
            raise click.UsageError("--decimal, --take, --measures and --weights are for a table.")
        return _take_in(source, yes, book)
    accepted = Accepted(
        measures=Measures(measures) if measures else None, weights=Weights(weights) if weights else None
    )
    try:
        planned = plan(book, source, decimal, taken, accepted)
    except (NoBook, CannotBring) as refused:
        raise click.UsageError(str(refused)) from refused
    _tell(planned)
    files = planned.brought.files
    if not files:
        say("Nothing to write.")
        return 0
    if not _is_wanted(len(files), yes):
        return 0
    try:
        written = bringing(book, planned)
    except CannotAdd as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    say(f"Written: {len(written)} {'file' if len(written) == 1 else 'files'}.")
    return 0


def _is_wanted(count: int, yes: bool) -> bool:
    """Ask whether so many files are to be written, where nobody said so.  Raises UsageError in a pipe."""
    if yes:
        return True
    if not sys.stdin.isatty():
        raise click.UsageError("Nothing was written: look at the list above, then say --yes.")
    say(f"Write {count} new {'file' if count == 1 else 'files'}? [y/N] ", nl=False, err=True)
    if sys.stdin.readline().strip().casefold() in ("y", "yes"):
        return True
    say("Nothing was written.")
    return False


def _take_in(folder: Path, yes: bool, book: Path) -> int:
    """Take in what another book handed on."""
    from ..pipeline import NoBook
    from ..source.foreign import CannotBring
    from ..source.writing import CannotAdd, CannotRecord
    from ..taking import InTheWay, plan_taking, take_in
    from ..terminal.batch import findings_text

    try:
        planned = plan_taking(book, folder)
    except (NoBook, CannotBring) as refused:
        raise click.UsageError(str(refused)) from refused
    except InTheWay as refused:
        for told in refused.told:
            say(str(told), err=True)
        return WRONG_USE
    for head, paths in (("There already, with the same content:", planned.there), ("New files:", tuple(planned.files))):
        if paths:
            say("\n".join([head, *(f"  {path}" for path in paths), ""]))
    if planned.turned is not None:
        say(f"Figures are written with a decimal {planned.turned}, as in this book; words stay as they are.\n")
    if planned.findings:
        say(f"To be put right here:\n{findings_text(planned.findings, width())}")
    if not planned.files:
        say("Nothing to write.")
        return 0
    if not _is_wanted(len(planned.files), yes):
        return 0
    try:
        take_in(book, planned)
    except (CannotAdd, CannotRecord) as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    say(f"Written: {len(planned.files)} {'file' if len(planned.files) == 1 else 'files'}.")
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
