"""The first stages: text → book → figures → findings."""

from __future__ import annotations

import gc
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ..findings import Finding, Severity
from ..model import Book, Workroom
from ..reckon.figures import Reckoning, reckon
from ..review import Review, review
from ..show import listing
from ..source import Memory, for_others, keepers_headings_within, read_book, read_workroom_alone
from ..source.writing import finish_change, why_of
from ..wording.saying import says, told

if TYPE_CHECKING:
    from ..review.rule import Printed

MOST_NAMED = 5
"""Files that are named one by one."""


class NoBook(Exception):
    """The folder holds no formulas/; the text is a sentence for the user."""


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
        return any(finding.severity is Severity.ERROR for finding in self.review.findings)

    @property
    def unreadable_workroom(self) -> bool:
        """True when the workroom file cannot be read, or not all of it: nothing is published or weighed then.

        A balance or a decimal sign that is not understood concerns every figure of the book.
        """
        path = self.book.workroom.path
        return any(finding.severity is Severity.ERROR and finding.place.path == path for finding in self.book.findings)

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
        what = "that" if len(unread) == 1 else "them"
        return f"{listing(unread, MOST_NAMED)} cannot be read; put {what} right first."

    def findings_of(self, key: str) -> tuple[Finding, ...]:
        """Return what was found about a formula, about its ingredients, and about the errors that bar it.

        Where an ingredient has no file, what cannot be read concerns it too: that may be the one.
        """
        formula = self.book.formulas[key]
        lines = self.reckoning.figures[key].amounts.lines
        concerned = {formula.code.casefold(), *(line.key for line in lines if line.key)}
        unread = () if all(self.book.at(line.key) for line in lines) else self.book.unread
        barred = self.review.barred.get(key)
        if barred is not None:
            concerned.add(barred.root.casefold())
        return tuple(
            finding
            for finding in self.review.findings
            if (finding.concerns and finding.concerns.casefold() in concerned) or finding.place.path in unread
        )


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


class NotForOthers(Exception):
    """What is the keeper's cannot be told from the rest; the text is a sentence for the user."""


def edition_for_others(checked: Checked) -> Checked:
    """Return a checked book without what is the keeper's alone; no finding goes with it, as one may quote what is.

    What is barred stays so and does not say why.  Raises NotForOthers.
    """
    for path, heading in keepers_headings_within(checked.book):
        raise NotForOthers(
            f"{path}: write `## {heading}` with two signs and at the margin; its end cannot be told otherwise, and it "
            "is to be left out."
        )
    told = says("barred-for-others")
    book = for_others(checked.book)
    with without_collector():
        reckoning = reckon(book)
    barred = {key: replace(bar, says=told) for key, bar in checked.review.barred.items()}
    return Checked(root=checked.root, book=book, reckoning=reckoning, review=Review(findings=(), barred=barred))


def check_with(root: Path, also: Mapping[str, bytes]) -> Checked:
    """Read, reckon and review a book as if these files, path → content, were in it.  Raises NoBook."""
    must_be_book(root)
    with without_collector():
        book = read_book(root, also=also)
        reckoning = reckon(book)
        found = review(reckoning)
    return Checked(root=root, book=book, reckoning=reckoning, review=found)


def no_book(root: Path) -> str:
    """Return that a folder is not a book, as the beginning of a sentence."""
    return f"{root.resolve()} is not a book, as it has no folder formulas/"


def must_be_book(root: Path) -> None:
    """Raise NoBook when the folder holds no book, or a change of it that cannot be brought to its end."""
    if not _is_folder(root / "formulas"):
        above = _book_above(root)
        what = f"the book is {above}, so go there or name it" if above else "name one"
        begin = "" if above else ", or begin one with bookgen start"
        raise NoBook(f"{no_book(root)}: {what} with --book DIR{begin}.")
    try:
        finish_change(root)
    except (OSError, ValueError) as reason:
        why = why_of(reason) if isinstance(reason, OSError) else told(str(reason))
        raise NoBook(str(says("change-unfinished", why=why))) from reason


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


def check_again(root: Path, memory: Memory, earlier: Checked | None, first: Collection[str] = ()) -> Checked:
    """Read, reckon and review a book of which most may be known: the same as `check_book`, in less time.

    `memory` holds what was read last, `earlier` what was made of it, none of it left behind.  Where keys of formulas
    are wanted `first`, others may be.  Raises NoBook, and Unreadable before anything is reckoned with a workroom that
    is not understood.
    """
    workroom_of(root, must_be=True)
    with without_collector():
        book = read_book(root, memory)
        reckoning = reckon(book, earlier.reckoning if earlier else None, first)
        found = review(reckoning, earlier.review if earlier else None, _printed(reckoning))
    return Checked(root=root, book=book, reckoning=reckoning, review=found)


def _printed(reckoning: Reckoning) -> Printed | None:
    """Return what tells the figures on a sheet; None while nothing is filed that they could be compared with."""
    if not reckoning.book.filed.leaves:
        return None
    from ..binder.printed import printed_by

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


SELDOM = 20_000
"""Things made since the last walk, at which the collector walks again while pages are made."""


@contextmanager
def seldom_collecting() -> Iterator[None]:
    """Let the garbage collector walk seldom while pages are made, which hold hardly a circle: a tenth of their time."""
    usual = gc.get_threshold()
    gc.set_threshold(SELDOM, *usual[1:])
    try:
        yield
    finally:
        gc.set_threshold(*usual)


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
    errors = tuple(finding for finding in book.findings if finding.severity is Severity.ERROR)
    if errors:
        raise Unreadable(f"Put {errors[0].place.path} right first; balances and decimal sign are not known", errors)
    return book.workroom
