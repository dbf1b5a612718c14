"""The commands that begin something: `start` a book, `add` a formula or a material to it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .start import CANNOT_WRITE, common, main, say, width

if TYPE_CHECKING:
    from ..beginning import Answers


NO_DROPPER = ("none", "no")
"""What says that there is no dropper."""


@main.command()
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path), default=Path("."), metavar="[DIR]")
@click.option("--title", metavar="TEXT", help="Title of the book.")
@click.option(
    "--balance",
    "balances",
    multiple=True,
    metavar="BALANCE",
    help='Name, smallest step, most it holds: "fine balance, 0.01 g, 200 g"; may be repeated.',
)
@click.option(
    "--dropper", "droppers", multiple=True, metavar="NAME", help="Name of a dropper, or none; may be repeated."
)
@click.option("--paper", metavar="FORMAT", help="Paper of the binder: A4, A5 or Letter.")
def start(
    folder: Path, title: str | None, balances: tuple[str, ...], droppers: tuple[str, ...], paper: str | None
) -> int:
    """Begin a book in the folder DIR (default: here), which is made if it is not there.

    Asks for the title, the balances, the dropper and the paper, unless an option says it; in a pipe it asks nothing
    and says what it took instead. Writes formulas/workroom.yaml, one material and one formula with remarks. A folder
    that holds a book already is left as it is.

    \b
      bookgen start my-book
      bookgen start my-book --balance "kitchen scale, 1 g, 5000 g" --dropper pipette --paper A5
    """
    from ..beginning import Answers, Declined, begin
    from ..source import FIRST_CODE
    from ..source.writing import CannotAdd
    from ..terminal.columns import wrapped

    named = tuple(name for name in droppers if name.strip().lower() not in NO_DROPPER)
    answers = Answers(title=title, balances=balances, droppers=named if droppers else None, paper=paper)
    try:
        if sys.stdin.isatty():
            _must_be_new(folder)
            try:
                answers = _asked(answers)
            except KeyboardInterrupt:
                raise KeyboardInterrupt("nothing was written") from None
        files = begin(folder, answers)
    except Declined as declined:
        raise click.UsageError(str(declined)) from declined
    except CannotAdd as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    say(f"A book is begun in {folder.resolve()}:")
    for path in files:
        say(f"  {path}")
    taken = _taken(answers)
    if taken:
        for line in wrapped(f"Not said, so taken: {taken}. Correct it in {files[0]}.", 2, width()):
            say(line)
    say("\nNext:")
    if folder != Path("."):
        say(f"  cd {folder}")
    for command, does in (
        ("check", "what is wrong, and where"),
        (f"weigh {FIRST_CODE}", "the first weighing"),
        ("add --help", "a formula or a material of your own"),
        ("publish", "pages and binder, into site/"),
    ):
        say(f"  bookgen {command:12}  {does}")
    return 0


def _must_be_new(folder: Path) -> None:
    """Refuse a folder that holds a book before anything is asked."""
    from ..beginning import Declined, must_be_new

    try:
        must_be_new(folder)
    except Declined as declined:
        raise click.UsageError(str(declined)) from declined


def _asked(given: Answers) -> Answers:
    """Return the answers with those that were asked for at the terminal; an empty line takes what is usual."""
    from dataclasses import replace

    from ..beginning import Answers
    from ..source import A_BALANCE, BALANCE, DROPPER, TITLE

    found = given
    if given.title is None:
        found = replace(found, title=_ask(f"Title of the book [{TITLE}]: ", lambda text: Answers(title=text)))
    if not given.balances:
        balances: list[str] = []
        usual = ", ".join(BALANCE)
        ask = f"Balance: name, smallest step, the most it holds, such as {A_BALANCE} [{usual}]: "
        while (balance := _ask(ask, lambda text: Answers(balances=(*balances, text)))) is not None:
            balances.append(balance)
            ask = "One more balance (an empty line ends): "
        found = replace(found, balances=tuple(balances))
    if given.droppers is None:
        dropper = _ask(f"Dropper: its name, or none [{DROPPER}]: ", lambda text: Answers(droppers=(text,)))
        if dropper is not None:
            found = replace(found, droppers=() if dropper.lower() in NO_DROPPER else (dropper,))
    if given.paper is None:
        found = replace(
            found, paper=_ask("Paper of the binder: A4, A5 or Letter [A4]: ", lambda text: Answers(paper=text))
        )
    return found


def _ask(question: str, answer: Callable[[str], Answers]) -> str | None:
    """Return what is typed, None for an empty line or the end; what cannot be read is told and asked for again."""
    from ..beginning import Declined, workroom_for

    while True:
        say(question, nl=False, err=True)
        line = sys.stdin.readline().strip()
        if not line:
            return None
        try:
            workroom_for(answer(line))
        except Declined as declined:
            say(str(declined), err=True)
        else:
            return line


def _taken(answers: Answers) -> str:
    """Return what was taken because nothing was said of it, in words."""
    from ..source import BALANCE, DROPPER, TITLE

    name, step, most = BALANCE
    usual = (
        (answers.title is None, f"the title {TITLE}"),
        (not answers.balances, f"a {name} that shows {step} and holds {most}"),
        (answers.droppers is None, f"a {DROPPER}"),
        (answers.paper is None, "paper A4"),
    )
    return ", ".join(words for missing, words in usual if missing)


@main.command()
@click.argument("name", required=False, metavar="CODE|MATERIAL")
@click.argument("title", required=False)
@click.option("--missing", is_flag=True, help="A file for each ingredient that has none yet.")
@click.option(
    "--chapter", metavar="FOLDER", help="Folder of a formula (default: where codes with the same letters are)."
)
@common
def add(name: str | None, title: str | None, missing: bool, chapter: str | None, book: Path) -> int:
    """Add a formula, CODE "TITLE", or a material, "MATERIAL NAME", to the book.

    Writes a new file in which each key stands as a comment that says what it means. Nothing is written over.

    \b
      bookgen add S-02 "Cornflower shaving splash"                    a formula
      bookgen add S-02 "Cornflower shaving splash" --chapter waters   in that folder
      bookgen add "glycerol 85 %"                                     a material
      bookgen add --missing                                           one for each that has none
    """
    from ..beginning import Declined, add_formula, add_material
    from ..pipeline import NoBook
    from ..source.writing import CannotAdd

    if missing:
        if name is not None or chapter is not None:
            raise click.UsageError("--missing goes alone: it finds the names itself.")
        return _add_missing(book)
    if name is None:
        raise click.UsageError('Name what to add: CODE "TITLE" for a formula, "NAME" for a material, or --missing.')
    if title is None and chapter is not None:
        raise click.UsageError("A material has no chapter; a formula is added with its code and its title.")
    try:
        path = add_material(book, name) if title is None else add_formula(book, name, title, chapter)
    except (NoBook, Declined) as declined:
        raise click.UsageError(str(declined)) from declined
    except CannotAdd as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    say(f"Written: {book / path}")
    if title is None:
        say("Only its name is known yet: take the # away before what you know of it.")
    else:
        say("Write its ingredients there; until then the check says that it has none.")
    return 0


def _add_missing(book: Path) -> int:
    from ..beginning import Declined, add_missing
    from ..pipeline import NoBook
    from ..source.writing import CannotAdd

    try:
        added = add_missing(book)
    except (NoBook, Declined) as declined:
        raise click.UsageError(str(declined)) from declined
    except CannotAdd as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    for path in added.written:
        say(f"Written: {book / path}")
    for told in added.told:
        say(str(told), err=True)
    if added.written:
        say("Only their names are known yet: take the # away before what you know of them.")
    elif not added.told:
        say("Every ingredient has its file.")
    return 0
