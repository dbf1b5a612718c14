"""What a batch costs, as text."""

from __future__ import annotations

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..model import Quantity, Workroom
from ..reckon.cost import Cash, Cost, CostLine
from ..shown.shelf import LAW_SHORT
from .columns import WIDEST, side_by_side, wrapped

CENT = 2
"""Decimals of a price that is a tenth of its currency or more; below that three figures are shown."""


def cost_text(cost: Cost, heading: str, workroom: Workroom, width: int = WIDEST) -> str:
    """Return what each ingredient costs, the sum, what has no price, and what a gram and a container cost.

    Where something has no price a sum is told as a least one and is rounded down.
    """
    signs = show.signs_of(workroom)
    rows = [_row(line, signs) for line in cost.lines]
    if cost.containers:
        each = "no price" if cost.container is None else cash_text({cost.container.currency: cost.container.number
                                                               * cost.containers}, signs)  # fmt: skip
        rows.append((show.counted(cost.containers, "container"), "", "", each))
    parts = [
        [heading, *side_by_side(rows, (0, 1))],
        _sums(cost, signs, width),
        wrapped(LAW_SHORT, 0, width),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts) + "\n"


def _row(line: CostLine, signs: show.Signs) -> tuple[str, ...]:
    grams = "not known" if isinstance(line.grams, Missing) else show.weight(line.grams, None, signs)
    if isinstance(line.cash, Missing):
        return line.name, line.lot, grams, "not known" if line.lot else "no price"
    least = bool(line.without)
    return line.name, line.lot, grams, cash_text(line.cash, signs, least=least)


def _sums(cost: Cost, signs: show.Signs, width: int) -> list[str]:
    """Return the sums, each as a least one where something has no price."""
    least = bool(cost.without) or cost.containers_without
    lines = [_sum("In all", cost.total, signs, least=least)]
    if isinstance(cost.per_gram, Missing):
        lines += wrapped(f"  Per gram: not known: {cost.per_gram.says.words(signs)}", 6, width)
    else:
        lines.append(_sum("Per gram, containers aside", cost.per_gram, signs, least=bool(cost.without)))
    for content, each in cost.each:
        if isinstance(each, Missing):
            lines += wrapped(f"  {_container(content, signs)}: not known: {each.says.words(signs)}", 6, width)
        else:
            lines.append(_sum(_container(content, signs), each, signs, least=least))
    missing = [*cost.without, *(["the containers"] if cost.containers_without else [])]
    if missing:
        lines += wrapped(f"  No price is known of {show.listing(missing)}.", 4, width)
    return lines


def _container(content: Quantity, signs: show.Signs) -> str:
    return f"A container of {show.with_unit(show.plain(content.value, signs), content.unit)}"


def _sum(term: str, cash: Cash, signs: show.Signs, *, least: bool) -> str:
    return f"  {term}: {cash_text(cash, signs, least=least)}"


def cash_text(cash: Cash, signs: show.Signs, *, least: bool = False) -> str:
    """Return money, each currency by itself: `at least 1.70 EUR and 2.40 CHF`."""
    if not cash:
        return "not known" if least else "nothing"
    words = show.listing([f"{_money(much, signs, least=least)} {currency}" for currency, much in cash.items()])
    return f"at least {words}" if least else words


def _money(much: Fraction, signs: show.Signs, *, least: bool) -> str:
    side = show.DOWN if least else show.NEAREST
    if much >= Fraction(1, 10):
        return show.fixed(much, CENT, signs, side)
    return show.significant(much, show.Fine.COMPUTED, signs, side)
