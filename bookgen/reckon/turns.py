"""In which order the method weighs the lines of a formula, and what it weighs into one vessel.

Enters: the amount links of a body, which lines each one means, the lines.  Leaves: a turn for each weighing; no batch
changes it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..model import AmountLink
from ..swift import swift
from .amounts import LineFigure
from .known import ONE, ZERO


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One weighing."""

    row: int
    """Number of the line."""
    link: int | None
    """Number of the amount link that asks for it; None for a line that the method does not name."""
    portion: bool
    """True where the portion of the link is weighed, False for the whole of the line."""
    vessel: int
    """Turns of the same number weigh into one vessel, one after the other."""


def turns_of(
    links: Sequence[AmountLink], meant: Sequence[tuple[int, ...]], lines: Sequence[LineFigure]
) -> tuple[Turn, ...]:
    """Return the weighings of a formula in the order in which its method takes them.

    A line stands at the first link of the method that names it alone, else at the first that names it with others: a
    whole phase, a material of several phases.  Where the method takes a line in portions that make up the whole, each
    stands at its own link.  Lines that the method does not name come first, in the order of the table.

    What one step takes of one phase without a break goes into one vessel.  An amount that is only usual has one of its
    own.  `meant` has the numbers of the lines that each link means.

    Source: common practice, no source.
    """
    alone_at: dict[int, list[int]] = {}  # number of a line → the links that name it alone
    first_at: dict[int, int] = {}  # … → the first link that names it
    for at, its in enumerate(meant):
        if links[at].step is None:
            continue
        if len(its) == 1:
            alone_at.setdefault(its[0], []).append(at)
        for index in its:
            first_at.setdefault(index, at)
    taken: list[tuple[int | None, int, bool]] = []
    for line in lines:
        alone = alone_at.get(line.index, [])
        portions = [number for number in alone if links[number].rest or links[number].portion is not None]
        if portions and portions[0] == alone[0] and _complete([links[number] for number in portions]):
            taken += [(number, line.index, True) for number in portions]
        else:
            taken.append((alone[0] if alone else first_at.get(line.index), line.index, False))
    taken.sort(key=lambda found: (-1 if found[0] is None else found[0], found[1]))
    found: list[Turn] = []
    vessel, held = -1, None
    for number, row, portion in taken:
        into = None if number is None else links[number].step, lines[row].phase, lines[row].is_about
        if into != held or lines[row].is_about:
            vessel, held = vessel + 1, into
        found.append(Turn(row=row, link=number, portion=portion, vessel=vessel))
    return tuple(found)


def _complete(portions: Sequence[AmountLink]) -> bool:
    """Tell whether portions make up the whole: one takes the rest, or they add up to it."""
    return any(link.rest for link in portions) or sum((link.portion or ZERO for link in portions), ZERO) == ONE
