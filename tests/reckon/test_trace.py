"""Tracing lots, against an independent reckoning over random histories; and what is there of each lot."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from random import Random

import pytest

from bookgen.findings import Missing
from bookgen.model import (
    BatchRecord,
    BenchLine,
    Book,
    Day,
    Formula,
    FormulaIssue,
    Lot,
    Mass,
    Material,
    Quantity,
)
from bookgen.reckon.lots import Lots, lots_of
from bookgen.reckon.trace import sources_of, takers_of
from bookgen.source import book_from

FIRST = date(2026, 1, 1)
PLENTY = Quantity(value=Fraction(10**9), unit="g", text="")


def day(number: int) -> Day:
    on = FIRST + timedelta(days=number)
    return Day(on=on, text=on.isoformat())


def grams(value: int) -> Mass:
    return Mass(grams=Fraction(value), text=f"{value} g")


class History:
    """A year of batches at random, and what a pencil would note beside each: the lots in it, at whatever depth."""

    def __init__(self, seed: int, batches: int) -> None:
        chance = Random(seed)
        materials = {
            f"m{number}": Material(
                name=f"m{number}",
                key=f"m{number}",
                lots=tuple(
                    Lot(
                        key=f"L{number}-{lot}",
                        received=day(0),
                        amount=Quantity(value=Fraction(10**9), unit="g", text=""),
                    )
                    for lot in range(chance.randint(1, 3))
                ),
            )
            for number in range(40)
        }
        formulas = {f"f{number}": Formula(code=f"F{number}", title=f"F{number}") for number in range(30)}
        self.inside: dict[str, set[tuple[str, str]]] = {}
        self.used: dict[tuple[str, str], Fraction] = {}
        self.without: dict[str, int] = {}
        records: dict[str, BatchRecord] = {}
        made_of: dict[str, list[str]] = {}
        for number in range(batches):
            of = f"f{chance.randrange(30)}"
            key = f"{of}-{number:04}"
            lines: list[BenchLine] = []
            inside: set[tuple[str, str]] = set()
            without = 0
            for _ in range(chance.randint(1, 5)):
                taken = chance.randint(1, 500)
                kind = chance.random()
                earlier = sorted(made_of)
                if kind < 0.35 and earlier:
                    other = chance.choice(earlier)
                    batch = chance.choice(made_of[other][-4:])
                    lines.append(BenchLine(material=other.upper(), amount=grams(taken), lot=batch.upper()))
                    inside |= {(other, batch)} | self.inside[batch]
                    without += self.without[batch]
                    self.used[other, batch] = self.used.get((other, batch), Fraction(0)) + taken
                elif kind < 0.9:
                    name = f"m{chance.randrange(40)}"
                    lot = chance.choice(materials[name].lots).key
                    lines.append(BenchLine(material=name, amount=grams(taken), lot=lot))
                    inside.add((name, lot.casefold()))
                    self.used[name, lot.casefold()] = self.used.get((name, lot.casefold()), Fraction(0)) + taken
                else:
                    lines.append(BenchLine(material=f"m{chance.randrange(40)}", amount=grams(taken)))
                    without += 1
            self.inside[key], self.without[key] = inside, without
            made_of.setdefault(of, []).append(key)
            records[key] = BatchRecord(
                batch=key,
                key=key.upper(),
                of=FormulaIssue(code=of, issue=1),
                made=day(number // 3),
                obtain=None,
                weighed=tuple(lines),
                came_out=PLENTY,
            )
        self.book = Book(formulas=formulas, materials=materials, batches=records)


@pytest.fixture(scope="module")
def history() -> History:
    return History(seed=15, batches=1000)


@pytest.fixture(scope="module")
def lots(history: History) -> Lots:
    return lots_of(history.book)


def test_every_batch_that_took_a_lot_is_found_and_no_other(history: History, lots: Lots) -> None:
    for name in list(lots.accounts)[::17]:
        found = {taking.batch for taking in takers_of(lots, history.book, name).batches}
        assert found == {batch for batch, inside in history.inside.items() if name in inside}


def test_every_lot_in_a_batch_is_found_and_no_other(history: History, lots: Lots) -> None:
    deepest = 0
    for batch in list(history.inside)[::9]:
        sources = sources_of(lots, history.book, batch)
        assert {(one.lot.of, one.lot.code.casefold()) for one in sources.lots} == history.inside[batch]
        assert bool(sources.without) == bool(history.without[batch])
        deepest = max([deepest, *(one.depth for one in sources.lots)])
    assert deepest > 4, "the histories go through intermediates of intermediates"


def test_the_batches_come_in_the_order_of_days(history: History, lots: Lots) -> None:
    takers = takers_of(lots, history.book, ("m0", "l0-0")).batches
    days = [made.on for taking in takers if (made := history.book.batches[taking.batch].made) is not None]
    assert days == sorted(days)
    assert len(days) > 20


def test_what_is_there_is_what_came_less_what_was_taken(history: History, lots: Lots) -> None:
    for name, account in lots.accounts.items():
        assert account.left == 10**9 - history.used.get(name, Fraction(0)), name


def test_what_took_the_lot_itself_is_told_with_its_lines(history: History, lots: Lots) -> None:
    for taking in takers_of(lots, history.book, ("m1", "l1-0")).batches:
        own = [drawn for drawn in taking.took if drawn.lot == ("m1", "l1-0")]
        assert (taking.depth == 1) == bool(own)
        assert all(drawn.batch == taking.batch for drawn in taking.took)


# ── One lot, day by day ───────────────────────────────────────────────────────────────────────────────────────────


def account_of(lot: str, *records: str, density: str = ""):
    files = {
        "formulas/s.md": b"---\ncode: S-1\ntitle: S\nuse: intermediate\ningredients:\n  spirit: 100 g\n---\n",
        "formulas/materials/spirit.md": f"---\nname: spirit\n{density}lots:\n  A-1: {lot}\n---\n".encode(),
    }
    for number, (on, amount) in enumerate(record.split(" | ") for record in records):
        name = f"S-1-{on}" + ("" if number == 0 else f"-{'abcdefgh'[number]}")
        files[f"formulas/batches/{name}.md"] = (
            f"---\nbatch: {name}\nof: S-1, issue 1\nmade: {on}\nobtain: 100 g\n"
            f"weighed:\n  spirit: {amount}, lot A-1\n---\n"
        ).encode()
    return lots_of(book_from(files)).accounts["spirit", "a-1"]


@pytest.mark.parametrize(
    ("lot", "records", "density", "unit", "left"),
    [
        ("{received: 2026-01-01, amount: 1 kg}", ("2026-02-01 | 250 g", "2026-03-01 | 100 g"), "", "g", "650"),
        ("{amount: 1 kg, counted: 640 g on 2026-02-01}", ("2026-02-01 | 250 g", "2026-03-01 | 100 g"), "", "g", "540"),
        ("{amount: 1 kg, counted: [640 g on 2026-02-02, 0 g on 2026-03-02]}", ("2026-03-01 | 100 g",), "", "g", "0"),
        ("{amount: 1 L}", ("2026-02-01 | 250 mL",), "", "mL", "750"),
        ("{amount: 1 L}", ("2026-02-01 | 250 g",), "density: 0.8\n", "g", "550"),
        ("{amount: 1 L}", ("2026-02-01 | 250 mL",), "density: 0.8\n", "g", "600"),
        ("{amount: 1 kg, used up: 2026-04-01}", ("2026-02-01 | 250 g",), "", "g", "0"),
        ("{amount: 1 kg, discarded: 2026-04-01}", ("2026-02-01 | 250 g",), "", "g", "0"),
    ],
)
def test_what_is_left_of_a_lot(lot: str, records: tuple[str, ...], density: str, unit: str, left: str) -> None:
    account = account_of(lot, *records, density=density)
    assert (account.unit, account.left) == (unit, Fraction(left))
    assert account.overdrawn is None


@pytest.mark.parametrize(
    ("lot", "record"),
    [("{amount: 1 L}", "2026-02-01 | 250 g"), ("{received: 2026-01-01}", "2026-02-01 | 250 g")],
)
def test_what_is_not_known_is_not_guessed(lot: str, record: str) -> None:
    account = account_of(lot, record)
    assert isinstance(account.left, Missing)
    assert account.overdrawn is None


def test_more_taken_than_was_counted_is_told_with_what_was_there() -> None:
    account = account_of("{amount: 1 kg, counted: 40 g on 2026-02-01}", "2026-01-01 | 900 g", "2026-03-01 | 41 g")
    assert account.overdrawn is not None
    entry, used, there = account.overdrawn
    assert (entry.day, used, there) == (date(2026, 3, 1), 41, 40)
