"""Lots: what was there of each, what every batch took of it, what is left.

Enters: a book with the lots of its materials and its batch records.  Leaves: `Lots`, every lot with what came and went,
and `Drawn`, what was taken for each line of a record.  A batch of an intermediate is a lot of it, called by its batch
number.  Nothing is guessed: a lot without its amount has a Missing until it is counted.

On one day a lot comes first, then batches take of it in the order of their numbers, then it is counted, then it is used
up or thrown away (named choice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import IntEnum

from ..findings import Missing
from ..fraction import Fraction
from ..model import (
    BatchOutcome,
    BatchRecord,
    BenchLine,
    Book,
    Drops,
    Formula,
    Known,
    Lot,
    LotCount,
    Mass,
    Material,
    Quantity,
    Volume,
)
from ..wording.saying import says
from .densities import density_of
from .droppers import drop_mass_of
from .known import ZERO, less

Item = Formula | Material | None
"""What a lot is of; None for an ingredient without a file."""


class Movement(IntEnum):
    """What happened to a lot; the order is that of one day."""

    CAME = 0
    """It came, or the batch was made."""
    TAKEN = 1
    """A batch took of it."""
    COUNTED = 2
    """What is there was weighed or counted."""
    USED_UP = 3
    """The last of it was used."""
    DISCARDED = 4
    """What was left was thrown away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What one line of a batch record took."""

    batch: str
    """Key of the batch."""
    line: BenchLine
    """The line."""
    key: str
    """Key of the ingredient in the book; empty where the book has none of that name."""
    lot: tuple[str, str] | None
    """The lot that it names, as `Lots.accounts` has it; None where it names none or the book does not have it."""
    grams: Known
    """Grams that were taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotEntry:
    """One thing that happened to a lot."""

    day: date
    """The day."""
    kind: Movement
    """What happened."""
    amount: Known
    """How much came, was taken or counted; what was left where it was used up or thrown away.  In the lot's unit."""
    left: Known
    """What was there afterwards, in the lot's unit; below zero where more was taken than was there."""
    drawn: Drawn | None = None
    """The line that took of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotAccount:
    """A lot with what came and went."""

    of: str
    """Key of the material or intermediate."""
    code: str
    """Its code, or its batch number, as written."""
    name: str
    """Name of the material or title of the formula."""
    lot: Lot | None = None
    """The lot of a material; None for a batch."""
    batch: BatchRecord | None = None
    """The batch of an intermediate; None for a material's lot."""
    unit: str
    """`g`, or `mL` where nothing of it is given by weight and its density is not known."""
    amount: Known
    """How much of it came or was made, in its unit."""
    entries: tuple[LotEntry, ...] = ()
    """What happened, in order of time."""
    came: date | None = None
    """The day it came or was made; None where that is not written."""
    gone: LotEntry | None = None
    """Its end: used up or thrown away; None while it is there."""

    @property
    def left(self) -> Known:
        """What is there now, in its unit."""
        return self.entries[-1].left if self.entries else self.amount

    @property
    def overdrawn(self) -> tuple[LotEntry, Fraction, Fraction] | None:
        """The first line that took more than was there, what was taken with it, and what was there: since the lot came
        or was last counted, in its unit; None while there was enough."""
        there: Known = _nothing_written(self.code)
        for entry in self.entries:
            if entry.kind >= Movement.USED_UP:
                return None
            if entry.kind is not Movement.TAKEN:
                there = entry.left
            elif isinstance(entry.left, Fraction) and entry.left < 0 and isinstance(there, Fraction):
                return entry, there - entry.left, there
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lots:
    """Every lot of a book, and what every batch took."""

    accounts: Mapping[tuple[str, str], LotAccount] = field(default_factory=dict)
    """(key of the material or intermediate, code in lower case) → the lot."""
    drawn: Mapping[str, tuple[Drawn, ...]] = field(default_factory=dict)
    """Key of a batch → what its lines took, in the order of its lines."""
    taken: Mapping[tuple[str, str], tuple[Drawn, ...]] = field(default_factory=dict)
    """A lot, as `accounts` has it → every line that names it, in the order of `drawn`."""


def _nothing_written(code: str) -> Missing:
    return Missing(says=says("lot-amount-unwritten", code=code))


def taken_grams(line: BenchLine, item: Item, book: Book) -> Known:
    """Return the grams of one line of a batch record: as weighed, mL by the density, drops by their drop mass.

    Drops whose weight is written beside them are that weight.  1 mL is never taken as 1 g.

    Source: own arithmetic; density and drop mass from the material's own file.
    """
    match line.amount:
        case Missing():
            return line.amount
        case Mass(grams=grams):
            return grams
        case Drops(count=count, grams=fixed, dropper=dropper):
            if fixed is not None:
                return fixed
            mass = drop_mass_of(item, dropper, line.amount_place, book.workroom.balances)
            return mass if isinstance(mass, Missing) else count * mass.grams
        case Volume(ml=ml):
            density = None if item is None else density_of(item)
            if density is None:
                return Missing(says=says("no-density", name=book.name_of(line.material)), place=line.amount_place)
            return ml * density


def lots_of(book: Book) -> Lots:
    """Return every lot of the book with what came of it, what batches took and what is left.

    What is there is what was received or last counted, less what was taken since; counting wins over the sum.  What was
    taken is what records say was weighed, not what was planned.

    Source: common practice, no source; own arithmetic.
    """
    accounts: dict[tuple[str, str], LotAccount] = {}
    for key, material in book.materials.items():
        for lot in material.lots:
            name = (key, lot.key.casefold())
            none = _nothing_written(lot.key)
            accounts[name] = LotAccount(of=key, code=lot.key, name=material.name, lot=lot, unit="g", amount=none)
    for number, record in book.batches.items():
        key = book.key_made(record)
        if key in book.formulas:
            title = book.formulas[key].title
            none = _nothing_written(record.key)
            accounts[key, number] = LotAccount(of=key, code=record.key, name=title, batch=record, unit="g", amount=none)
    drawn: dict[str, tuple[Drawn, ...]] = {}
    by_lot: dict[tuple[str, str], list[tuple[date, str, Drawn]]] = {}
    for number, record in book.batches.items():
        found = []
        for line in record.taken:
            key = book.key_of(line.material)
            named = (key, line.lot.casefold())
            grams = taken_grams(line, book.at(key), book)
            taken = Drawn(
                batch=number, line=line, key=key, lot=named if line.lot and named in accounts else None, grams=grams
            )
            found.append(taken)
            if taken.lot is not None and record.made is not None:
                by_lot.setdefault(taken.lot, []).append((record.made.on, number, taken))
        drawn[number] = tuple(found)
    for name, account in list(accounts.items()):
        accounts[name] = _with_entries(account, by_lot.get(name, ()), book)
    taken_of: dict[tuple[str, str], list[Drawn]] = {}
    for lines in drawn.values():
        for taken in lines:
            if taken.lot is not None:
                taken_of.setdefault(taken.lot, []).append(taken)
    return Lots(accounts=accounts, drawn=drawn, taken={name: tuple(lines) for name, lines in taken_of.items()})


def _with_entries(account: LotAccount, taken: Iterable[tuple[date, str, Drawn]], book: Book) -> LotAccount:
    """Return the lot with its entries, in its unit."""
    item = book.at(account.of)
    density = None if item is None else density_of(item)
    lot, batch = account.lot, account.batch
    events = lot or batch
    assert events is not None, "a lot is a material's or a batch"
    came = lot.amount if lot is not None else batch.came_out if batch is not None else None
    counts = events.counted
    uses = list(taken)
    volumes = [quantity.unit == "mL" for quantity in (came, *(count.quantity for count in counts)) if quantity]
    measured = [isinstance(use.line.amount, Volume) for _, _, use in uses]
    unit = "mL" if density is None and volumes and all(volumes) and all(measured) else "g"

    def held(quantity: Quantity | None) -> Known:
        if quantity is None:
            return _nothing_written(account.code)
        if quantity.unit == unit:
            return quantity.value
        if quantity.form is not None:
            return Missing(says=says("lot-in-pieces", code=account.code))
        if density is None:
            return Missing(says=says("no-density", name=account.name))
        return quantity.value * density

    def there(count: LotCount) -> Known:
        return ZERO if count.quantity is None else held(count.quantity)

    arrival = lot.received if lot is not None else batch.made if batch is not None else None
    moves: list[tuple[date, Movement, str, Known | None, Drawn | None]] = []
    for on, number, use in uses:
        amount = use.line.amount
        took = amount.ml if unit == "mL" and isinstance(amount, Volume) else use.grams
        moves.append((on, Movement.TAKEN, number, took, use))
    moves += [(count.day.on, Movement.COUNTED, "", there(count), None) for count in counts]
    ended = events.discarded
    if batch is not None and batch.outcome is BatchOutcome.DISCARDED:
        ended = ended or batch.made
    if events.used_up is not None:
        moves.append((events.used_up.on, Movement.USED_UP, "", None, None))
    if ended is not None:
        moves.append((ended.on, Movement.DISCARDED, "", None, None))
    moves.sort(key=lambda move: move[:3])
    left = arrived = held(came)
    entries: list[LotEntry] = []
    if arrival is not None:
        entries.append(LotEntry(day=arrival.on, kind=Movement.CAME, amount=left, left=left))
    for on, kind, _, known, drawn in moves:
        moved: Known = left if known is None else known
        match kind:
            case Movement.TAKEN:
                left = less(left, moved)
            case Movement.COUNTED:
                left = moved
            case _:
                left = ZERO
        entries.append(LotEntry(day=on, kind=kind, amount=moved, left=left, drawn=drawn))
    return LotAccount(
        of=account.of,
        code=account.code,
        name=account.name,
        lot=lot,
        batch=batch,
        unit=unit,
        amount=arrived,
        entries=tuple(entries),
        came=None if arrival is None else arrival.on,
        gone=next((entry for entry in entries if entry.kind >= Movement.USED_UP), None),
    )
