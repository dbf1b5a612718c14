"""The stages in order: text → book → figures → findings → pages → press.  Decides nothing.

The first file to open: it shows the whole way of a book.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from . import __version__
from .findings import Finding, Severity
from .model import Book, Workroom
from .reckon.figures import Reckoning, reckon
from .review import Review, review
from .source import Memory, read_book, read_workroom_alone

if TYPE_CHECKING:
    from .pages.sheets import EffectiveRow, Sheet
    from .pages.themes import Theme
    from .press.piece import Piece
    from .review.rule import Printed

Progress = Callable[[int, int], None]
"""Called with how many are done, of how many."""


class NoBook(Exception):
    """The folder holds no formulas/; the text is a sentence for the user."""


class CannotPublish(Exception):
    """Nothing could be written; the text is a sentence for the user."""


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

    def findings_of(self, key: str) -> tuple[Finding, ...]:
        """Return what was found about a formula, about its ingredients, and about the errors that bar it."""
        formula = self.book.formulas[key]
        concerned = {
            formula.code.casefold(),
            *(one.key for one in self.reckoning.figures[key].amounts.lines if one.key),
        }
        barred = self.review.barred.get(key)
        if barred is not None:
            concerned.add(barred.root.casefold())
        return tuple(one for one in self.review.findings if one.concerns and one.concerns.casefold() in concerned)


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


def must_be_book(root: Path) -> None:
    """Raise NoBook when the folder holds no book."""
    if not (root / "formulas").is_dir():
        raise NoBook(f"{root} holds no formulas/; a book is a folder with formulas/ in it. Say which with --book DIR.")


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
    if not (root / "formulas").is_dir():
        if must_be:
            raise NoBook(f"{root} holds no formulas/; leave --book out to reckon without a book.")
        return Workroom()
    book = read_workroom_alone(root)
    errors = tuple(one for one in book.findings if one.severity is Severity.ERROR)
    if errors:
        raise Unreadable(f"Put {errors[0].place.path} right first; balances and decimal sign are not known", errors)
    return book.workroom


# ── Publishing ────────────────────────────────────────────────────────────────────────────────────────────────────

SITE = "site"
BINDER = "binder"


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
    same, and the problems say what to install.  Raises CannotPublish.
    """
    from .pages.themes import ThemeNotFound, load_theme
    from .press.folder import CannotWrite, Part, check_folder, write_folder

    try:
        _make_room(target)
        check_folder(target)
        theme = load_theme(checked.root)
        digest = _digest(checked.root)
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
        written = write_folder(target, parts, keep={SITE: digest, BINDER: digest})
    except CannotWrite as reason:
        raise CannotPublish(f"Cannot write {reason.path}: {reason.reason}") from reason
    except OSError as reason:
        raise CannotPublish(f"Cannot write {target}: {reason.strerror or reason}.") from reason
    except ThemeNotFound as reason:
        raise CannotPublish(str(reason)) from reason
    if BINDER in written.dropped:
        problems += (
            "The earlier binder was older than these pages and was taken away; bookgen binder makes a new one.",
        )
    if SITE in written.dropped:
        problems += ("The earlier pages were older than this binder and were taken away; bookgen site makes new ones.",)
    names = {SITE: "index.html", BINDER: "binder.pdf"}
    return Published(
        written=tuple(str(target / name) for part, name in names.items() if part in parts),
        problems=problems,
        incomplete=binder and BINDER not in parts,
    )


def _make_room(target: Path) -> None:
    """Make the folders above the output folder.  Raises CannotPublish where a file stands in their place."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError) as reason:
        raise CannotPublish(f"Cannot write {target}: {target.parent} is not a folder.") from reason


def _bound(checked: Checked, theme: Theme, progress: Progress | None) -> tuple[bytes | None, tuple[str, ...]]:
    """Return the binder and what the press had to say; None for the binder when the press cannot work here."""
    from .press.bind import bind
    from .press.render import PressError

    room = checked.book.workroom
    try:
        printed = print_sheets(checked, theme, progress)
    except PressError as reason:
        return None, (str(reason),)
    pieces = [one.piece for one in printed]
    bound = bind(pieces, title=room.title, lang=room.language, author=room.keeper, duplex=room.duplex)
    said = [problem for piece in pieces for problem in piece.problems]
    return bound.pdf, tuple(f"{problem.code}: {problem.sentence}" for problem in (*said, *bound.problems))


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSheet:
    """A leaf as printed, and its row in the list of effective sheets."""

    piece: Piece
    """The PDF."""
    row: EffectiveRow
    """What identifies it."""


def print_sheets(checked: Checked, theme: Theme, progress: Progress | None) -> tuple[PrintedSheet, ...]:
    """Return the leaves of the binder in their order, printed; the list of effective sheets last of all, then put in.

    Raises PressError.
    """
    from .pages.sheets import BEFORE_LIST, bench_for, effective_sheet, leaves_of, row_of, sheet_style
    from .press.cache import Cache, cache_folder
    from .press.piece import digest_style
    from .press.render import engine, render_all

    room, cache = checked.book.workroom, Cache(folder=cache_folder())
    style = sheet_style(theme, room)
    bench = bench_for(checked.reckoning, checked.review, theme)

    def printed(sheets: tuple[Sheet, ...], told: Progress | None) -> tuple[PrintedSheet, ...]:
        pieces = render_all([one.leaf for one in sheets], style, cache=cache, progress=told)
        looks = digest_style(style, engine())
        return tuple(
            PrintedSheet(piece=piece, row=row_of(sheet, piece.pages, looks, duplex=room.duplex))
            for sheet, piece in zip(sheets, pieces, strict=True)
        )

    others = printed(leaves_of(bench), progress)
    at = len(BEFORE_LIST)
    listed = printed((effective_sheet(bench, [one.row for one in others]),), None)
    return (*others[:at], *listed, *others[at:])


def _digest(root: Path) -> str:
    """Return a digest of everything a publication is made from: the book's files, its themes, this version."""
    total = sha256(__version__.encode())
    for folder in ("formulas", "themes"):
        for path in sorted((root / folder).rglob("*")):
            if path.is_file():
                total.update(f"\0{path.relative_to(root).as_posix()}\0".encode(errors="surrogateescape"))
                total.update(sha256(path.read_bytes()).digest())
    return total.hexdigest()
