"""What a batch costs, as text."""

from __future__ import annotations

from .. import show
from ..findings import Missing
from ..model import Workroom
from ..reckon.cost import Cash, Cost, CostLine
from ..shown.cost import cash_phrase, cost_facts, no_price_words
from ..shown.plain import in_one_line
from ..shown.shelf import LAW_SHORT
from .columns import WIDEST, side_by_side, wrapped


def cost_text(cost: Cost, heading: str, workroom: Workroom, width: int = WIDEST) -> str:
    """Return what each ingredient costs, the sum, what has no price, and what a gram and a container cost."""
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
    """Return the sums, and what has no price."""
    lines = []
    for fact in cost_facts(cost, signs):
        lines += wrapped(f"  {fact.term}: {in_one_line(fact.text)}", 6, width)
    missing = no_price_words(cost)
    return [*lines, *(wrapped(f"  {missing}", 4, width) if missing else [])]


def cash_text(cash: Cash, signs: show.Signs, *, least: bool = False) -> str:
    """Return money, each currency by itself: `at least 1.70 EUR and 2.40 CHF`."""
    return in_one_line(cash_phrase("", cash, signs, least=least))
