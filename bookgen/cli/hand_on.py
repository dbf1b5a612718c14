"""The command that hands one formula on."""

from __future__ import annotations

from pathlib import Path

import click

from .start import BOOK_ERRORS, CANNOT_WRITE, checked_book, common, main, say, told_at_the_bench, width


@main.command("hand-on")
@click.argument("code")
@click.option(
    "--to",
    "page",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Where to write the page (default: CODE.html, here).",
)
@click.option(
    "--pdf",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Write its sheets and those of its intermediates as a PDF instead.",
)
@click.option(
    "--folder",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write the files that bookgen bring takes into another book instead.",
)
@common
def hand_on(code: str, page: Path | None, pdf: Path | None, folder: Path | None, book: Path) -> int:
    """Hand on the formula CODE to somebody who does not have the book.

    Writes one HTML file with fonts and pictures in it, the intermediates behind the formula. It opens from disk or
    from a mail, can be set to another batch, and links to nothing outside itself. Lots, prices, batch records and
    text headed "For the keeper" are not in it, and neither is any other formula. One with an error is not handed on;
    one that is withdrawn says so.

    With --folder it writes files: formula, intermediates, their materials and pictures, in a new folder. Remarks in
    them stay behind, and a link to what is not among them becomes plain words.

    A file that hand-on wrote before is written over as long as nobody has changed it; any other stays.

    \b
      bookgen hand-on C-03
      bookgen hand-on C-03 --to wedging-cream.html
      bookgen hand-on C-03 --pdf wedging-cream.pdf
      bookgen hand-on C-03 --folder wedging-cream
    """
    from ..bench import formula_key
    from ..pipeline import CannotHandOn, NotForOthers, hand_on_files, hand_on_page, hand_on_sheets, handed
    from ..source.writing import CannotAdd
    from ..terminal.batch import findings_text

    if sum(given is not None for given in (page, pdf, folder)) > 1:
        raise click.UsageError("--to is for a page, --pdf for sheets, --folder for files: name one of them.")
    checked = checked_book(book, filed=False)
    with told_at_the_bench():
        key = formula_key(checked.book, code)
        text = findings_text(checked.findings_of(key), width())
        if text:
            say(text, err=True)
        if checked.in_the_way:
            say(f"Nothing is handed on: {checked.in_the_way}", err=True)
            return BOOK_ERRORS
        try:
            given = handed(checked, key, bases=folder is not None)
            if folder is not None:
                count = hand_on_files(given, folder)
                say(f"Written: {folder}, {count} files")
                return 0
        except CannotAdd as reason:
            say(str(reason), err=True)
            return CANNOT_WRITE
        except (CannotHandOn, NotForOthers) as refused:
            say(str(refused), err=True)
            return BOOK_ERRORS
        if pdf is not None:
            done = hand_on_sheets(given, pdf)
            for sentence in done.problems:
                say(sentence, err=True)
            if not done.written:
                return BOOK_ERRORS
            say(f"Written: {done.written}")
            return 0
        target = page or Path(f"{checked.book.formulas[key].code or key}.html")
        hand_on_page(given, target)
        say(f"Written: {target}")
    return 0
