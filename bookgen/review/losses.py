"""Losses: evaporation (an impossible yield is refused in reading).

Enters: a formula's lines and flow.  Leaves: findings on losses that cannot be.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..fraction import Fraction
from ..wording.saying import says
from .rule import Case, Said, known

LEAST_YIELD = Fraction(1, 20)
"""Below it next to everything would be lost (own choice, no source): even a distillate gives more of what goes in."""


def tiny_yield(case: Case) -> Iterator[Said]:
    """A yield is 5 % or more; query, as a figure is probably mistyped.

    Source: own choice, no source.
    """
    stated = case.formula.yield_
    if stated is not None and stated.share < LEAST_YIELD:
        yield Said(
            place=case.place_of("yield"),
            says=says("tiny-yield", share=stated.text, times=1 / stated.share),
        )


def fill_evaporates(case: Case) -> Iterator[Said]:
    """A fill that evaporates is made up again, otherwise the total is not what it is made up to; error.

    Source: common practice, no source.
    """
    for figure in case.fills:
        if figure.line.evaporates and not figure.line.made_up:
            yield Said(
                place=figure.line.place,
                says=says("fill-evaporates", name=figure.line.material),
            )


def evaporates_beyond_line(case: Case) -> Iterator[Said]:
    """No more of an ingredient can evaporate than is taken; error.

    Source: conservation of mass, no source needed.
    """
    for figure in case.lines:
        loss = figure.line.evaporates
        if loss is None:
            continue
        taken = known(figure.weighed)
        in_grams = loss.grams is not None and taken is not None and loss.grams > taken
        if in_grams or (loss.share is not None and loss.share > 1):
            if taken is None:
                told = says("evaporates-beyond-all", lost=loss.text, name=figure.name)
            else:
                told = says("evaporates-beyond-line", lost=loss.text, taken=taken, name=figure.name)
            yield Said(place=figure.line.place, says=told)


def added_without_evaporates(case: Case) -> Iterator[Said]:
    """`added: yes` weighs in more because something evaporates, so it needs `evaporates:`; error.

    Source: common practice, no source.
    """
    for figure in case.lines:
        if figure.line.added and figure.line.evaporates is None:
            yield Said(
                place=figure.line.place,
                says=says("added-without-evaporates", name=figure.line.material),
            )


def added_and_made_up(case: Case) -> Iterator[Said]:
    """A loss is either weighed in beforehand (`added`) or replaced afterwards (`made up`); error when both are written.

    Source: common practice, no source.
    """
    for figure in case.lines:
        if figure.line.added and figure.line.made_up:
            yield Said(
                place=figure.line.place,
                says=says("added-and-made-up", name=figure.line.material),
            )


def nothing_remains(case: Case) -> Iterator[Said]:
    """Something must remain when the evaporation is over; error.

    Source: conservation of mass, no source needed.
    """
    lost = known(case.figures.flow.evaporated)
    if lost is not None and lost >= 1:
        yield Said(
            place=case.place_of("ingredients"),
            says=says("nothing-remains"),
        )
