"""What stands on the shelf: held to a ledger that is kept day by day, over a random half-year."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from functools import cache
from random import Random

import pytest

from bookgen.findings import Missing
from bookgen.reckon.figures import Reckoning, reckon
from bookgen.reckon.from_shelf import Proposal
from bookgen.reckon.on_shelf import LotState, on_shelf
from bookgen.reckon.weighing import weigh
from bookgen.source import book_from

FIRST = date(2026, 1, 1)
DAYS = 120
MATERIALS = ("m0", "m1", "m2", "m3")
FORMULAS = {"N-1": "m0: 50 g\n  m1: 50 g", "N-2": "N-1: 50 g\n  m2: 50 g", "S-1": "N-2: 50 g\n  m3: 50 g"}
KEEPS = 40
"""Days that each formula assigns."""


class Ledger:
    """What a keeper would enter each evening; the amount of a lot is None where nobody can say it."""

    def __init__(self, seed: int) -> None:
        self.chance = Random(seed)
        self.there: dict[tuple[str, str], Fraction | None] = {}
        self.last: dict[tuple[str, str], date | None] = {}
        self.retest: dict[tuple[str, str], date] = {}
        self.came: dict[tuple[str, str], date] = {}
        self.evenings: list[dict[tuple[str, str], Fraction | None]] = []
        self.written: dict[tuple[str, str], list[str]] = {}
        self.counts: dict[tuple[str, str], list[str]] = {}
        self.records: dict[str, list[str]] = {}
        for number in range(DAYS):
            self.today = FIRST + timedelta(days=number)
            self._arrivals()
            self._batches()
            self._counts()
            self._ends()
            self.evenings.append(dict(self.there))

    def _arrivals(self) -> None:
        for material in MATERIALS:
            if self.today == FIRST or self.chance.random() < 0.06:
                lot = (material, f"{material.upper()}-{len(self.written)}")
                much = None if self.chance.random() < 0.1 else Fraction(self.chance.randint(50, 900))
                keys = [f"received: {self.today}"] + ([] if much is None else [f"amount: {much} g"])
                ends: list[date] = []
                if self.chance.random() < 0.7:
                    ends.append(self.today + timedelta(days=self.chance.randint(5, 90)))
                    keys.append(f"expires: {ends[-1]}")
                if self.chance.random() < 0.3:
                    ends.append(self.today + timedelta(days=20))
                    keys.append(f"opened: {self.today}")
                    keys.append("good after opening: 20 days")
                if self.chance.random() < 0.3:
                    self.retest[lot] = self.today + timedelta(days=self.chance.randint(5, 90))
                    keys.append(f"retest: {self.retest[lot]}")
                self.came[lot] = self.today
                self.there[lot], self.last[lot], self.written[lot] = much, min(ends, default=None), keys

    def _batches(self) -> None:
        for code, wanted in {"N-1": "m0 m1", "N-2": "N-1 m2", "S-1": "N-2 m3"}.items():
            if self.chance.random() > 0.25:
                continue
            number = f"{code}-{self.today}"
            ends, lines = [self.today + timedelta(days=KEEPS)], []
            for name in wanted.split():
                lots = [lot for lot, left in self.there.items() if lot[0] == name and left != 0]
                if not lots:
                    lines.append(f"  {name}: 5 g")
                    continue
                lot = self.chance.choice(lots)
                left = self.there[lot]
                much = Fraction(self.chance.randint(1, 60)) if left is None else min(left, Fraction(50))
                if left is not None:
                    self.there[lot] = left - much
                    if left == much:
                        del self.there[lot]
                lines.append(f"  {name}: {much} g, lot {lot[1]}")
                end = self.last[lot]
                if end is not None:
                    ends.append(end)
            out = None if self.chance.random() < 0.1 else Fraction(self.chance.randint(20, 90))
            text = [f"batch: {number}", f"of: {code}, issue 1", f"made: {self.today}", "obtain: 100 g", "weighed:"]
            self.records[number] = [*text, *lines, *([] if out is None else [f"came out: {out} g"])]
            lot = (code, number)
            self.last[lot], self.there[lot], self.came[lot] = min(ends), out, self.today

    def _counts(self) -> None:
        for lot in list(self.there):
            if self.chance.random() < 0.02:
                found = self.chance.choice([Fraction(0), Fraction(self.chance.randint(1, 300))])
                self.counts.setdefault(lot, []).append(f"{found} g on {self.today}")
                self.there[lot] = found
                if not found:
                    del self.there[lot]

    def _ends(self) -> None:
        for lot in list(self.there):
            if self.chance.random() < 0.01:
                del self.there[lot]
                how = self.chance.choice(["used up", "discarded"])
                keys = self.written[lot] if lot in self.written else self.records[lot[1]]
                keys.append(f"{how}: {self.today}")

    def files(self) -> dict[str, bytes]:
        """The same as a book."""
        texts: dict[str, str] = {}
        for material in MATERIALS:
            lots = ""
            for (name, code), keys in self.written.items():
                counted = ", ".join(self.counts.get((name, code), []))
                if name == material:
                    lots += f"  {code}: {{{', '.join(keys)}{f', counted: [{counted}]' if counted else ''}}}\n"
            how = f"disposal: with the {material}s\n" if material != "m2" else ""
            texts[f"materials/{material}"] = f"name: {material}\nkind: powder\nwater: 0 %\n{how}lots:\n{lots}"
        for code, lines in FORMULAS.items():
            texts[code] = (
                f"code: {code}\ntitle: T {code}\nkind: household\n"
                f"storage: cupboard, jar, {KEEPS} days\nmakes: 100 g\ningredients:\n  {lines}\n"
            )
        for number, keys in self.records.items():
            counted = self.counts.get((number.rpartition("-2026")[0], number), [])
            more = [f"counted: [{', '.join(counted)}]"] if counted else []
            texts[f"batches/{number}"] = "\n".join([*keys, *more]) + "\n"
        return {f"formulas/{name}.md": f"---\n{text}---\n".encode() for name, text in texts.items()}


@cache
def half_year(seed: int) -> tuple[Ledger, Reckoning]:
    ledger = Ledger(seed)
    book = book_from(ledger.files())
    assert not [finding for finding in book.findings if finding.severity.value == "error"], book.findings
    return ledger, reckon(book)


@pytest.mark.parametrize("seed", [3, 4])
def test_what_is_there_each_evening_is_what_the_ledger_has(seed: int) -> None:
    ledger, reckoning = half_year(seed)
    states = set()
    for number in range(0, DAYS, 7):
        today = FIRST + timedelta(days=number)
        shelf = on_shelf(reckoning, today)
        found = {(item.key, lot.account.code): lot for item in shelf.items for lot in item.lots}
        wanted = {(code.lower(), lot): left for (code, lot), left in ledger.evenings[number].items() if code != "S-1"}
        assert {name: None if isinstance(lot.left, Missing) else lot.left for name, lot in found.items()} == wanted
        for (code, name), lot in found.items():
            last = ledger.last[code.upper() if code.startswith("n") else code, name]
            retest = ledger.retest.get((code, name))
            assert lot.until == last
            state = LotState.RETEST if retest is not None and retest < today else LotState.GOOD
            assert lot.state is (LotState.PAST if last is not None and last < today else state), (today, name)
            states.add(lot.state)
        for item in shelf.items:
            ends = [lot.until if isinstance(lot.until, date) else date.max for lot in item.lots]
            assert ends == sorted(ends)
        assert {lot.account.code for _, lot in shelf.to_throw_away} == {
            name for (_, name), lot in found.items() if lot.state is LotState.PAST
        }
    assert states == {LotState.GOOD, LotState.RETEST, LotState.PAST}


def by_hand(ledger: Ledger, number: int, code: str, wanted: Fraction) -> list[tuple[str, Fraction | None]]:
    """Return the jars as a keeper would take them from the shelf: the one that is good for the shortest time first."""
    today = FIRST + timedelta(days=number)
    jars = []
    for (name, lot), left in ledger.evenings[number].items():
        last, retest = ledger.last[name, lot], ledger.retest.get((name, lot))
        if name == code and (last is None or last >= today):
            came = (ledger.came[name, lot] - FIRST).days
            jars.append((retest is not None and retest < today, last or date.max, came, lot.lower(), lot, left))
    taken: list[tuple[str, Fraction | None]] = []
    for *_, lot, left in sorted(jars, key=lambda jar: jar[:4]):
        if wanted and left is None:
            taken.append((lot, None))
        elif wanted and left:
            taken.append((lot, min(wanted, left)))
            wanted -= min(wanted, left)
    return taken


def takes(proposals: tuple[Proposal, ...]) -> list[tuple[str, Fraction | None]]:
    return [
        (take.lot.account.code, None if isinstance(take.take, Missing) else take.take)
        for proposal in proposals
        for take in proposal.takes
    ]


@pytest.mark.parametrize("seed", [3, 4])
def test_lots_are_proposed_as_a_keeper_would_take_them(seed: int) -> None:
    ledger, reckoning = half_year(seed)
    several = whole = part = 0
    for number in range(0, DAYS, 9):
        today = FIRST + timedelta(days=number)
        batch = weigh(reckoning, "n-1", today=today)
        assert not isinstance(batch, Missing)
        assert batch.from_shelf is not None
        for index, name in enumerate(("m0", "m1")):
            wanted = by_hand(ledger, number, name, Fraction(50))
            assert takes(batch.from_shelf.lines.get(index, ())) == wanted
            several += len(wanted) > 1
        user = weigh(reckoning, "s-1", today=today)
        assert not isinstance(user, Missing)
        assert user.from_shelf is not None
        there = by_hand(ledger, number, "N-2", Fraction(50))
        found = user.from_shelf.first.get("n-2")
        assert takes((found,) if found else ()) == there
        enough = sum(much or 0 for _, much in there) == 50
        assert (found is not None and found.is_whole) == enough
        whole, part = whole + enough, part + (not enough)
    assert several
    assert whole
    assert part


def test_what_is_made_first_is_taken_before_the_batch_itself() -> None:
    texts = {
        "materials/m": "name: m\nkind: powder\nwater: 0 %\nlots:\n  A-1: {amount: 60 g}\n  A-2: {amount: 90 g}\n",
        "n": "code: N-1\ntitle: N\nuse: intermediate\nmakes: 50 g\ningredients:\n  m: 50 g\n",
        "s": "code: S-1\ntitle: S\nmakes: 100 g\ningredients:\n  N-1: 50 g\n  m: 50 g\n",
    }
    reckoning = reckon(book_from({f"formulas/{name}.md": f"---\n{text}---\n".encode() for name, text in texts.items()}))
    batch = weigh(reckoning, "s-1", today=FIRST)
    assert not isinstance(batch, Missing)
    assert batch.from_shelf is not None
    assert takes(batch.from_shelf.lines[1]) == [("A-1", 10), ("A-2", 40)]
    without_a_day = weigh(reckoning, "s-1")
    assert not isinstance(without_a_day, Missing)
    assert without_a_day.from_shelf is None


def test_an_intermediate_is_thrown_away_as_what_is_in_it() -> None:
    _, reckoning = half_year(3)
    shelf = on_shelf(reckoning, FIRST + timedelta(days=60))
    ways = {item.key: [(way.of, way.how) for way in item.disposal] for item in shelf.items}
    assert ways["m0"] == [("m0", "with the m0s")]
    assert ways["m2"] == []
    assert ways["n-2"] == [("m0", "with the m0s"), ("m1", "with the m1s")]


def shelf_of_one(lot: str, *, record: str = "", today: str = "2026-06-01"):
    files = {"formulas/materials/m.md": f"---\nname: m\nlots:\n  A-1: {lot}\n---\n".encode()}
    if record:
        files["formulas/s.md"] = b"---\ncode: S-1\ntitle: S\ningredients:\n  m: 100 g\n---\n"
        files["formulas/batches/S-1-2026-05-01.md"] = (
            f"---\nbatch: S-1-2026-05-01\nof: S-1, issue 1\nmade: 2026-05-01\nobtain: 100 g\nweighed:\n"
            f"  m: {record}, lot A-1\n---\n"
        ).encode()
    return on_shelf(reckon(book_from(files)), date.fromisoformat(today)).of("m")


def test_a_lot_that_nothing_was_taken_of_is_there_whole() -> None:
    (lot,) = shelf_of_one("{amount: 1 kg}")
    assert (lot.left, lot.until, lot.state) == (1000, None, LotState.GOOD)


@pytest.mark.parametrize("lot", ["{amount: much}", "{received: 2026-01-01}", "{amount: 1 kg, discarded: in May}"])
def test_an_amount_that_cannot_be_told_is_not_known_and_not_nothing(lot: str) -> None:
    (found,) = shelf_of_one(lot)
    assert isinstance(found.left, Missing)


def test_more_taken_than_was_there_is_not_known_and_not_nothing() -> None:
    (found,) = shelf_of_one("{amount: 10 g}", record="20 g")
    assert isinstance(found.left, Missing)
    assert str(found.left.says) == "more was taken of A-1 than was there"


def test_a_date_that_cannot_be_read_is_not_taken_for_none() -> None:
    (found,) = shelf_of_one("{amount: 10 g, expires: in May}")
    assert isinstance(found.until, Missing)
    assert (found.state, found.is_usable) == (LotState.UNKNOWN, False)


def test_an_expiry_is_good_to_its_last_day_and_a_month_to_its_end() -> None:
    for today, state in (("2026-05-31", LotState.GOOD), ("2026-06-01", LotState.PAST)):
        assert [lot.state for lot in shelf_of_one("{amount: 10 g, expires: 2026-05}", today=today)] == [state]
