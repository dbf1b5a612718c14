"""What a batch cost, in words: the sums, each currency by itself, and what has no price."""

from __future__ import annotations

from collections.abc import Iterator

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import word
from ..model import Quantity
from ..reckon.cost import Cash, Cost
from .phrases import Figure, Phrase, joined, phrase
from .plain import in_one_line
from .records import Fact

CENT = 2
"""Decimals of a price that is a tenth of its currency or more; below that three figures are shown."""


def cost_facts(cost: Cost, signs: show.Signs) -> Iterator[Fact]:
    """Yield what a batch, a gram and each container cost; a sum in which something has no price is a least one."""
    least = bool(cost.without) or cost.containers_without
    yield _fact(word("In all"), "cost.total", cost.total, signs, least=least)
    yield _fact(word("Per gram, containers aside"), "cost.gram", cost.per_gram, signs, least=bool(cost.without))
    for number, (content, each) in enumerate(cost.each):
        term = word("A container of {content}", content=_content(content, signs))
        yield _fact(term, f"cost.each-{number}", each, signs, least=least)


def hundred_grams(cost: Cost | Missing, signs: show.Signs) -> str:
    """Return what 100 g cost, `at least 1.70 EUR` where something has no price; empty where nothing has one."""
    each = cost if isinstance(cost, Missing) else cost.per_gram
    if isinstance(cost, Missing) or isinstance(each, Missing) or not each:
        return ""
    hundred = {currency: much * 100 for currency, much in each.items()}
    return in_one_line(cash_phrase("", hundred, signs, least=bool(cost.without)))


def no_price_words(cost: Cost) -> str:
    """Return what has no price, in a sentence; empty where all has one."""
    missing = [*cost.without, *([word("the containers")] if cost.containers_without else [])]
    return word("No price is known for {names}.", names=show.listing(missing)) if missing else ""


def cash_phrase(name: str, cash: Cash, signs: show.Signs, *, least: bool = False) -> Phrase:
    """Return money, each currency by itself: `at least 1.70 EUR and 2.40 CHF`; a least sum is rounded down."""
    if not cash:
        return Phrase((word("not known") if least else word("nothing"),))
    sums = [
        Figure(text=_digits(much, signs, least=least), value=show.exact(much), name=f"{name}-{number}", unit=currency)
        for number, (currency, much) in enumerate(cash.items())
    ]
    *others, last = sums
    told = phrase("{others} and {last}", others=joined(", ", others), last=last) if others else Phrase((last,))
    return phrase("at least {sums}", sums=told) if least else told


def _fact(term: str, name: str, cash: Cash | Missing, signs: show.Signs, *, least: bool) -> Fact:
    if isinstance(cash, Missing):
        return Fact(term=term, text=word("not known: {why}", why=cash.says.words(signs)))
    return Fact(term=term, text=cash_phrase(name, cash, signs, least=least))


def _content(content: Quantity, signs: show.Signs) -> str:
    return show.with_unit(show.plain(content.value, signs), content.unit)


def _digits(much: Fraction, signs: show.Signs, *, least: bool) -> str:
    side = show.DOWN if least else show.NEAREST
    if much >= Fraction(1, 10):
        return show.fixed(much, CENT, signs, side)
    return show.significant(much, show.Fine.COMPUTED, signs, side)
