"""One batch of one formula: what is weighed, what is made first, until when it may be used.

Enters: the reckoning of a book, a formula, what to obtain, today.  Leaves: `Weighing`, or a `Missing` that says why
there is none.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from math import floor

from ..findings import Missing
from ..fraction import Fraction
from ..model import Formula, Known, Obtain, Quantity, Workroom
from ..wording.saying import Saying, says
from .amounts import LineFigure
from .batchline import BatchLine, Interval
from .certainty import Certainty, certainty, composition_intervals
from .counted import as_made, in_unit_of
from .doubt import doubtful_lines
from .droppers import DropMass, drop_mass_of
from .enough import smallest_batch
from .figures import Figures, Reckoning
from .first import MakeFirst as MakeFirst
from .first import Tables, both_units, in_unit, with_below
from .first import make_first as make_first
from .from_shelf import FromShelf, from_shelf
from .known import ONE, ZERO, times
from .links import LinkAmount, link_amounts
from .metering import Evaluation, evaluate
from .on_shelf import on_shelf
from .scale import ScaleTable, scale_table
from .storage import use_by
from .supplies import SupplyUse, batch_from_supplies
from .turns import Turn, turns_of
from .weighed import left_in_stocks

NO_DROPS: Mapping[str, DropMass] = {}
"""No drop was weighed today."""


@dataclass(frozen=True, kw_only=True)
class Weighing:
    """Formula × batch × instruments."""

    reckoning: Reckoning = field(repr=False, compare=False)
    """The book's figures."""

    formula: Formula
    """The formula."""
    figures: Figures
    """What no batch changes."""
    workroom: Workroom
    """The instruments and the accepted error."""
    titles: Mapping[str, tuple[str, str]]
    """Key of each intermediate made first → its code and title."""
    obtain: Obtain | None
    """The batch as asked for; None for the one written."""
    obtain_g: Known
    """To obtain, in grams."""
    obtain_ml: Known
    """To obtain, in millilitres."""
    evaluation: Evaluation
    """The lines."""
    certainty: Certainty
    """How sure the lines are."""
    make_first: tuple[MakeFirst, ...]
    """Intermediates, users before used."""
    unsure_first: Mapping[str, tuple[BatchLine, ...]]
    """Key of an intermediate made first → the lines of it that are not within their accepted error, if there are."""
    tables_first: Mapping[str, ScaleTable]
    """Key of such an intermediate → its scale table."""
    links: tuple[LinkAmount, ...]
    """What each amount link of the body prints, in the order of reading."""
    supplies: tuple[SupplyUse, ...]
    """What the batch takes of each supply that it was asked for; empty when it was not asked for so."""
    container: Quantity | None
    """Content of one container; None when none was named."""
    containers_full: int | None
    """How many containers the batch fills; None when none were named."""
    left_over: Known | None
    """What is left beside them, in grams; None when none were named."""
    use_by: date | Missing
    """The last day of use, up to and including."""
    use_by_why: Saying
    """Why that day."""
    from_shelf: FromShelf | None = None
    """What is there of it on the day of making; None without a day, and in a book that keeps no lots."""

    @property
    def doubtful_first(self) -> tuple[tuple[str, str], ...]:
        """Key of an intermediate made first and name of a line of it that is not within its accepted error."""
        return tuple((key, line.figure.name) for key, lines in self.unsure_first.items() for line in lines)

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        """In which order the method weighs the lines.  Reckoned when it is asked for."""
        links = [amount.link for amount in self.links]
        return turns_of(links, [amount.rows for amount in self.links], self.figures.amounts.lines)

    @cached_property
    def composition(self) -> Mapping[str, Interval]:
        """Least and most in the finished product, as shares, of each material that a line beyond its accepted error
        brings; empty where not known.  Reckoned when it is asked for: no weight rests on it."""
        lines = [*self.certainty.doubtful, *(line for lines in self.unsure_first.values() for line in lines)]
        wanted = _brought(self.reckoning, lines)
        return composition_at(self.reckoning, self.figures, self.evaluation, self.make_first, wanted) if wanted else {}

    @property
    def enough_first(self) -> Mapping[str, tuple[Fraction, str]]:
        """Key of such an intermediate → the smallest batch of it, of what is needed or more, that measures every line
        within, and its unit."""
        made = {first.key: first.evaluation.obtain for first in self.make_first if first.evaluation is not None}
        found = {key: (smallest_batch(table, made[key]), table.unit) for key, table in self.tables_first.items()}
        return {key: (batch, unit) for key, (batch, unit) in found.items() if batch is not None}


def weigh(
    reckoning: Reckoning,
    key: str,
    *,
    obtain: Obtain | None = None,
    today: date | None = None,
    dropper: str | None = None,
    drops: Mapping[str, DropMass] = NO_DROPS,
    into: Quantity | None = None,
) -> Weighing | Missing:
    """Return one batch of a formula.

    Without `obtain` the batch is the one written: weigh in all is what the formula makes.  `dropper` counts with
    another dropper, `drops` (by the material's key) with drops weighed today; the formula's weights are kept.  `into`
    is the content of one container to be filled.  Whether the formula may be weighed at all is not judged here.
    """
    figures = reckoning.figures[key]
    tables = tables_with(reckoning, dropper, drops)
    found = _batch(reckoning, figures, obtain, tables)
    if isinstance(found, Missing):
        return found
    batch, supplies = found
    container = as_made(into, figures.formula) if into else obtain.container if obtain is not None else None
    full, left = containers(figures, container, batch)
    if into is not None and full is None and isinstance(left, Missing):
        return left
    ready = figures.written if obtain is None and dropper is None and not drops else None
    table = tables(figures)
    evaluation = ready if isinstance(ready, Evaluation) else evaluate(table, batch)
    formula = figures.formula
    obtain_g, obtain_ml = both_units(figures, batch)
    made = make_first(reckoning, {key: evaluation}, tables, ready=frozenset(supply.key for supply in supplies))
    supplies = _with_stocks(
        supplies, [evaluation, *(first.evaluation for first in made if first.evaluation is not None)]
    )
    sure = certainty(table, evaluation)
    first = _doubtful_first(made)
    last = Missing(says=says("no-day")) if today is None else use_by(today, figures.storage.limits)
    return Weighing(
        reckoning=reckoning,
        formula=formula,
        figures=figures,
        workroom=reckoning.book.workroom,
        titles={
            first.key: (reckoning.book.formulas[first.key].code, reckoning.book.formulas[first.key].title)
            for first in made
        },
        obtain=obtain,
        obtain_g=obtain_g,
        obtain_ml=obtain_ml,
        evaluation=evaluation,
        certainty=sure,
        make_first=made,
        unsure_first=first,
        tables_first={name: tables(reckoning.figures[name]) for name in first},
        links=link_amounts(formula.body.amounts, evaluation.lines, reckoning.book),
        supplies=supplies,
        container=container,
        containers_full=full,
        left_over=left,
        use_by=last if isinstance(last, Missing) else last[0],
        use_by_why=last.says if isinstance(last, Missing) else last[1],
        from_shelf=from_shelf(reckoning.book, on_shelf(reckoning, today), key, evaluation, made)
        if today is not None and reckoning.lots.accounts
        else None,
    )


def _with_stocks(supplies: Sequence[SupplyUse], batches: Sequence[Evaluation]) -> tuple[SupplyUse, ...]:
    """Return the supplies with what stays behind in stocks of them, in the batch and in what is made first."""
    behind: dict[str, Fraction] = {}
    for line in (line for evaluation in batches for line in evaluation.lines if supplies):
        behind[line.figure.key] = behind.get(line.figure.key, ZERO) + left_in_stocks(line)
    return tuple(replace(supply, stocks_g=behind.get(supply.key, ZERO)) for supply in supplies)


def composition_at(
    reckoning: Reckoning,
    figures: Figures,
    evaluation: Evaluation,
    made: Sequence[MakeFirst],
    wanted: Collection[str],
) -> Mapping[str, Interval]:
    """Return how sure the composition is of the materials wanted, through the intermediates made for this batch.

    Intermediates that are not made for it are taken as exact.
    """
    inside: dict[str, Mapping[str, Interval]] = {}
    for key in with_below(reckoning, (figures.key,))[1:]:
        shares = reckoning.figures[key].composition.shares
        if not isinstance(shares, Missing):
            inside[key] = {name: (share, share) for name, share in shares.items() if name in wanted}
    for intermediate in reversed(made):  # each before what uses it
        inner = reckoning.figures[intermediate.key]
        if intermediate.evaluation is not None:
            its = composition_intervals(inner.composition, intermediate.evaluation.lines, inside, wanted)
            inside.pop(intermediate.key, None)
            if its is not None:
                inside[intermediate.key] = its
    return composition_intervals(figures.composition, evaluation.lines, inside, wanted) or {}


def _brought(reckoning: Reckoning, doubtful: Sequence[BatchLine]) -> set[str]:
    """Return the materials that the doubtful lines bring."""
    found: set[str] = set()
    for figure in (line.figure for line in doubtful):
        if figure.is_formula:
            found |= reckoning.figures[figure.key].composition.materials
        else:
            found.update(key for key, _ in figure.takes)
    return found


def _doubtful_first(made: Sequence[MakeFirst]) -> Mapping[str, tuple[BatchLine, ...]]:
    """Return the lines of intermediates that are not within their accepted error, by the intermediate's key."""
    found: dict[str, tuple[BatchLine, ...]] = {}
    for intermediate in made:
        if intermediate.evaluation is not None:
            doubtful = doubtful_lines(intermediate.evaluation)
            if doubtful:
                found[intermediate.key] = doubtful
    return found


def tables_with(reckoning: Reckoning, dropper: str | None, drops: Mapping[str, DropMass]) -> Tables:
    """Return the scale table of each formula, with every count taken from another dropper where there is one.

    That is a drop weighed today, else the named dropper where the material lists it, else the formula's own.
    """
    if dropper is None and not drops:
        return lambda figures: figures.scale
    book = reckoning.book

    def droppers(figure: LineFigure) -> DropMass | Missing:
        if figure.key in drops:
            return drops[figure.key]
        if dropper is None:
            return figure.drop
        other = drop_mass_of(book.find(figure.line.material), dropper, figure.line.amount_place, book.workroom.balances)
        return figure.drop if isinstance(other, Missing) else other

    room = book.workroom
    return lambda figures: scale_table(
        figures.amounts, figures.flow, room.balances, room.accepted_error.share, droppers, figures.thinners
    )


def _batch(
    reckoning: Reckoning, figures: Figures, obtain: Obtain | None, tables: Tables
) -> tuple[Fraction, tuple[SupplyUse, ...]] | Missing:
    """Return the batch to obtain in the formula's own unit, and the supplies that it was reckoned from."""
    if obtain is not None and obtain.supplies:
        return batch_from_supplies(reckoning, figures, obtain.supplies, tables)
    batch = batch_wanted(figures, obtain)
    return batch if isinstance(batch, Missing) else (batch, ())


def batch_wanted(figures: Figures, obtain: Obtain | None) -> Known:
    """Return the batch to obtain in the formula's own unit; grams and mL convert only through its density.

    So many times the batch as written is so many times each written amount.
    """
    if obtain is not None and obtain.pieces:
        return times(
            Fraction(obtain.pieces),
            Missing(says=says("no-pieces-made")) if figures.pieces is None else figures.pieces.grams,
        )
    if obtain is None or obtain.quantity is None:
        return times(figures.flow.as_written, ONE if obtain is None or obtain.times is None else obtain.times)
    quantity = obtain.quantity
    unit = figures.amounts.makes.unit
    return quantity.value if quantity.unit == unit else in_unit(figures.formula, quantity.value, unit)


def containers(figures: Figures, container: Quantity | None, batch: Fraction) -> tuple[int | None, Known | None]:
    """Return how many containers the batch fills, and the grams left beside them.

    Grams and millilitres are turned into each other only through the density of the finished product, grams and pieces
    by what one piece weighs.

    Source: own arithmetic.
    """
    if container is None:
        return None, None
    unit = figures.amounts.makes.unit
    content = in_unit_of(figures, Quantity(value=batch, unit=unit, text=""), container.unit)
    if isinstance(content, Missing):
        return None, content
    full = floor(content / container.value)
    left = replace(container, value=content - full * container.value)
    return full, in_unit_of(figures, left, "g")
