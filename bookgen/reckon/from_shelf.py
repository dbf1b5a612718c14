"""What of a batch is taken from the shelf: lots line by line, and intermediates that are there already.

Enters: a batch and what is there on the day.  Leaves: `FromShelf`.  Proposed is first expiring first; what is to be
tested again comes after what is not, and what is past its date never.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known
from ..wording.saying import says
from .first import MakeFirst
from .known import ZERO
from .metering import Evaluation
from .on_shelf import LotState, OnShelf, ShelfLot
from .weighed import taken_materials


@dataclass(frozen=True, slots=True, kw_only=True)
class LotTake:
    """So much of one lot."""

    lot: ShelfLot
    """The lot."""
    take: Known
    """How much, in its unit; Missing where nobody can say whether it is enough."""


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


class _Stock:
    """What is left on the shelf while a batch is taken from it."""

    __slots__ = ("gone", "shelf")

    def __init__(self, shelf: OnShelf) -> None:
        self.shelf = shelf
        self.gone: dict[tuple[str, str], Fraction] = {}

    def draw(self, key: str, grams: Known, ml: Known | None, *, really: bool = True) -> Proposal:
        """Take so much of something; only try it where not `really`."""
        unit = "mL" if isinstance(grams, Missing) and isinstance(ml, Fraction) else "g"
        rest: Known = ml if unit == "mL" and ml is not None else grams
        takes: list[LotTake] = []
        usable = [lot for lot in self.shelf.of(key) if lot.is_usable]
        for lot in sorted(usable, key=lambda lot: lot.state is LotState.RETEST):
            if rest == 0:
                break
            left, name = lot.left, (key, lot.account.code)
            if isinstance(left, Missing):
                takes.append(LotTake(lot=lot, take=left))
            elif isinstance(rest, Missing):
                takes.append(LotTake(lot=lot, take=rest))
            elif lot.account.unit != unit:
                takes.append(LotTake(lot=lot, take=Missing(says=says("no-density", name=lot.account.name))))
            elif left > (gone := self.gone.get(name, ZERO)):
                take = min(left - gone, rest)
                takes.append(LotTake(lot=lot, take=take))
                rest -= take
                if really:
                    self.gone[name] = gone + take
        return Proposal(takes=tuple(takes), short=rest)


def from_shelf(shelf: OnShelf, key: str, evaluation: Evaluation, made: Sequence[MakeFirst]) -> FromShelf:
    """Return the lots that each line of a batch is taken of, and the intermediates that are there already.

    First expiring first; where one lot is not enough, the next.  What lines before took is there no longer, nor what is
    taken for an intermediate that has to be made because the shelf has not enough of it.

    Source: common practice, no source.
    """
    stock = _Stock(shelf)
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
                    stock.draw(name, grams, line.ml)
    lines = {
        line.index: tuple(
            proposal for name, grams in taken_materials(line) if (proposal := stock.draw(name, grams, line.ml)).takes
        )
        for line in evaluation.lines
    }
    return FromShelf(
        lines={index: proposals for index, proposals in lines.items() if proposals},
        first={name: proposal for name, proposal in first.items() if proposal.takes},
    )
