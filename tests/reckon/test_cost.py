"""What batches cost, against a purse that is kept batch by batch over a random year; and one batch by hand."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from random import Random

import pytest

from bookgen.findings import Missing
from bookgen.reckon.cost import Cost, cost_asked, costs_of
from bookgen.reckon.figures import Reckoning, reckon
from bookgen.reckon.weighing import weigh
from bookgen.source import book_from

FIRST = date(2026, 1, 1)
WAYS = {"N-1": "m0 m1", "N-2": "N-1 m2", "S-1": "N-2 m3 m4"}
Purse = dict[str, Fraction]


def book_of(texts: dict[str, str]) -> Reckoning:
    return reckon(book_from({f"formulas/{name}.md": f"---\n{text}---\n".encode() for name, text in texts.items()}))


class Year:
    """Batches at random; beside each what was paid for it, and the names of what nobody paid for."""

    def __init__(self, seed: int) -> None:
        chance = Random(seed)
        lots: dict[str, list[tuple[str, date, tuple[str, Fraction] | None]]] = {}
        self.texts: dict[str, str] = {}
        for name in ("m0", "m1", "m2", "m3", "m4"):
            lots[name], lines = [], ""
            for number in range(3):
                came = FIRST + timedelta(days=70 * number + chance.randint(0, 60))
                price = self._price(chance) if chance.random() < 0.6 and name != "m4" else None
                lots[name].append((f"{name}-{number}", came, None if price is None else price[1:]))
                told = "" if price is None else f", price: {price[0]}"
                lines += f"  {name}-{number}: {{received: {came}, amount: 500 g{told}}}\n"
            self.texts[f"materials/{name}"] = f"name: {name}\nkind: powder\nlots:\n{lines}"
        for code, wanted in WAYS.items():
            parts = "".join(f"  {name}: 50 g\n" for name in wanted.split())
            self.texts[code] = f"code: {code}\ntitle: T {code}\ningredients:\n{parts}"
        self.paid: dict[str, tuple[Purse, set[str]]] = {}
        gram: dict[str, tuple[Purse, set[str]] | None] = {}
        latest: dict[str, list[str]] = {}
        for number in range(130):
            today, code = FIRST + timedelta(days=2 * number), chance.choice(list(WAYS))
            batch, lines = f"{code}-{today}", []
            purse: Purse = {}
            unpaid: set[str] = set()
            for name in WAYS[code].split():
                much = Fraction(chance.randint(1, 80))
                named = chance.random() < 0.7
                if name in WAYS:
                    made = latest.get(name, [])
                    source = chance.choice(made) if made and named else ""
                    lines.append(f"  {name}: {much} g{f', lot {source}' if source else ''}\n")
                    each = gram[source or made[-1]] if made else None
                    if each is None:
                        unpaid.add(f"T {name}")
                        continue
                    unpaid |= each[1]
                    for currency, money in each[0].items():
                        purse[currency] = purse.get(currency, Fraction(0)) + money * much
                else:
                    lot = chance.choice(lots[name])
                    lines.append(f"  {name}: {much} g{f', lot {lot[0]}' if named else ''}\n")
                    price = lot[2] if named and lot[2] else self._last(lots[name], today)
                    if price is None:
                        unpaid.add(name)
                    else:
                        purse[price[0]] = purse.get(price[0], Fraction(0)) + price[1] * much
            out = Fraction(chance.randint(20, 150)) if chance.random() < 0.9 else None
            self.paid[batch] = purse, unpaid
            gram[batch] = None if out is None else ({coin: money / out for coin, money in purse.items()}, unpaid)
            latest.setdefault(code, []).append(batch)
            self.texts[f"batches/{batch}"] = (
                f"batch: {batch}\nof: {code}, issue 1\nmade: {today}\nobtain: 100 g\nweighed:\n{''.join(lines)}"
                + ("" if out is None else f"came out: {out} g\n")
            )

    @staticmethod
    def _price(chance: Random) -> tuple[str, str, Fraction]:
        """As written; the currency, and how much of it for one gram."""
        currency, much = chance.choice(["EUR", "CHF"]), chance.randint(1, 90)
        return chance.choice(
            [
                (f"{much} {currency}/kg", currency, Fraction(much, 1000)),
                (f"{much} {currency} per 25 g", currency, Fraction(much, 25)),
                (f"{much} {currency}", currency, Fraction(much, 500)),
            ]
        )

    @staticmethod
    def _last(lots: list[tuple[str, date, tuple[str, Fraction] | None]], today: date) -> tuple[str, Fraction] | None:
        priced = [(came, price) for _, came, price in lots if price]
        earlier = [price for came, price in priced if came <= today]
        return earlier[-1] if earlier else priced[0][1] if priced else None


@pytest.mark.parametrize("seed", [1, 2])
def test_each_batch_cost_what_was_paid_for_it(seed: int) -> None:
    year = Year(seed)
    costs = costs_of(book_of(year.texts))
    assert len(costs) == len(year.paid)
    for batch, (purse, unpaid) in year.paid.items():
        cost = costs[batch.lower()]
        assert dict(cost.total) == purse, batch
        assert set(cost.without) == unpaid, batch
    assert any(len(purse) == 2 for purse, _ in year.paid.values())
    assert any(purse and not unpaid for purse, unpaid in year.paid.values())


MATERIALS = {
    "materials/gly": "name: gly\ndensity: 1.25\nlots:\n  G-1: {received: 2026-01-01, amount: 1 kg, price: 8 EUR/kg}\n"
    "  G-2: {received: 2026-03-01, amount: 2 kg, price: 24 EUR}\n  G-3: {received: 2026-05-01, price: 9 EUR}\n",
    "materials/oil": "name: oil\ndensity: 0.8\nlots:\n  O-1: {amount: 1 L, price: 3.20 CHF per 100 mL}\n",
    "materials/wool": "name: wool\nkind: powder\nlots:\n  W-1: {price: 1 EUR/g}\n",
    "n": "code: N-1\ntitle: base\nuse: intermediate\nyield: 80 %\nmakes: 100 g\ningredients:\n  gly: 100 g\n",
    "s": "code: S-1\ntitle: S\nmakes: 100 g\ncontainer price: 0.50 EUR\ndensity: 1.25\ningredients:\n"
    "  N-1: 40 g\n  oil: 60 g\n  wool: {amount: 2 g, removed: filtered}\n",
}


def asked(**changed: str) -> Cost:
    batch = weigh(book_of(MATERIALS | changed), "s-1", today=date(2026, 4, 1))
    assert not isinstance(batch, Missing)
    return cost_asked(batch, date(2026, 4, 1))


def test_a_batch_to_come_by_the_last_prices_with_losses_and_aids() -> None:
    """40 g of N-1 take 50 g of gly at 12 EUR/kg: 0.60 EUR; 2 g of wool 2 EUR; 60 g of oil, 75 mL, 2.40 CHF."""
    cost = asked()
    assert cost.total == {"EUR": Fraction("2.60"), "CHF": Fraction("2.40")}
    assert cost.per_gram == {"EUR": Fraction("0.026"), "CHF": Fraction("0.024")}
    assert (cost.without, cost.containers) == ((), 0)


def test_what_has_no_price_is_named_and_not_nothing() -> None:
    cost = asked(**{"materials/wool": "name: wool\nkind: powder\nlots:\n  W-1: {price: 1 EUR}\n"})
    assert cost.without == ("wool",)
    assert cost.total == {"EUR": Fraction("0.60"), "CHF": Fraction("2.40")}


RECORD = (
    "batch: S-1-2026-04-02\nof: S-1, issue 1\nmade: 2026-04-02\nobtain: 100 g\nweighed:\n"
    "  N-1: 40 g, lot N-1-2026-04-01\n"
    "  oil: 75 mL, lot O-1\n  wool: 2 g\ncame out: 96 g\nfilled: 2 x 32 mL\nkept sample: 5 g\n"
)
BASE = (
    "batch: N-1-2026-04-01\nof: N-1, issue 1\nmade: 2026-04-01\nobtain: 100 g\nweighed:\n  gly: 100 g, lot G-1\n"
    "came out: 80 g\n"
)


def on_record(record: str = RECORD, **changed: str) -> Cost:
    batches = {"batches/S-1-2026-04-02": record, "batches/N-1-2026-04-01": BASE}
    return costs_of(book_of({**MATERIALS, **batches, **changed}))["s-1-2026-04-02"]


def test_a_batch_on_record_by_its_lots_gram_and_container() -> None:
    """100 g of G-1 are 0.80 EUR for 80 g of N-1: 40 g cost 0.40 EUR; wool 2 EUR; 2.40 CHF of oil; 3 containers
    1.50 EUR.  32 mL are 40 g of 96 g, and a container 0.50 EUR."""
    cost = on_record()
    assert cost.total == {"EUR": Fraction("3.90"), "CHF": Fraction("2.40")}
    assert cost.per_gram == {"EUR": Fraction("2.40") / 96, "CHF": Fraction("2.40") / 96}
    ((content, each),) = cost.each
    assert (content.value, content.unit) == (32, "mL")
    assert each == {"EUR": Fraction("1.50"), "CHF": Fraction(1)}


def test_what_came_out_has_to_be_written_for_the_price_of_a_gram() -> None:
    cost = on_record(RECORD.replace("came out: 96 g\n", ""))
    assert isinstance(cost.per_gram, Missing)
    assert isinstance(cost.each[0][1], Missing)
    assert cost.total == {"EUR": Fraction("3.90"), "CHF": Fraction("2.40")}


def test_batches_in_a_circle_end_the_sum_and_are_named() -> None:
    record = BASE.replace("gly: 100 g, lot G-1", "N-1: 100 g, lot N-1-2026-04-01")
    assert "base" in on_record(**{"batches/N-1-2026-04-01": record}).without
