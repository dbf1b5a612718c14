"""The stages in order: text → book → figures → findings → pages → press.  Decides nothing.

The first file to open: it shows the whole way of a book.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from . import __version__
from .findings import NOWHERE, Finding, Missing, Severity, did_you_mean
from .model import Book, Formula, Obtain, Status, Workroom
from .reckon.droppers import DropMass, drop_mass
from .reckon.figures import Reckoning, reckon
from .reckon.first import with_below
from .reckon.weighing import Weighing, weigh
from .review import Review, review
from .source import read_book, read_container, read_obtain, read_workroom_alone, todays_drops
from .units import Complaint

if TYPE_CHECKING:
    from .pages.themes import Theme

Progress = Callable[[int, int], None]
"""Called with how many are done, of how many."""


class NoBook(Exception):
    """The folder holds no formulas/; the text is a sentence for the user."""


class CannotPublish(Exception):
    """Nothing could be written; the text is a sentence for the user."""


class Unknown(Exception):
    """No formula, or no dropper, of that name; the text is a sentence for the user."""


class Unreadable(Exception):
    """The workroom file cannot be read; the text says what is not known."""

    def __init__(self, reason: str, findings: tuple[Finding, ...]):
        super().__init__(reason)
        self.findings = findings


class Refused(Exception):
    """The batch is refused; the text says why."""

    def __init__(self, formula: Formula, reason: str, findings: tuple[Finding, ...] = (), *, barred: bool = False):
        super().__init__(reason)
        self.formula = formula
        self.findings = findings
        self.barred = barred


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


def check_book(root: Path) -> Checked:
    """Read, reckon and review a book.  Raises NoBook when the folder holds none."""
    if not (root / "formulas").is_dir():
        raise NoBook(f"{root} holds no formulas/; a book is a folder with formulas/ in it. Say which with --book DIR.")
    with without_collector():
        book = read_book(root)
        reckoning = reckon(book)
        found = review(reckoning)
    return Checked(root=root, book=book, reckoning=reckoning, review=found)


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


def weigh_batch(
    checked: Checked,
    code: str,
    obtain: str | None,
    today: date,
    dropper: str | None = None,
    *,
    drops: Sequence[str] = (),
    into: str | None = None,
) -> Weighing:
    """Return one batch; `drops` are weighings of today, `into` is the content of one container.

    Raises Unknown for a name that the book does not have and for words that cannot be read, Refused for a batch that
    cannot be made.
    """
    book = checked.book
    key = formula_key(book, code)
    if dropper is not None and dropper.casefold() not in {one.casefold() for one in droppers_of(book)}:
        raise Unknown(f"No dropper is called {dropper}.{did_you_mean(dropper, droppers_of(book))}")
    masses = _todays_masses(checked, key, drops)
    container = None if into is None else read_container(into, book.workroom.decimal)
    if isinstance(container, Complaint):
        raise Unknown(f"Into: {container.message}")
    formula = sound_formula(checked, key)
    asked = asked_batch(checked, formula, obtain)
    if asked is not None and asked.containers and container is not None:
        raise Unknown(f"The batch {asked.text} names its containers itself: leave out --into, or write the whole.")
    weighing = weigh(
        checked.reckoning, key, obtain=asked, today=today, dropper=dropper, drops=masses, into=container
    )  # fmt: skip
    if isinstance(weighing, Missing):
        raise refused_batch(checked, key, weighing.reason)
    return weighing


def refused_batch(checked: Checked, key: str, reason: str) -> Refused:
    """Return why a batch of a sound formula is refused: the reason, as a finding, before what else was found."""
    formula = checked.book.formulas[key]
    finding = Finding(
        severity=Severity.ERROR,
        rule="batch-refused",
        message=f"{formula.title}: {reason}.",
        place=NOWHERE,
        concerns=formula.code,
    )
    return Refused(formula, reason, (finding, *checked.findings_of(key)))


def formula_key(book: Book, code: str) -> str:
    """Return the key of the formula of that code.  Raises Unknown."""
    key = book.key_of(code)
    if key not in book.formulas:
        known = [formula.code for formula in book.formulas.values()]
        told = "is a material, not a formula" if key else "is not a formula of this book"
        raise Unknown(f"{code} {told}.{did_you_mean(code, known)}")
    return key


def sound_formula(checked: Checked, key: str) -> Formula:
    """Return a formula that may be weighed.  Raises Refused for one that is barred or withdrawn."""
    formula = checked.book.formulas[key]
    if checked.unreadable_workroom:
        path = checked.book.workroom.path
        said = tuple(one for one in checked.review.findings if one.place.path == path)
        raise Refused(formula, f"put {path} right first; balances and decimal sign are not known", said)
    barred = checked.review.barred.get(key)
    if barred is not None:
        raise Refused(formula, f"barred: {barred.reason}", checked.findings_of(key), barred=True)
    if formula.status is Status.WITHDRAWN:
        raise Refused(formula, "withdrawn, so it is not weighed any more", checked.findings_of(key), barred=True)
    return formula


def _todays_masses(checked: Checked, key: str, drops: Sequence[str]) -> dict[str, DropMass]:
    """Return what the drops weighed today weigh, by the material's key.  Raises Unknown."""
    book = checked.book
    lines = todays_drops(book, drops)
    if isinstance(lines, Complaint):
        raise Unknown(f"Drop: {lines.message}")
    inside = {line.key for one in with_below(checked.reckoning, (key,)) for line in
              checked.reckoning.figures[one].amounts.lines}  # fmt: skip
    for name in lines:
        if name not in inside:
            raise Unknown(f"{book.materials[name].key} is not weighed in anywhere in {book.formulas[key].title}.")
    masses = {name: drop_mass(line) for name, line in lines.items()}
    return {name: mass for name, mass in masses.items() if isinstance(mass, DropMass)}


def asked_batch(checked: Checked, formula: Formula, obtain: str | None) -> Obtain | None:
    """Return the batch asked for; None for the one written.  Raises Refused for words that cannot be read."""
    if obtain is None:
        return None
    asked = read_obtain(obtain, checked.book.workroom.decimal)
    if isinstance(asked, Finding):
        raise Refused(formula, asked.message, (asked,))
    return asked


def droppers_of(book: Book) -> list[str]:
    """Return the names of all droppers: the workroom's, then those that materials list."""
    listed = [line.dropper for material in book.materials.values() for line in material.drops]
    return list(dict.fromkeys((*book.workroom.droppers, *listed)))


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
    from .pages.leaves import leaves, sheet_style
    from .press.bind import bind
    from .press.cache import Cache, cache_folder
    from .press.render import PressError, render_all

    room = checked.book.workroom
    try:
        pieces = render_all(
            tuple(leaves(checked.reckoning, checked.review, theme)),
            sheet_style(theme, room),
            cache=Cache(folder=cache_folder()),
            progress=progress,
        )
    except PressError as reason:
        return None, (str(reason),)
    bound = bind(pieces, title=room.title, lang=room.language, author=room.keeper, duplex=room.duplex)
    said = [problem for piece in pieces for problem in piece.problems]
    return bound.pdf, tuple(f"{problem.code}: {problem.sentence}" for problem in (*said, *bound.problems))


def _digest(root: Path) -> str:
    """Return a digest of everything a publication is made from: the book's files, its themes, this version."""
    total = sha256(__version__.encode())
    for folder in ("formulas", "themes"):
        for path in sorted((root / folder).rglob("*")):
            if path.is_file():
                total.update(f"\0{path.relative_to(root).as_posix()}\0".encode(errors="surrogateescape"))
                total.update(sha256(path.read_bytes()).digest())
    return total.hexdigest()
