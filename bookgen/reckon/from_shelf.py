"""What of a batch is taken from the shelf: lots line by line, and intermediates that are there already.

Enters: a batch and what is there on the day.  Leaves: `FromShelf`.  Proposed is first expiring first; what is to be
tested again comes after what is not, and what is past its date never.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Known
from ..wording.saying import says
from .batchline import BatchLine, Weighed
from .first import MakeFirst
from .known import ZERO
from .lot_content import content_of_lot, nominal_content, substance_counted, weigh_instead
from .measure import half_up
from .metering import Evaluation
from .on_shelf import LotState, OnShelf, ShelfLot
from .weighed import taken_materials


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherContent:
    """A lot that holds more or less of the substance that a line counts than its material says."""

    substance: str
    """The substance."""
    nominal: Fraction
    """Its share in the material by its file, for which the batch is reckoned."""
    actual: Fraction
    """Its share in the lot."""
    planned: Fraction | None
    """Grams of the material that the grams of this lot stand for; None where the line is not weighed as it is (drops, a
    stock), or is not known: then what is printed of it is reckoned for the nominal content."""
    instead: Fraction | None
    """Grams of this lot to weigh instead, in whole steps of the balance; None as before."""
    step: Fraction | None
    """The step of that balance; None as before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotTake:
    """So much of one lot."""

    lot: ShelfLot
    """The lot."""
    take: Known
    """How much, in its unit; Missing where nobody can say whether it is enough."""
    content: OtherContent | None = None
    """What is other in it than reckoned with; None where nothing is, or where it changes no weight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """The lots that one line, or one intermediate, is taken of."""

    takes: tuple[LotTake, ...]
    """In the order in which they are to be used."""
    short: Known
    """What is not there, in the unit of the lots; 0 where there is enough."""

    @property
    def is_whole(self) -> bool:
        """True where all of it is there for sure."""
        return bool(self.takes) and self.short == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class FromShelf:
    """What of one batch is there."""

    lines: Mapping[int, tuple[Proposal, ...]] = field(default_factory=dict)
    """Number of a line → its lots; of diluted ethanol those of the strong one and of water."""
    first: Mapping[str, Proposal] = field(default_factory=dict)
    """Key of an intermediate that would be made first → its batches that are there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """What the amount of a line counts, `0.4 % as lactic acid`."""

    substance: str
    """The substance."""
    step: Fraction | None
    """The step of the balance that weighs the line; None where it is not weighed as it is."""


class _Stock:
    """What is left on the shelf while a batch is taken from it."""

    __slots__ = ("book", "gone", "shelf")

    def __init__(self, book: Book, shelf: OnShelf) -> None:
        self.book = book
        self.shelf = shelf
        self.gone: dict[tuple[str, str], Fraction] = {}

    def draw(
        self, key: str, grams: Known, ml: Known | None, counts: Counts | None = None, *, really: bool = True
    ) -> Proposal:
        """Take so much of something; only try it where not `really`.

        `counts` is the substance that the line counts, if any: of a lot that holds more of it less is taken.
        """
        unit = "mL" if isinstance(grams, Missing) and isinstance(ml, Fraction) else "g"
        rest: Known = ml if unit == "mL" and ml is not None else grams
        takes: list[LotTake] = []
        step = None if counts is None else counts.step
        usable = [lot for lot in self.shelf.of(key) if lot.is_usable]
        for lot in sorted(usable, key=lambda lot: lot.state is LotState.RETEST):
            if rest == 0:
                break
            left, name = lot.left, (key, lot.account.code)
            other = self._other(key, lot, counts)
            if isinstance(left, Missing):
                unknown = None if isinstance(rest, Missing) else _taken_of(None, rest, other, step)[2]
                takes.append(LotTake(lot=lot, take=left, content=unknown))
            elif isinstance(rest, Missing):
                takes.append(LotTake(lot=lot, take=rest, content=other))
            elif lot.account.unit != unit:
                takes.append(LotTake(lot=lot, take=Missing(says=says("no-density", name=lot.account.name))))
            elif left > (gone := self.gone.get(name, ZERO)):
                take, rest, told = _taken_of(left - gone, rest, other, step)
                takes.append(LotTake(lot=lot, take=take, content=told))
                if really:
                    self.gone[name] = gone + take
        return Proposal(takes=tuple(takes), short=rest)

    def _other(self, key: str, lot: ShelfLot, counts: Counts | None) -> OtherContent | None:
        """Return what a lot holds of the substance that a line counts, where that is not what its material says."""
        material = self.book.materials.get(key)
        if counts is None or material is None or lot.account.lot is None:
            return None
        nominal = nominal_content(material, counts.substance)
        actual = content_of_lot(material, lot.account.lot, counts.substance)
        if nominal is None or actual is None or nominal == actual:
            return None
        return OtherContent(
            substance=counts.substance, nominal=nominal, actual=actual, planned=None, instead=None, step=None
        )


def _taken_of(
    there: Fraction | None, wanted: Fraction, other: OtherContent | None, step: Fraction | None
) -> tuple[Fraction, Fraction, OtherContent | None]:
    """Return what is taken of a lot, what is wanted beyond it by the nominal content, and what is other in the lot.

    Planned × nominal ÷ actual, in whole steps of the balance, as far as there is so much; what is to be taken of the
    next lot is what these grams do not stand for.  `there` is None where nobody knows how much there is.

    Source: own arithmetic.
    """
    if other is None or step is None:
        take = wanted if there is None else min(there, wanted)
        return take, wanted - take, other
    take, planned = half_up(weigh_instead(wanted, other.nominal, other.actual), step), wanted
    if there is not None and take > there:
        take, planned = there, min(wanted, weigh_instead(there, other.actual, other.nominal))
    if half_up(take, step) == half_up(planned, step):  # the balance shows no difference
        return take, wanted - planned, None
    return take, wanted - planned, replace(other, planned=planned, instead=take, step=step)


def _counted(line: BatchLine, book: Book) -> Counts | None:
    """Return the substance that the amount of a line counts; None where it counts the material itself.

    Only what is weighed as it is can be weighed otherwise: drops and stocks have no step here.
    """
    substance = substance_counted(line.written, book.materials.get(book.key_of(line.written.material)))
    step = line.step if isinstance(line.metered, Weighed) and line.spared is None else None
    return None if substance is None else Counts(substance=substance, step=step)


def from_shelf(book: Book, shelf: OnShelf, key: str, evaluation: Evaluation, made: Sequence[MakeFirst]) -> FromShelf:
    """Return the lots that each line of a batch is taken of, and the intermediates that are there already.

    First expiring first; where one lot is not enough, the next.  What lines before took is there no longer, nor what is
    taken for an intermediate that has to be made because the shelf has not enough of it.  Of a lot that holds more of a
    substance that a line counts than its material says, less is taken, and more of one that holds less.

    Source: common practice, no source.
    """
    stock = _Stock(book, shelf)
    first = {
        intermediate.key: stock.draw(intermediate.key, intermediate.obtain_g, intermediate.obtain_ml, really=False)
        for intermediate in made
    }
    working = {key}
    for intermediate in made:  # users before used
        if not working.isdisjoint(intermediate.users) and not first[intermediate.key].is_whole:
            working.add(intermediate.key)
    for intermediate in reversed(made):
        if intermediate.key in working and intermediate.evaluation is not None:
            for line in intermediate.evaluation.lines:
                for name, grams in taken_materials(line):
                    stock.draw(name, grams, line.ml, _counted(line, book))
    lines = {
        line.index: tuple(
            proposal
            for name, grams in taken_materials(line)
            if (proposal := stock.draw(name, grams, line.ml, _counted(line, book))).takes
        )
        for line in evaluation.lines
    }
    return FromShelf(
        lines={index: proposals for index, proposals in lines.items() if proposals},
        first={name: proposal for name, proposal in first.items() if proposal.takes},
    )
