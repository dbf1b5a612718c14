"""Tracing: which batches took a lot, and which lots went into a batch, through intermediates to any depth.

Enters: the lots of a book and what its batches took of them.  Leaves: `Takers` and `Sources`.  Walked without
recursion; a circle of batches, which is an error of the records, ends it like anything that was met before.

A record that names no lot is not passed over: what it took of the same material while the lot was there stands apart,
because the lot may be in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ..findings import Finding
from ..model import BatchRecord, Book
from .lots import Drawn, LotAccount, Lots

LotName = tuple[str, str]
"""Key of the material or intermediate, and the lot's code in lower case: what `Lots.accounts` calls it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakingBatch:
    """A batch that a lot went into."""

    batch: str
    """Its key."""
    depth: int
    """1 where it took the lot itself, 2 where it took a batch that did, and so on: the shortest way."""
    took: tuple[Drawn, ...]
    """Its lines that took the lot, or a batch with the lot in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Takers:
    """Where one lot went."""

    lot: LotAccount
    """The lot."""
    batches: tuple[TakingBatch, ...]
    """Every batch with something of it, by day and number."""
    perhaps: tuple[Drawn, ...]
    """Lines of other batches that took the same material while the lot was there, and name no lot that the book has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLot:
    """A lot that went into a batch."""

    lot: LotAccount
    """The lot; a batch of an intermediate is one."""
    depth: int
    """1 where the batch took it itself, 2 where it came with an intermediate, and so on: the shortest way."""
    drawn: tuple[Drawn, ...]
    """The lines that took it: of the batch, or of the intermediates in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sources:
    """What went into one batch."""

    batch: str
    """Its key."""
    lots: tuple[SourceLot, ...]
    """Every lot in it, the batch's own first, in the order of the records' lines."""
    without: tuple[Drawn, ...]
    """Lines of the batch and of the intermediates in it that name no lot, or one that the book does not have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """What is known of one code: a lot's, a batch number, or both where the batch is of an intermediate."""

    code: str
    """As it was asked."""
    sources: Sources | None
    """What went into the batch of that number; None where it is none."""
    takers: tuple[Takers, ...]
    """Where each lot of that code went; for a batch, only where something took it."""
    doubts: tuple[Finding, ...]
    """Errors in records, after which the answer may not be all."""


def takers_of(lots: Lots, book: Book, name: LotName) -> Takers:
    """Return every batch that a lot went into, directly or in intermediates.

    Source: own arithmetic; that a recall goes through intermediates to the last jar is common practice, no source.
    """
    depth: dict[str, int] = {}
    took: dict[str, list[Drawn]] = {}
    waiting: list[tuple[LotName, int]] = [(name, 0)]
    met = {name}
    for lot, far in waiting:  # grows while it is walked
        for drawn in lots.taken.get(lot, ()):
            depth.setdefault(drawn.batch, far + 1)
            took.setdefault(drawn.batch, []).append(drawn)
            onward = _as_lot(book, drawn.batch)
            if onward in lots.accounts and onward not in met:
                met.add(onward)
                waiting.append((onward, far + 1))
    account = lots.accounts[name]
    batches = [
        TakingBatch(batch=batch, depth=depth[batch], took=tuple(took[batch])) for batch in _by_day(depth, book.batches)
    ]
    return Takers(lot=account, batches=tuple(batches), perhaps=_perhaps(lots, book, account, depth))


def sources_of(lots: Lots, book: Book, batch: str) -> Sources:
    """Return every lot that went into a batch, itself or in its intermediates, and the lines that name none.

    Source: record-keeping of USP <795> (each component with its lot), from memory; own arithmetic.
    """
    depth: dict[LotName, int] = {}
    drawn_of: dict[LotName, list[Drawn]] = {}
    without: list[Drawn] = []
    waiting: list[tuple[str, int]] = [(batch, 0)]
    met = {batch}
    for number, far in waiting:  # grows while it is walked
        for drawn in lots.drawn.get(number, ()):
            if drawn.lot is None:
                without.append(drawn)
                continue
            depth.setdefault(drawn.lot, far + 1)
            drawn_of.setdefault(drawn.lot, []).append(drawn)
            inner = drawn.lot[1] if lots.accounts[drawn.lot].batch is not None else ""
            if inner and inner not in met:
                met.add(inner)
                waiting.append((inner, far + 1))
    found = [SourceLot(lot=lots.accounts[name], depth=far, drawn=tuple(drawn_of[name])) for name, far in depth.items()]
    return Sources(batch=batch, lots=tuple(found), without=tuple(without))


def lots_called(lots: Lots, code: str) -> tuple[LotName, ...]:
    """Return the lots of that code, ignoring case: several where two materials have one of the same code."""
    wanted = code.casefold()
    return tuple(name for name in lots.accounts if name[1] == wanted)


def _as_lot(book: Book, batch: str) -> LotName:
    """Return what a batch is called as a lot of its formula."""
    return book.key_made(book.batches[batch]), batch


def _by_day(batches: Iterable[str], records: Mapping[str, BatchRecord]) -> Sequence[str]:
    def when(batch: str) -> tuple[date, str]:
        made = records[batch].made
        return (date.max if made is None else made.on, batch)

    return sorted(batches, key=when)


def _perhaps(lots: Lots, book: Book, account: LotAccount, known: Mapping[str, int]) -> tuple[Drawn, ...]:
    """Return the lines that may have taken of a lot without saying so."""
    came = date.min if account.came is None else account.came
    gone = date.max if account.gone is None else account.gone.day
    found: list[Drawn] = []
    for batch in _by_day(lots.drawn, book.batches):
        made = book.batches[batch].made
        if batch in known or (made is not None and not came <= made.on <= gone):
            continue
        found += [drawn for drawn in lots.drawn[batch] if drawn.lot is None and drawn.key == account.of]
    return tuple(found)
