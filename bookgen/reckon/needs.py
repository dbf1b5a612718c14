"""Everything that is weighed in for several formulas on one day: the shopping list.

Enters: the batches wanted, and what is there already.  Leaves: `Needs`: the intermediates to be made, each once, and a
`Need` for each material, in grams as the instruments take them.  What cannot be known stands apart with its reason.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Known, Obtain
from ..wording.saying import says
from .batchline import BatchLine
from .densities import density_of
from .figures import Figures, Reckoning
from .first import MakeFirst, batch_of, both_units, make_first
from .known import ZERO
from .metering import Evaluation, evaluate
from .on_shelf import ShelfLot
from .supplies import grams_of
from .weighed import taken_materials
from .weighing import batch_wanted


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One formula that is to be made on the day."""

    key: str
    """Key of the formula."""
    asked: tuple[Obtain | None, ...]
    """The batches as asked for; None for the one written."""
    batch: Fraction
    """All of them together, in the formula's own unit."""
    obtain_g: Known
    """The same in grams."""
    obtain_ml: Known
    """The same in millilitres."""
    evaluation: Evaluation
    """Its lines at that batch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What is weighed in of one material, in all."""

    key: str
    """Key of the material."""
    name: str
    """Its name."""
    grams: Fraction
    """Grams of all lines of which the weight is known, as the instruments take them."""
    ml: Known
    """The same in millilitres, through the density."""
    by_volume_ml: Fraction
    """Millilitres of the lines that are measured by volume because no density is known; 0 without any."""
    have_g: Fraction
    """Grams that are there already; 0 where nothing is."""
    have_ml: Fraction
    """Millilitres there for what is measured by volume; 0 where nothing is."""
    users: tuple[str, ...]
    """Keys of the formulas that ask for it, in the order of asking."""

    @property
    def missing_g(self) -> Fraction:
        """Grams that are not there."""
        return max(self.grams - self.have_g, ZERO)

    @property
    def missing_ml(self) -> Fraction:
        """Millilitres that are not there, of what is measured by volume."""
        return max(self.by_volume_ml - self.have_ml, ZERO)

    @property
    def is_there(self) -> bool:
        """True when there is enough of it."""
        return not self.missing_g and not self.missing_ml


@dataclass(frozen=True, slots=True, kw_only=True)
class NotKnown:
    """What a line takes and nobody can say how much."""

    key: str
    """Key of the material or intermediate."""
    name: str
    """Its name."""
    user: str
    """Key of the formula that asks for it."""
    why: Missing
    """Why it is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """The shopping list of a day."""

    orders: tuple[Order, ...]
    """What is to be made, in the order of asking."""
    make_first: tuple[MakeFirst, ...]
    """Intermediates, users before used, each once."""
    materials: tuple[Need, ...]
    """What is weighed in, by name."""
    unknown: tuple[NotKnown, ...]
    """What cannot be known."""
    unused: tuple[str, ...]
    """Keys of what is there and not needed."""
    uncounted: tuple[ShelfLot, ...] | None = None
    """Lots of what is needed that stand on the shelf and are not counted; None where the shelf was not asked for."""


def needs(
    reckoning: Reckoning, wanted: Sequence[tuple[str, Obtain | None]], have: Mapping[str, tuple[Fraction, str]]
) -> Needs | Missing:
    """Return what several formulas on one day take together, rolled up by material.

    Each line counts as the instruments take it: printed weight, or whole drops times the drop mass; a line that cannot
    be measured counts with its exact weight.  Processing aids count, as they are weighed in.  An intermediate is made
    once for the sum of what is needed, as under "make first".  What is there already is taken off the list; of an
    intermediate so much less is made.  A formula asked for twice is one batch.  What cannot be known is listed apart,
    never left out.

    `have` is what is there, by key, as an amount with its unit.

    Source: own arithmetic.
    """
    orders = _orders(reckoning, wanted)
    if isinstance(orders, Missing):
        return orders
    there = _there(reckoning, have)
    if isinstance(there, Missing):
        return there
    made = make_first(
        reckoning, {order.key: order.evaluation for order in orders}, lambda figures: figures.scale, have=there
    )  # fmt: skip
    rolled = _Roll(reckoning.book)
    combined = {first.key for first in made if first.evaluation is not None}
    for order in orders:
        if order.key not in combined:
            rolled.take(reckoning.figures[order.key], order.evaluation)
    for first in made:
        if first.evaluation is not None:
            rolled.take(reckoning.figures[first.key], first.evaluation)
        else:
            rolled.miss(reckoning.figures[first.key], first)
    materials = rolled.materials(have)
    if isinstance(materials, Missing):
        return materials
    asked = {line.key for order in orders for line in reckoning.figures[order.key].amounts.lines}
    asked |= {line.key for first in made for line in reckoning.figures[first.key].amounts.lines}
    return Needs(
        orders=orders,
        make_first=made,
        materials=materials,
        unknown=tuple(rolled.unknown),
        unused=tuple(key for key in have if key not in asked),
    )


def _orders(reckoning: Reckoning, wanted: Sequence[tuple[str, Obtain | None]]) -> tuple[Order, ...] | Missing:
    """Return the orders; what a formula is asked for twice is one batch of both."""
    batches: dict[str, tuple[Fraction, tuple[Obtain | None, ...]]] = {}
    for key, obtain in wanted:
        figures = reckoning.figures[key]
        batch = batch_wanted(figures, obtain)
        if isinstance(batch, Missing):
            return Missing(says=says("of-order", title=figures.formula.title, why=batch.says))
        before, words = batches.get(key, (ZERO, ()))
        batches[key] = (before + batch, (*words, obtain))
    found = []
    for key, (batch, asked) in batches.items():
        figures = reckoning.figures[key]
        grams, ml = both_units(figures, batch)
        found.append(
            Order(
                key=key,
                asked=asked,
                batch=batch,
                obtain_g=grams,
                obtain_ml=ml,
                evaluation=evaluate(figures.scale, batch),
            )
        )
    return tuple(found)


def _there(reckoning: Reckoning, have: Mapping[str, tuple[Fraction, str]]) -> dict[str, tuple[Known, Known]] | Missing:
    """Return the intermediates that are there: in grams, and in their own unit."""
    found: dict[str, tuple[Known, Known]] = {}
    for key, (value, unit) in have.items():
        if key not in reckoning.figures:
            continue
        grams = grams_of(reckoning.book, key, value, unit)
        own = batch_of(reckoning, key, grams, value if unit == "mL" else None)
        if isinstance(own, Missing):
            title = reckoning.book.formulas[key].title
            return Missing(says=says("supply-uncounted", title=title, why=own.says))
        found[key] = (grams, own)
    return found


@dataclass(slots=True)
class _Sum:
    """What is gathered of one material."""

    grams: Fraction = ZERO
    by_volume_ml: Fraction = ZERO
    users: dict[str, None] = field(default_factory=dict)


class _Roll:
    """Gathers line after line what the formulas of the day take."""

    __slots__ = ("book", "sums", "unknown")

    def __init__(self, book: Book) -> None:
        self.book = book
        self.sums: dict[str, _Sum] = {}
        self.unknown: list[NotKnown] = []

    def take(self, figures: Figures, evaluation: Evaluation) -> None:
        """Add the lines of one batch; intermediates are made, not bought."""
        for line in evaluation.lines:
            if line.figure.is_formula:
                continue
            for key, grams in taken_materials(line):
                if isinstance(grams, Fraction):
                    self._of(key, figures.key).grams += grams
                elif isinstance(line.ml, Fraction) and key == line.figure.key:
                    self._of(key, figures.key).by_volume_ml += line.ml
                else:
                    self._not_known(key, figures.key, line)

    def miss(self, figures: Figures, made: MakeFirst) -> None:
        """Say of an intermediate whose batch is not known that nothing of it is known."""
        why = made.start_g if isinstance(made.start_g, Missing) else Missing(says=says("batch-unknown"))
        for user in made.users:
            self.unknown.append(NotKnown(key=figures.key, name=figures.formula.title, user=user, why=why))
        for line in figures.amounts.lines:
            if not line.is_formula:
                none = Missing(says=says("made-unknown", title=figures.formula.title))
                self.unknown.append(NotKnown(key=line.key, name=line.name, user=figures.key, why=none))

    def _of(self, key: str, user: str) -> _Sum:
        found = self.sums.setdefault(key, _Sum())
        found.users[user] = None
        return found

    def _not_known(self, key: str, user: str, line: BatchLine) -> None:
        why = line.grams if isinstance(line.grams, Missing) else Missing(says=says("weight-unknown"))
        if line.drops is not None:
            why = Missing(says=says("drops-of-unknown", drops=line.drops, why=why.says))
        name = self.book.name_of(key) if key else line.figure.name
        self.unknown.append(NotKnown(key=key, name=name, user=user, why=why))

    def materials(self, have: Mapping[str, tuple[Fraction, str]]) -> tuple[Need, ...] | Missing:
        """Return the materials by name, what is there taken into account."""
        found = []
        for key, total in self.sums.items():
            item = self.book.find(key)
            name = self.book.name_of(key)
            density = None if item is None else density_of(item)
            there = _taken_off(name, total, have.get(key), density)
            if isinstance(there, Missing):
                return there
            no_density = Missing(says=says("no-density", name=name))
            found.append(
                Need(
                    key=key,
                    name=name,
                    grams=total.grams,
                    ml=no_density if density is None else total.grams / density,
                    by_volume_ml=total.by_volume_ml,
                    have_g=there[0],
                    have_ml=there[1],
                    users=tuple(total.users),
                )
            )
        return tuple(sorted(found, key=lambda need: (need.name.casefold(), need.key)))


def _taken_off(
    name: str, total: _Sum, there: tuple[Fraction, str] | None, density: Fraction | None
) -> tuple[Fraction, Fraction] | Missing:
    """Return what is there in grams, and in mL for what is measured by volume."""
    if there is None:
        return ZERO, ZERO
    value, unit = there
    if unit == "g" and not total.by_volume_ml:
        return value, ZERO
    if density is not None and not total.by_volume_ml:
        return value * density, ZERO
    if unit == "mL" and not total.grams:
        return ZERO, value
    if density is None:
        return Missing(says=says("needed-otherwise", name=name, unit="mL" if unit == "g" else "g"))
    grams = value if unit == "g" else value * density
    rest = max(grams - total.grams, ZERO)
    return grams - rest, rest / density
