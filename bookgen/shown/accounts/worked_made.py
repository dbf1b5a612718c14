"""Worked lines on what was made: what was weighed and came out, until when it is good, what is left, what it cost."""

from __future__ import annotations

from datetime import date

from ... import show
from ...reckon import cost, lastdays, made, on_shelf
from . import examples
from .records import Worked
from .working import Words, exactly


def achieved(words: Words) -> Worked:
    lines = made.lines_of(examples.examples(), examples.record())
    wax, went_in = lines[0], " + ".join(words.g(line.weighed) for line in lines)
    return Worked(
        given=f"{words.g(wax.weighed)} for {words.g(wax.planned)} planned, of {went_in} weighed in all,",
        sign="gives",
        result=f"{show.off(exactly(wax.deviation), words.signs)}, {words.percent(wax.share)} of all",
    )


def came_out(words: Words) -> Worked:
    reckoning, record = examples.examples(), examples.record()
    told = made.yielded(reckoning, record, made.lines_of(reckoning, record))
    return Worked(given=f"{words.g(told.out)} ÷ {words.g(told.planned)}", result=words.percent(told.of_plan))


def good_for(words: Words) -> Worked:
    record = examples.record()
    last, why = lastdays.last_days_of(examples.examples())[record.key]
    if record.made is None or not isinstance(last, date):
        raise ValueError("the example's batch has no last day of use")
    return Worked(
        given=f"A batch of {show.day(record.made.on)}, {why.words(words.signs)},",
        sign="gives",
        result=f"up to and including {show.day(last)}",
    )


def left(words: Words) -> Worked:
    account = examples.examples().lots.accounts["wax", "w-1"]
    taking = account.entries[-1]
    return Worked(
        given=f"{words.g(account.amount)} received − {words.g(taking.amount)} taken by {show.day(taking.day)}",
        result=words.g(on_shelf.left_on(account, taking.day)),
    )


def paid(words: Words) -> Worked:
    wax = examples.material("wax")
    lot, grams = wax.lots[0], examples.examples().lots.drawn[examples.record().key][0].grams
    cash = cost.cash_for(lot, wax, grams, None)
    if lot.price is None or lot.amount is None or not isinstance(cash, dict):
        raise ValueError("the example's lot has no price")
    currency = lot.price.currency
    return Worked(
        given=f"{words.g(grams)} × {words.number(lot.price.number)} {currency} ÷ {words.g(lot.amount.value)}",
        result=f"{words.number(cash[currency])} {currency}",
    )
