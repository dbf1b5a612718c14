"""The command that gives a formula another code or a material another name."""

from __future__ import annotations

from pathlib import Path

import click

from .start import CANNOT_WRITE, common, main, say


@main.command()
@click.argument("name")
@click.argument("new")
@common
def rename(name: str, new: str, book: Path) -> int:
    """Give the formula or material NAME the name NEW, in every line and link of the book.

    What it was called stays findable: its file says so under `formerly`. Batch records keep their numbers, which
    stand on jars. All files change together or none does.

    \b
      bookgen rename C-01 C-10              a formula, by its code
      bookgen rename glycerol glycerol-85   a material, by the name of its file
    """
    from ..pipeline import NoBook
    from ..renaming import rename as renaming
    from ..source.renaming import CannotRename
    from ..source.writing import CannotAdd, CannotRecord

    try:
        done = renaming(book, name, new)
    except (NoBook, CannotRename) as refused:
        raise click.UsageError(str(refused)) from refused
    except (CannotAdd, CannotRecord) as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    for path in done.written:
        say(f"Written: {book / path}")
    if done.gone:
        say(f"Gone: {book / done.gone}")
    return 0
