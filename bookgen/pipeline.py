"""The stages in order: text → book → figures → findings → pages → press.  Decides nothing.

The first file to open: it shows the whole way of a book.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import file_digest, sha256
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from . import __version__
from .findings import Finding, Severity
from .model import Book, Workroom
from .reckon.figures import Reckoning, reckon
from .review import Review, review
from .source import Memory, filed_text, read_book, read_workroom_alone, state_of
from .source.filed import RECORD

if TYPE_CHECKING:
    from .pages.sheets import Bench, EffectiveRow, Sheet
    from .pages.themes import Theme
    from .press.piece import Piece
    from .press.render import Press
    from .review.rule import Printed

T = TypeVar("T")
Progress = Callable[[int, int], None]
"""Called with how many are done, of how many."""


MOST_NAMED = 5
"""Files that are named one by one."""


class NoBook(Exception):
    """The folder holds no formulas/; the text is a sentence for the user."""


class CannotPublish(Exception):
    """Nothing could be written; the text is a sentence for the user."""


class FaultyTheme(Exception):
    """A file of the book's own theme is not in order; the text is a sentence that names it, and the line."""


class Unreadable(Exception):
    """The workroom file cannot be read; the text says what is not known."""

    def __init__(self, reason: str, findings: tuple[Finding, ...]):
        super().__init__(reason)
        self.findings = findings


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A book, read, reckoned and reviewed."""

    root: Path
    """Its folder."""
    book: Book
    """What was read."""
    reckoning: Reckoning
    """What was reckoned."""
    review: Review
    """What there is to say."""

    @property
    def has_errors(self) -> bool:
        """True when a finding is an error."""
        return any(one.severity is Severity.ERROR for one in self.review.findings)

    @property
    def unreadable_workroom(self) -> bool:
        """True when the workroom file cannot be read, or not all of it: nothing is published or weighed then.

        A balance or a decimal sign that is not understood concerns every figure of the book.
        """
        path = self.book.workroom.path
        return any(one.severity is Severity.ERROR and one.place.path == path for one in self.book.findings)

    @property
    def in_the_way(self) -> str:
        """What has to be put right before anything is published, in words; empty where nothing stands in the way.

        What cannot be read is not gone: a book without it would look whole, and its leaves in the binder withdrawn.
        """
        if self.unreadable_workroom:
            return f"put {self.book.workroom.path} right first."
        unread = self.book.unread
        if not unread:
            return ""
        named = ", ".join(unread[:MOST_NAMED])
        more = f" and {len(unread) - MOST_NAMED} more" if len(unread) > MOST_NAMED else ""
        return f"{named}{more} cannot be read; put {'that' if len(unread) == 1 else 'them'} right first."

    def findings_of(self, key: str) -> tuple[Finding, ...]:
        """Return what was found about a formula, about its ingredients, and about the errors that bar it.

        Where an ingredient has no file, what cannot be read concerns it too: that may be the one.
        """
        formula = self.book.formulas[key]
        lines = self.reckoning.figures[key].amounts.lines
        concerned = {formula.code.casefold(), *(one.key for one in lines if one.key)}
        unread = () if all(self.book.at(one.key) for one in lines) else self.book.unread
        barred = self.review.barred.get(key)
        if barred is not None:
            concerned.add(barred.root.casefold())
        return tuple(
            one
            for one in self.review.findings
            if (one.concerns and one.concerns.casefold() in concerned) or one.place.path in unread
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """What was written."""

    written: tuple[str, ...]
    """The main files."""
    problems: tuple[str, ...] = ()
    """What the press had to say, in sentences."""
    incomplete: bool = False
    """True when a part could not be made: the binder without Pango."""


def check_book(root: Path, *, filed: bool = True) -> Checked:
    """Read, reckon and review a book.  Raises NoBook when the folder holds none.

    Unless `filed` is false the figures of every sheet are compared with those on record, which takes its time.
    """
    must_be_book(root)
    with without_collector():
        book = read_book(root)
        reckoning = reckon(book)
        found = review(reckoning, printed=_printed(reckoning) if filed else None)
    return Checked(root=root, book=book, reckoning=reckoning, review=found)


def no_book(root: Path) -> str:
    """Return that a folder is not a book, as the beginning of a sentence."""
    return f"{root.resolve()} is not a book, as it has no folder formulas/"


def must_be_book(root: Path) -> None:
    """Raise NoBook when the folder holds no book."""
    if not _is_folder(root / "formulas"):
        above = _book_above(root)
        what = f"the book is {above}, so go there or name it" if above else "name one"
        begin = "" if above else ", or begin one with bookgen start"
        raise NoBook(f"{no_book(root)}: {what} with --book DIR{begin}.")


def _book_above(root: Path) -> Path | None:
    """Return the nearest folder above in whose `formulas/` or `site/` this one lies; None where there is none."""
    here = root.resolve()
    for above in here.parents:
        if here.relative_to(above).parts[0] in ("formulas", "site") and _is_folder(above / "formulas"):
            return above
    return None


def _is_folder(path: Path) -> bool:
    """Return whether a folder stands there.  Raises NoBook where nobody may look."""
    try:
        return path.is_dir()
    except OSError as reason:
        raise NoBook(f"{path} cannot be opened: {reason.strerror}.") from reason


def check_again(root: Path, memory: Memory, earlier: Checked | None) -> Checked:
    """Read, reckon and review a book of which most may be known: the same as `check_book`, in less time.

    `memory` holds what was read last, `earlier` what was made of it.  Raises NoBook, and Unreadable before anything is
    reckoned with a workroom that is not understood.
    """
    workroom_of(root, must_be=True)
    with without_collector():
        book = read_book(root, memory)
        reckoning = reckon(book, earlier.reckoning if earlier else None)
        found = review(reckoning, earlier.review if earlier else None, _printed(reckoning))
    return Checked(root=root, book=book, reckoning=reckoning, review=found)


def _printed(reckoning: Reckoning) -> Printed | None:
    """Return what tells the figures on a sheet; None while nothing is filed that they could be compared with."""
    if not reckoning.book.filed.leaves:
        return None
    from .pages.sheets.printed import printed_by

    return printed_by(reckoning)


@contextmanager
def without_collector() -> Iterator[None]:
    """Let no garbage collector walk the book, neither while it grows nor later: a fifth of the time of a large one.

    What the stages make holds no circles and lives until the end, so nothing is left lying for want of it.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if running:
            gc.enable()


def workroom_of(root: Path, *, must_be: bool) -> Workroom:
    """Return the workroom of the book in a folder, or one without balances where there is no book.

    Raises NoBook for a folder that must be a book and is none, Unreadable where an error stands in the workroom file:
    balances and decimal sign are then not known, and are not guessed.
    """
    if not _is_folder(root / "formulas"):
        if must_be:
            raise NoBook(f"{no_book(root)}: leave --book out to reckon without a book.")
        return Workroom()
    book = read_workroom_alone(root)
    errors = tuple(one for one in book.findings if one.severity is Severity.ERROR)
    if errors:
        raise Unreadable(f"Put {errors[0].place.path} right first; balances and decimal sign are not known", errors)
    return book.workroom


# ── Publishing ────────────────────────────────────────────────────────────────────────────────────────────────────

SITE = "site"
BINDER = "binder"
CHANGES = "changes"
LIST = "effective-sheets.yaml"
"""The list that travels in a printed binder: what it holds once it is filed."""


FILES = {SITE: "index.html", BINDER: "binder.pdf", CHANGES: "changes.pdf"}
"""Part of the output folder → its main file."""
TAKEN_AWAY = {
    BINDER: "The earlier binder was older than what is made now and was taken away; bookgen binder makes a new one.",
    SITE: "The earlier pages were older than what is made now and were taken away; bookgen site makes new ones.",
    CHANGES: "The earlier changes.pdf no longer starts from what is on record and was taken away; bookgen binder "
    "--changes makes a new one.",
}


def publish(
    checked: Checked,
    target: Path,
    *,
    site: bool = True,
    binder: bool = True,
    progress: Progress | None = None,
) -> Published:
    """Write the pages, the binder, or both, into the output folder: as a whole or not at all.

    The half that is not asked for stays if it was made from the same book.  Without Pango the pages are made all the
    same, and the problems say what to install.  Raises CannotPublish and FaultyTheme.
    """
    from .pages import ThemeFault, ThemeNotFound, load_theme
    from .press.folder import CannotWrite, Part, check_folder, write_folder

    try:
        make_room(target)
        aside = check_folder(target)
        theme = load_theme(checked.root)
        digest = digest_of(checked.root)
        parts: dict[str, Part] = {}
        problems: tuple[str, ...] = ()
        if site:
            from .pages.site import site_files

            with without_collector():
                pages = site_files(checked.reckoning, checked.review, theme)
            parts[SITE] = Part(digest=digest, files=pages)
        if binder:
            pdf, problems = _bound(checked, theme, progress)
            if pdf is not None:
                parts[BINDER] = Part(digest=digest, files={"binder.pdf": pdf})
        if not parts:
            return Published(written=(), problems=problems, incomplete=True)
        # Printed changes stay as long as they can be filed: until the record is another than they were made against.
        filed = checked.book.filed
        changes = state_of(filed) if binder and filed.readable else None
        written = write_folder(target, parts, keep={SITE: digest, BINDER: digest, CHANGES: changes})
    except CannotWrite as reason:
        raise CannotPublish(f"Cannot write {reason.path}: {reason.reason}") from reason
    except OSError as reason:
        raise CannotPublish(f"Cannot write {target}: {reason.strerror or reason}.") from reason
    except (ThemeFault, ThemeNotFound) as reason:
        raise FaultyTheme(str(reason)) from reason
    return Published(
        written=tuple(str(target / name) for part, name in FILES.items() if part in parts),
        problems=(*problems, *(TAKEN_AWAY[part] for part in written.dropped), *set_aside((*aside, *written.aside))),
        incomplete=binder and BINDER not in parts,
    )


def set_aside(folders: Sequence[Path]) -> tuple[str, ...]:
    """Return the sentences on folders of earlier runs that could not be removed."""
    return tuple(
        f"What an earlier run made could not be removed and stands as {one}; delete it when you can." for one in folders
    )


def make_room(target: Path) -> None:
    """Make the folders above the output folder.  Raises CannotPublish where a file stands in their place."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError) as reason:
        raise CannotPublish(f"Cannot write {target}: {target.parent} is not a folder.") from reason


def _bound(checked: Checked, theme: Theme, progress: Progress | None) -> tuple[bytes | None, tuple[str, ...]]:
    """Return the binder and what the press had to say; None for the binder when the press cannot work here."""
    from .pages.sheets import record_of
    from .press.bind import bind
    from .press.render import PressError

    room = checked.book.workroom
    try:
        with printing_for(checked, theme) as printing:
            printed = _print_all(printing, progress)
        pieces = [one.piece for one in printed]
        record = record_of([one.row for one in printed], {}, printing.words)
        bound = bind(
            pieces,
            title=room.title,
            lang=room.language,
            author=room.keeper,
            duplex=room.duplex,
            attached={LIST: filed_text(record).encode()},
        )
    except PressError as reason:
        return None, (str(reason),)
    said = [problem for piece in pieces for problem in piece.problems]
    return bound.pdf, tuple(f"{problem.code}: {problem.sentence}" for problem in (*said, *bound.problems))


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSheet:
    """A leaf as printed, and its row in the list of effective sheets."""

    piece: Piece
    """The PDF."""
    row: EffectiveRow
    """What identifies it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """What leaves are made and printed with."""

    bench: Bench
    """The book as the binder sees it."""
    press: Press
    """What prints them; open as long as there may be more."""
    look: str
    """Digest of what all leaves share in looks."""
    words: str
    """The same in words."""

    def printed(self, sheets: Sequence[Sheet], progress: Progress | None = None) -> tuple[PrintedSheet, ...]:
        """Return leaves as printed, in their order.  Raises PressError."""
        from .pages.sheets import row_of

        pieces = self.press.print([one.leaf for one in sheets], progress)
        duplex = self.bench.shelf.book.workroom.duplex
        return tuple(
            PrintedSheet(piece=piece, row=row_of(sheet, piece.pages, self.look, duplex=duplex))
            for sheet, piece in zip(sheets, pieces, strict=True)
        )


@contextmanager
def printing_for(checked: Checked, theme: Theme) -> Iterator[Printing]:
    """Give what the leaves of a book are made and printed with.  Raises PressError."""
    from .pages.sheets import bench_for, look_words, sheet_style
    from .press.cache import Cache, cache_folder
    from .press.render import Press, look_of, typesetter

    room = checked.book.workroom
    style = sheet_style(theme, room)
    with Press(style, cache=Cache(folder=cache_folder())) as press:
        yield Printing(
            bench=bench_for(checked.reckoning, checked.review, theme),
            press=press,
            look=look_of(style, typesetter()),
            words=look_words(theme, room, _engine_words(typesetter())),
        )


def _engine_words(engine: Sequence[str]) -> str:
    """Return the layout engine among the versions at work, in words: `WeasyPrint 70.0`."""
    return next(one.replace("weasyprint", "WeasyPrint") for one in engine if one.startswith("weasyprint"))


def _print_all(printing: Printing, progress: Progress | None) -> tuple[PrintedSheet, ...]:
    """Print all leaves, the list of effective sheets last of all, which is then put in its place."""
    from .pages.sheets import effective_sheet, leaves_of

    others = printing.printed(leaves_of(printing.bench), progress)
    listed = printing.printed((effective_sheet(printing.bench, [one.row for one in others]),))
    return in_order(others, listed[0])


def in_order(others: Sequence[T], listed: T) -> tuple[T, ...]:
    """Return the leaves with the list of effective sheets in its place."""
    from .pages.sheets import BEFORE_LIST

    at = len(BEFORE_LIST)
    return (*others[:at], listed, *others[at:])


def digest_of(root: Path) -> str:
    """Return a digest of everything a publication is made from: the book's files, its themes, this version.

    What is in the binder is no part of it: that the binder was filed makes neither it nor the pages older.  Hidden
    files are none either.  Raises CannotPublish where one cannot be read.
    """
    total = sha256(__version__.encode())
    try:
        for path in _all_files(root, ["formulas", "themes"]):
            if path != RECORD:
                total.update(f"\0{path}\0".encode(errors="surrogateescape"))
                with open(root / path, "rb") as file:
                    total.update(file_digest(file, "sha256").digest())
    except OSError as reason:
        raise CannotPublish(f"Cannot read {reason.filename}: {reason.strerror or reason}.") from reason
    return total.hexdigest()


def _all_files(root: Path, folders: list[str]) -> list[str]:
    """Return the paths of all files in these folders of the book, sorted; folders that are links are not entered.

    Raises OSError where a folder cannot be listed.
    """
    found = []
    while folders:
        folder = folders.pop()
        if folder == "themes" and not (root / folder).is_dir():
            continue
        for entry in os.scandir(root / folder):
            path = f"{folder}/{entry.name}"
            if entry.name.startswith("."):
                continue
            if entry.is_dir(follow_symlinks=False):
                folders.append(path)
            elif entry.is_file():
                found.append(path)
    return sorted(found)
