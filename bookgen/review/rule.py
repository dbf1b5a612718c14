"""What a rule of the review is: its name, its gravity, and a small pure function that judges.

A rule's function receives a `Case` (one formula) or the whole `Reckoning`, and yields `Said`: a place and the sentence
that follows "title, line n: ".  The function's docstring gives the rule in its first paragraph, then its source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, field

from ..findings import Missing, Place, Severity
from ..fraction import Fraction
from ..model import Book, FiledLeaf, Formula, Known, Workroom
from ..reckon.amounts import LineFigure, MakesFigure
from ..reckon.figures import Figures, Reckoning
from ..reckon.metering import Evaluation
from ..wording.saying import Saying


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a rule found."""

    place: Place
    """Where it is written."""
    says: Saying
    """The sentence after "title, line n: "."""
    severity: Severity | None = None
    """Where this case weighs differently from the rule's usual severity."""
    concerns: str = ""
    """Code or material key that it concerns; the formula under review when empty."""
    title: str = ""
    """Title that the sentence starts with; that of the formula under review when empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A figure of a line that is not known, for a cause that no finding has told yet."""

    missing: Missing
    """Why it is not known."""
    figure: LineFigure
    """The line where it was met."""


Printed = Callable[[Figures], frozenset[str]]
"""The digests of the figures that a formula's sheet prints, one of which the record of what is in the binder has.

There are two where something on the sheet was called otherwise before.

Digits are the pages' affair, which stand below the review: who has both hands it in.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One formula before the review."""

    reckoning: Reckoning
    """The book, reckoned."""
    figures: Figures
    """The formula's figures."""
    formula: Formula
    """The formula."""
    fills: tuple[LineFigure, ...]
    """Its lines that are made up to the total, processing aids aside."""
    gaps: tuple[Gap, ...]
    """What is not known about its lines and not reported, each cause and place once."""
    linked: tuple[tuple[int, ...], ...]
    """Numbers of the lines that each amount link of its text means."""
    evaluation: Evaluation | Missing
    """The batch as written, as the workroom's instruments can give it."""
    doubtful: frozenset[str] = frozenset()
    """Keys of its ingredients that are barred by an error."""
    filed: FiledLeaf | None = None
    """Its leaf as it was filed last; None when none is on record."""
    printed: Printed | None = None
    """What tells the figures that its sheet prints now; None where nobody prints."""

    @property
    def lines(self) -> tuple[LineFigure, ...]:
        """The lines' figures."""
        return self.figures.amounts.lines

    @property
    def makes(self) -> MakesFigure:
        """What the formula makes."""
        return self.figures.amounts.makes

    @property
    def workroom(self) -> Workroom:
        """The workroom."""
        return self.reckoning.book.workroom

    def place_of(self, *keys: str) -> Place:
        """Return where the first of these keys that is written stands, else the file."""
        for key in keys:
            place = self.formula.places.get(key)
            if place is not None:
                return place
        return Place(path=self.formula.path)

    def brought_by(self, line: LineFigure, *, kept: bool = False) -> frozenset[str]:
        """Return the keys of what a line brings, itself or as an intermediate: all that is handled for it, or what
        stays in it where `kept`."""
        inner = self.reckoning.figures.get(line.key)
        if inner is None:
            return frozenset({line.key})
        return inner.composition.materials | inner.composition.unfiled if kept else inner.composition.handled

    def lines_bringing(self, keys: Set[str]) -> Iterator[tuple[int, LineFigure]]:
        """Yield number and figures of the lines for which one of these materials is handled."""
        return ((number, line) for number, line in enumerate(self.lines) if not keys.isdisjoint(self.brought_by(line)))

    def line_with(self, keys: Iterable[str]) -> Place:
        """Return where the line stands that brings the first of these materials, by itself or in an intermediate."""
        for key in keys:
            for line in self.lines:
                if line.counts and key in self.brought_by(line, kept=True):
                    return line.line.place
        return self.place_of("ingredients")


FormulaJudge = Callable[[Case], Iterable[Said]]
BookJudge = Callable[[Reckoning], Iterable[Said]]

AMOUNTS = frozenset({"ingredients", "makes", "part", "density"})
"""Keys that the amounts rest on; an error of reading in one of them leaves nothing to judge there."""
PRODUCT = AMOUNTS | {"figures", "composition", "yield"}
"""What a statement about the finished product rests on: sound amounts and sound ingredients."""
SOUND = "sound"
"""What a statement about the formula as a whole rests on: no error that bars it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One row of the table."""

    name: str
    """The rule in words, lower case with hyphens; stable, for machine readers."""
    severity: Severity
    """How grave it usually is."""
    judge: FormulaJudge | BookJudge
    """The function that judges."""

    @property
    def explains(self) -> str:
        """The rule in a sentence: the first paragraph of the function's docstring."""
        return " ".join((self.judge.__doc__ or "").split("\n\n")[0].split())

    @property
    def family(self) -> str:
        """The file that the rule stands in: amounts, references, storage …"""
        return self.judge.__module__.rpartition(".")[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaRule(Rule):
    """A rule that judges one formula."""

    judge: FormulaJudge
    """The function that judges."""
    rests_on: frozenset[str] = field(default_factory=frozenset)
    """Keys of the front matter that must be sound; `figures` (amounts), `composition` (ingredients), `sound` (all)."""
    spoils: bool = False
    """True when its error leaves `figures` unsound, so that no rule that rests on them adds a second finding."""
    withdrawn: bool = False
    """True when a withdrawn formula is judged too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRule(Rule):
    """A rule that judges the book at once: what concerns materials, the workroom or several formulas."""

    judge: BookJudge
    """The function that judges."""


def known(value: Known | None) -> Fraction | None:
    """Return a figure, or None when it is not known or does not apply."""
    return value if isinstance(value, Fraction) else None


def with_errors(book: Book) -> frozenset[str]:
    """Return the files in which reading found an error: what they lack may be what could not be read."""
    return frozenset(finding.place.path for finding in book.findings if finding.severity is Severity.ERROR)


def gaps_of(lines: Sequence[LineFigure], unsound: frozenset[str] = frozenset()) -> Iterator[Gap]:
    """Yield what is not known about the lines for an unreported cause, each cause and place once.

    A line whose ingredient has no file, or has an error itself, has its finding already.  What a fill lacks
    because another line lacks it belongs to that other line.
    """
    met: set[tuple[str, Place]] = set()
    for figure in lines:
        if not figure.key or figure.key in unsound:
            continue
        for value in (figure.grams, figure.weighed):
            if isinstance(value, Missing) and value.cause and not value.reported:
                mark = (value.cause, value.place)
                if mark not in met:
                    met.add(mark)
                    at = {line.line.amount_place: line for line in lines if line.line.amount_place.line}
                    yield Gap(missing=value, figure=at.get(value.place, figure))
