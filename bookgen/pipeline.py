"""The stages in order: text → book → figures → findings → pages → press.  Decides nothing.

The first file to open: it shows the whole way of a book.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from .findings import Finding, Missing, Severity, did_you_mean
from .model import Book, Formula, Obtain, Status
from .reckon.figures import Reckoning, reckon
from .reckon.weighing import Weighing, weigh
from .review import Barred, Review, review
from .source import read_book, read_obtain

Progress = Callable[[int, int], None]
"""Called with how many are done, of how many."""


class NoBook(Exception):
    """The folder holds no formulas/; the text is a sentence for the user."""


class CannotPublish(Exception):
    """Nothing could be written; the text is a sentence for the user."""


class Unknown(Exception):
    """No formula, or no dropper, of that name; the text is a sentence for the user."""


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
    weighings: Mapping[str, Weighing | Missing]
    """The batch of each formula as written, by key."""
    review: Review
    """What there is to say."""

    @property
    def has_errors(self) -> bool:
        """True when a finding is an error."""
        return any(one.severity is Severity.ERROR for one in self.review.findings)

    @property
    def unreadable_workroom(self) -> bool:
        """True when the workroom file cannot be read: nothing is published then."""
        path = self.book.workroom.path
        return any(one.severity is Severity.ERROR and one.place.path == path for one in self.review.findings)

    def findings_of(self, key: str) -> tuple[Finding, ...]:
        """Return what was found about a formula, about its ingredients, and about the errors that bar it."""
        formula = self.book.formulas[key]
        concerned = {formula.code.casefold(), *(one.key for one in self.reckoning.figures[key].amounts.lines if one.key)}
        barred = self.review.barred.get(key)
        if barred is not None:
            concerned.add(barred.root.casefold())
        return tuple(
            one for one in self.review.findings if one.concerns and one.concerns.casefold() in concerned
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


def check_book(root: Path) -> Checked:
    """Read, reckon and review a book.  Raises NoBook when the folder holds none."""
    if not (root / "formulas").is_dir():
        raise NoBook(f"{root} holds no formulas/; a book is a folder with formulas/ in it. Say which with --book DIR.")
    book = read_book(root)
    reckoning = reckon(book)
    weighings = {key: weigh(reckoning, key) for key in reckoning.figures}
    return Checked(
        root=root, book=book, reckoning=reckoning, weighings=weighings, review=review(reckoning, weighings)
    )


def weigh_batch(checked: Checked, code: str, obtain: str | None, today: date, dropper: str | None = None) -> Weighing:
    """Return one batch.

    Raises Unknown for a code or a dropper that the book does not have, Refused for a batch that cannot be made.
    """
    book = checked.book
    key = book.key_of(code)
    if key not in book.formulas:
        known = [formula.code for formula in book.formulas.values()]
        told = "is a material, not a formula" if key else "is not a formula of this book"
        raise Unknown(f"{code} {told}.{did_you_mean(code, known)}")
    formula = book.formulas[key]
    if dropper is not None and dropper.casefold() not in {one.casefold() for one in _droppers(book)}:
        raise Unknown(f"No dropper is called {dropper}.{did_you_mean(dropper, _droppers(book))}")
    barred = checked.review.barred.get(key)
    if barred is not None:
        raise Refused(formula, f"barred: {barred.reason}", checked.findings_of(key), barred=True)
    if formula.status is Status.WITHDRAWN:
        raise Refused(formula, "withdrawn, so it is not weighed any more", checked.findings_of(key))
    weighing = weigh(checked.reckoning, key, obtain=_asked(checked, formula, obtain), today=today, dropper=dropper)
    if isinstance(weighing, Missing):
        raise Refused(formula, weighing.reason, checked.findings_of(key))
    return weighing


def _asked(checked: Checked, formula: Formula, obtain: str | None) -> Obtain | None:
    if obtain is None:
        return None
    asked = read_obtain(obtain, checked.book.workroom.decimal)
    if isinstance(asked, Finding):
        raise Refused(formula, asked.message, (asked,))
    return asked


def _droppers(book: Book) -> list[str]:
    listed = [line.dropper for material in book.materials.values() for line in material.drops]
    return list(dict.fromkeys((*book.workroom.droppers, *listed)))
