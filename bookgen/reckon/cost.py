"""What a batch costs: from the lots that went into it, or by the last price, with what is lost and taken out again.

Enters: a reckoned book with its lots, and a batch record or a batch that is asked for.  Leaves: `Cost`.  Currencies are
as written and are never turned into each other: each has its own sum.  What has no price is named, and the sum is then
a least one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ..findings import Missing
from ..fraction import Fraction
from ..model import BatchRecord, Formula, Known, Lot, Material, Price, Quantity, Volume
from ..wording.saying import says
from .counted import as_made, in_unit_of
from .densities import density_of
from .figures import Reckoning
from .kept import reckoned_with
from .known import ZERO, over
from .lastdays import figures_of
from .lots import Drawn
from .weighed import taken_materials
from .weighing import Weighing, weigh

Cash = Mapping[str, Fraction]
"""Currency as written → so much of it."""
NOTHING_PAID: Cash = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """What one ingredient of a batch costs."""

    name: str
    """The ingredient."""
    lot: str
    """The lot, or the batch of an intermediate, that its price is of; empty where nothing has a price."""
    grams: Known
    """Grams that were or are to be weighed in."""
    cash: Cash | Missing
    """What they cost."""
    without: tuple[str, ...] = ()
    """Of an intermediate: the ingredients in it that have no price."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What one batch costs."""

    lines: tuple[CostLine, ...]
    """What is weighed in, processing aids among it; of a batch asked for also what is made first is weighed of."""
    ingredients: Cash
    """All of that which has a price."""
    containers: int
    """Containers that are filled or kept; 0 where none are told."""
    container: Price | None
    """What one of them costs."""
    out: Known
    """Grams that come out."""
    each: tuple[tuple[Quantity, Cash | Missing], ...]
    """Content of one container → what it costs with the container."""

    @property
    def total(self) -> Cash:
        """All that has a price, containers among it."""
        return _sum((self.ingredients, _containers(self.container, self.containers)))

    @property
    def per_gram(self) -> Cash | Missing:
        """What one gram costs, containers aside; what is lost is borne by what comes out."""
        return _shared(self.ingredients, self.out)

    @property
    def without(self) -> tuple[str, ...]:
        """What has no price, each once: the sums are then least ones."""
        names: dict[str, None] = {}
        for line in self.lines:
            names.update(dict.fromkeys(line.without if not isinstance(line.cash, Missing) else (line.name,)))
        return tuple(names)

    @property
    def containers_without(self) -> bool:
        """True where containers are filled and nobody says what one costs."""
        return bool(self.containers) and self.container is None


def _sum(parts: Iterable[Cash]) -> Cash:
    total: dict[str, Fraction] = {}
    for part in parts:
        for currency, much in part.items():
            total[currency] = total.get(currency, ZERO) + much
    return total


def _shared(cash: Cash, by: Known) -> Cash | Missing:
    return by if isinstance(by, Missing) else {currency: much / by for currency, much in cash.items()}


def _containers(price: Price | None, count: int) -> Cash:
    return NOTHING_PAID if price is None or not count else {price.currency: price.number * count}


def cash_for(lot: Lot, material: Material, grams: Known, ml: Known | None) -> Cash | Missing:
    """Return what so much of a lot costs; the price of all of a lot is shared by its amount.

    Grams and millilitres are turned into each other only through the density.

    Source: own arithmetic.
    """
    if lot.price is None:
        return Missing(says=says("no-price-written", name=material.name))
    per = lot.price.per or lot.amount
    if per is None:
        return Missing(says=says("price-of-how-much", lot=lot.key))
    density = density_of(material)
    much = grams
    if per.unit == "mL":
        no_density: Known = Missing(says=says("no-density", name=material.name))
        much = ml if isinstance(ml, Fraction) else no_density if density is None else over(grams, density)
    if isinstance(much, Missing):
        return much
    return {lot.price.currency: lot.price.number * much / per.value}


def last_priced(material: Material, day: date) -> Lot | None:
    """Return the lot with the last price on a day: the one that came last by then; else the first that came after.

    Source: common practice, no source.
    """
    priced = [lot for lot in material.lots if lot.price is not None and (lot.price.per or lot.amount)]
    by_day = sorted(priced, key=lambda lot: date.min if lot.received is None else lot.received.on)
    before = [lot for lot in by_day if lot.received is None or lot.received.on <= day]
    return before[-1] if before else by_day[0] if by_day else None


# ── A batch on record ─────────────────────────────────────────────────────────────────────────────────────────────


def costs_of(reckoning: Reckoning) -> dict[str, Cost]:
    """Return what each batch on record cost, from the lots that its lines name.

    A line costs its share of its lot's price; where it names no lot, or one without a price, the last price of the
    material on the day of making.  An intermediate costs its share of what its own batch cost, of the batch that is
    named, else of the last one made by then.  All that was weighed in counts, processing aids and losses too: what one
    gram costs is the sum ÷ what came out.

    Source: own arithmetic; that losses are borne by what comes out is common practice, no source.
    """
    made = {number: _batches_in(reckoning, number) for number in reckoning.book.batches}
    users: dict[str, list[str]] = {}
    waiting = {number: set(inner.values()) for number, inner in made.items()}
    for number, inner in waiting.items():
        for used in inner:
            users.setdefault(used, []).append(number)
    done: dict[str, Cost] = {}
    ready = [number for number, inner in waiting.items() if not inner]
    for number in ready:  # grows while it is walked
        done[number] = _cost_on_record(reckoning, number, made[number], done)
        for user in users.get(number, ()):
            waiting[user].discard(number)
            if not waiting[user]:
                ready.append(user)
    for number in reckoning.book.batches:  # in a circle, which is an error of the records
        if number not in done:
            done[number] = _cost_on_record(reckoning, number, made[number], done)
    return done


def _batches_in(reckoning: Reckoning, number: str) -> dict[int, str]:
    """Return the line of a record → the batch of an intermediate that it is priced by."""
    record, found = reckoning.book.batches[number], {}
    for index, drawn in enumerate(reckoning.lots.drawn.get(number, ())):
        if drawn.key not in reckoning.book.formulas:
            continue
        if drawn.lot is not None:
            found[index] = drawn.lot[1]
        elif record.made is not None:
            last = last_batch(reckoning, drawn.key, record.made.on, besides=number)
            if last:
                found[index] = last
    return found


def last_batch(reckoning: Reckoning, key: str, day: date, besides: str = "") -> str:
    """Return the batch of a formula that was made last by a day; empty without any."""
    batches = [
        (account.came, name[1])
        for name, account in reckoning.lots.accounts.items()
        if name[0] == key and account.batch is not None and name[1] != besides
    ]
    return max(((came, number) for came, number in batches if came is not None and came <= day), default=(day, ""))[1]


def _cost_on_record(reckoning: Reckoning, number: str, inner: Mapping[int, str], done: Mapping[str, Cost]) -> Cost:
    record = reckoning.book.batches[number]
    day = date.max if record.made is None else record.made.on
    lines = []
    for index, drawn in enumerate(reckoning.lots.drawn.get(number, ())):
        ml = drawn.line.amount.ml if isinstance(drawn.line.amount, Volume) else None
        if index in inner:
            lines.append(_of_batch(reckoning, inner[index], drawn.grams, done))
        else:
            lines.append(_of_material(reckoning, drawn.key, _name(reckoning, drawn), drawn.grams, ml, day, drawn.lot))
    formula = _formula_of(reckoning, record)
    fillings = (*record.filled, *record.kept_sample)
    return _cost(
        lines,
        sum(filling.count for filling in fillings),
        None if formula is None else formula.container_price,
        _came_out(reckoning, record),
        [as_made(filling.each, formula) for filling in record.filled],
    )


def _name(reckoning: Reckoning, drawn: Drawn) -> str:
    return reckoning.book.name_of(drawn.line.material)


def _formula_of(reckoning: Reckoning, record: BatchRecord) -> Formula | None:
    return reckoning.book.formulas.get(reckoning.book.key_made(record))


def _came_out(reckoning: Reckoning, record: BatchRecord) -> Callable[[str], Known]:
    """Return what tells what came out in a unit."""
    quantity, figures = record.came_out, figures_of(reckoning, record)

    def out(unit: str) -> Known:
        if quantity is None:
            return Missing(says=says("came-out-unwritten", batch=record.key))
        if figures is None:
            return quantity.value if quantity.unit == unit else Missing(says=says("no-product-density"))
        return in_unit_of(figures, quantity, unit)

    return out


def _of_batch(reckoning: Reckoning, number: str, grams: Known, done: Mapping[str, Cost]) -> CostLine:
    record = reckoning.book.batches[number]
    name = record.key if record.of is None else reckoning.book.name_of(record.of.code)
    if number not in done:
        return CostLine(name=name, lot="", grams=grams, cash=Missing(says=says("in-a-circle"), reported=True))
    cost = done[number]
    each = cost.per_gram
    cash: Cash | Missing = grams if isinstance(grams, Missing) else each
    if isinstance(grams, Fraction) and not isinstance(each, Missing):
        cash = {currency: much * grams for currency, much in each.items()}
    return CostLine(name=name, lot=record.key, grams=grams, cash=cash, without=cost.without)


def _of_material(
    reckoning: Reckoning,
    key: str,
    name: str,
    grams: Known,
    ml: Known | None,
    day: date,
    lot: tuple[str, str] | None = None,
) -> CostLine:
    material = reckoning.book.materials.get(key)
    named = reckoning.lots.accounts[lot].lot if lot is not None else None
    cash: Cash | Missing = Missing(says=says("no-price-written", name=name))
    for of in (named, None if material is None else last_priced(material, day)):
        if of is not None and material is not None:
            cash = cash_for(of, material, grams, ml)
            if not isinstance(cash, Missing):
                return CostLine(name=name, lot=of.key, grams=grams, cash=cash)
    return CostLine(name=name, lot="", grams=grams, cash=cash)


def _cost(
    lines: Sequence[CostLine],
    containers: int,
    container: Price | None,
    out: Callable[[str], Known],
    contents: Sequence[Quantity],
) -> Cost:
    ingredients = _sum(line.cash for line in lines if not isinstance(line.cash, Missing))
    each: list[tuple[Quantity, Cash | Missing]] = []
    for content in contents:
        share = over(content.value, out(content.unit))
        if isinstance(share, Missing):
            each.append((content, share))
        else:
            inside = {currency: much * share for currency, much in ingredients.items()}
            each.append((content, _sum((inside, _containers(container, 1)))))
    return Cost(
        lines=tuple(lines),
        ingredients=ingredients,
        containers=containers,
        container=container,
        out=out("g"),
        each=tuple(each),
    )


# ── A batch that is asked for ─────────────────────────────────────────────────────────────────────────────────────


def cost_of_issue(reckoning: Reckoning, key: str, formula: Formula, day: date) -> Cost | Missing:
    """Return what the batch as written will cost of a formula, or of an earlier issue of it, by the last prices."""
    weighing = weigh(reckoned_with(reckoning, key, formula), key)
    return weighing if isinstance(weighing, Missing) else cost_asked(weighing, day)


def cost_asked(weighing: Weighing, day: date) -> Cost:
    """Return what a batch will cost by the last prices on a day.

    All that is weighed in counts, as the instruments take it, and so does what its intermediates are made of; one that
    is there and is not made costs its share of its last batch.

    Source: own arithmetic.
    """
    reckoning = weighing.reckoning
    batches = [weighing.evaluation]
    made = {first.key for first in weighing.make_first}
    lines: list[CostLine] = []
    for first in weighing.make_first:
        if first.evaluation is None:
            why = first.start_g if isinstance(first.start_g, Missing) else Missing(says=says("batch-unknown"))
            lines.append(CostLine(name=weighing.titles[first.key][1], lot="", grams=why, cash=why))
        else:
            batches.append(first.evaluation)
    costs: Mapping[str, Cost] = {}
    for line in (line for batch in batches for line in batch.lines):
        for key, grams in taken_materials(line):
            if key in made:
                continue
            if key in reckoning.book.formulas:
                last = last_batch(reckoning, key, day)
                costs = costs or costs_of(reckoning)
                none = Missing(says=says("no-price-written", name=line.figure.name))
                lines.append(
                    _of_batch(reckoning, last, grams, costs)
                    if last
                    else CostLine(name=line.figure.name, lot="", grams=grams, cash=none)
                )
            else:
                name = reckoning.book.name_of(key) if key else line.figure.name
                lines.append(_of_material(reckoning, key, name, grams, line.ml, day))
    batch = Quantity(value=weighing.evaluation.obtain, unit=weighing.figures.scale.unit, text="")
    return _cost(
        lines,
        weighing.containers_full or 0,
        weighing.formula.container_price,
        lambda unit: in_unit_of(weighing.figures, batch, unit),
        [] if weighing.container is None else [weighing.container],
    )
