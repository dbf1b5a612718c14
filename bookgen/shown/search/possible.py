"""The page that says what can be made of what is at hand.

What a formula takes comes from the reckoned lines: a line of diluted ethanol takes its ethanol and its water, and a
processing aid has to be there like any other material.  Intermediates stand as themselves; whether one is at hand or
has to be made of its own materials is for the page to ask.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...language import noted, word
from ...model import Status
from ..matter.order import by_letter
from ..shelf import Shelf, at_root
from .records import PossibleShown, SupplyGroup, Taking

PAGE = "possible.html"
MADE_HERE = noted("Intermediates")
"""Heading of the supplies that are formulas."""


def possible_shown(shelf: Shelf) -> PossibleShown:
    """Return the page: barred and withdrawn formulas are left out, materials that nothing takes too."""
    root = at_root(shelf)
    book = root.book
    withdrawn = [key for key, formula in book.formulas.items() if formula.status is Status.WITHDRAWN]
    barred = [key for key in book.formulas if key in root.review.barred and key not in withdrawn]
    made = root.by_code(key for key in book.formulas if key not in withdrawn and key not in barred)
    takes = {key: taken_by(key, root) for key in made}
    taken = {used for found in takes.values() for used in found}
    return PossibleShown(
        frame=root.frame(),
        groups=_groups([key for key in root.materials if key in taken], [key for key in made if key in taken], root),
        formulas=tuple(
            Taking(
                link=root.link(key),
                takes=tuple(root.link(take) for take in takes[key]),
            )
            for key in made
        ),
        left_out=_left_out(len(withdrawn), len(barred)),
    )


def taken_by(key: str, shelf: Shelf) -> tuple[str, ...]:
    """Return the keys of what is weighed for a formula, each once, in the order of its lines."""
    lines = shelf.reckoning.figures[key].amounts.lines
    return tuple(dict.fromkeys(taken for line in lines for taken, share in line.takes if taken and share))


def _groups(materials: Sequence[str], intermediates: Sequence[str], root: Shelf) -> tuple[SupplyGroup, ...]:
    """Return the materials by the first letter of their name, then the intermediates by code."""
    groups = [
        SupplyGroup(letter=part.title, supplies=tuple(root.link(key) for key in part.entries))
        for part in by_letter(materials, root.name)
    ]
    if intermediates:
        groups.append(SupplyGroup(letter=word(MADE_HERE), supplies=tuple(root.link(key) for key in intermediates)))
    return tuple(groups)


def _left_out(withdrawn: int, barred: int) -> str:
    """Return the sentence on what is left out.

    >>> _left_out(1, 2)
    '1 withdrawn and 2 barred formulas are left out.'
    >>> _left_out(0, 1)
    '1 barred formula is left out.'
    """
    if withdrawn and barred:
        both = noted("{withdrawn} withdrawn and {barred} barred formulas are left out.")
        return word(both, withdrawn=withdrawn, barred=barred)
    if withdrawn:
        alone = noted("{count} withdrawn formula is left out."), noted("{count} withdrawn formulas are left out.")
    else:
        alone = noted("{count} barred formula is left out."), noted("{count} barred formulas are left out.")
    count = withdrawn + barred
    return word(alone[count != 1], count=count) if count else ""
