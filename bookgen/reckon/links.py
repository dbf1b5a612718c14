"""Amount links of a method: which lines each one sums, and what it prints at one batch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import AmountLink, Book, Known
from ..swift import swift
from ..wording.saying import says
from .amounts import LineFigure
from .batchline import BatchLine
from .known import ONE, ZERO, add, less, times
from .measure import half_up


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class LinkAmount:
    """What an amount link of the method prints at this batch."""

    link: AmountLink
    """The link."""
    rows: tuple[int, ...]
    """Lines that it sums; empty when it leads to nothing."""
    grams: Known
    """Metered grams of all, or of the portion."""
    step: Fraction | None
    """Coarsest step among them, for the digits shown; None when not metered."""
    drops: int | None
    """Whole drops, when it is one counted line."""
    ml: Known | None
    """Millilitres, when it is one line measured by volume."""
    only: BatchLine | None
    """The line, when it is one."""

    @property
    def entire(self) -> BatchLine | None:
        """The line, when it is the whole of one."""
        return None if self.link.portion is not None or self.link.rest else self.only

    @property
    def drops_told(self) -> int | None:
        """Whole drops that are told: counted, or beside the weight of a whole line."""
        return self.drops if self.drops is not None or self.entire is None else self.entire.drops_told


def linked_name(name: str) -> str:
    """Return how a link calls what a line calls so: an address has no spaces.

    >>> linked_name("rose water")
    'rose-water'
    """
    return "-".join(name.split())


def rows_of(link: AmountLink, lines: Sequence[LineFigure], book: Book) -> tuple[int, ...]:
    """Return the numbers of the lines that a link means: one material, in one phase or in all, or a whole phase.

    An ingredient without a file is called as its line is, with a hyphen for each space (`linked_name`).
    """
    return rows_of_each((link,), lines, book)[0]


def rows_of_each(links: Sequence[AmountLink], lines: Sequence[LineFigure], book: Book) -> tuple[tuple[int, ...], ...]:
    """Return the numbers of the lines that each link means."""
    by_key: dict[str, list[LineFigure]] = {}
    for line in lines if links else ():
        by_key.setdefault(line.key, []).append(line)
    found = []
    for link in links:
        among: Sequence[LineFigure] = lines if link.phase else ()
        if link.material and (key := book.key_of(link.material)):
            among = by_key.get(key, ())
        elif link.material:
            name = linked_name(link.material).casefold()
            among = [line for line in lines if linked_name(line.line.material).casefold() == name]
        found.append(tuple(line.index for line in among if not link.phase or line.phase == link.phase))
    return tuple(found)


def takes_rest(number: int, links: Sequence[AmountLink], rows: Sequence[tuple[int, ...]]) -> bool:
    """Tell whether a portion takes what earlier portions left: `*rest`, or the one that completes the whole."""
    link = links[number]
    if link.rest or link.portion is None:
        return link.rest
    same = [other for other, its in enumerate(rows) if its == rows[number] and links[other].portion is not None]
    return same[-1] == number and sum((links[place].portion or ZERO for place in same), ZERO) == ONE


def link_amounts(links: Sequence[AmountLink], lines: Sequence[BatchLine], book: Book) -> tuple[LinkAmount, ...]:
    """Return the amounts that the text of a method prints at one batch.

    An amount in the text is the printed weight of its line, the sum of the printed weights where the material stands in
    several phases, or a portion of it in whole steps of the same balance.  Portions that complete the whole add up to
    it, as the last takes what the others left.  What is less than the balance shows stands there exactly.

    Source: own arithmetic.
    """
    rows = rows_of_each(links, [line.figure for line in lines], book)
    found: list[LinkAmount] = []
    for number, link in enumerate(links):
        chosen = [lines[row] for row in rows[number]]
        only = chosen[0] if len(chosen) == 1 else None
        if only is not None:
            whole, step, drops = _printed(only), None if only.is_unshown else only.step, only.drops
            ml = only.ml if isinstance(whole, Missing) else None
        else:
            whole = add(map(_printed, chosen)) if chosen else Missing(says=says("no-ingredient-linked"), reported=True)
            steps = [None if line.is_unshown else line.step for line in chosen]
            step = max((step for step in steps if step is not None), default=None) if None not in steps else None
            drops = ml = None
        if link.portion is not None or link.rest:
            earlier = [
                amount
                for amount, its in zip(found, rows[:number], strict=True)
                if its == rows[number] and (amount.link.portion is not None or amount.link.rest)
            ]
            left = less(whole, add(amount.grams for amount in earlier))
            if takes_rest(number, links, rows):
                whole = left
                drops = None if drops is None else drops - sum(amount.drops or 0 for amount in earlier)
                ml = None if ml is None else less(ml, add(amount.ml for amount in earlier if amount.ml is not None))
            else:
                portion = link.portion or ZERO
                if drops is not None and only is not None and only.drops:
                    count = min(
                        int(half_up(portion * drops, ONE)), drops - sum(amount.drops or 0 for amount in earlier)
                    )
                    whole = times(whole, Fraction(count, only.drops))
                    drops = count
                else:
                    whole = _portion(whole, portion, step, left)
                ml = None if ml is None else times(ml, portion)
        found.append(
            LinkAmount(
                link=link,
                rows=rows[number],
                grams=whole,
                step=step,
                drops=drops,
                ml=ml,
                only=only,
            )
        )
    return tuple(found)


def _printed(line: BatchLine) -> Known:
    return line.grams if line.is_unshown else line.printed


def _portion(whole: Known, portion: Fraction, step: Fraction | None, left: Known) -> Known:
    """Return a portion in whole steps, and never more than earlier portions left: many small ones round up."""
    part = times(whole, portion)
    if step is None or isinstance(part, Missing) or isinstance(left, Missing):
        return part
    return min(half_up(part, step), left)
