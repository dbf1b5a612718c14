"""One dose of the finished product, as it is written.

Text in, a record of `model.py` or a `Complaint` out.
"""

from __future__ import annotations

from ..model import Dose, Drops, Mass, Volume
from ..units import Complaint
from ..wording.saying import says
from .amounts import read_amount, tidy
from .pieces import read_count

EXAMPLE = ("5 mL", "1 g", "20 drops (0.52 g)", "2 capsules")
"""Doses as they may be written, for advice."""


def read_dose(text: str, comma: bool) -> Dose | Complaint:
    """Return `5 mL`, `1 g`, `20 drops (0.52 g)`, `2 capsules`; how often or for whom is not read.

    >>> read_dose("20 drops (0.52 g)", False).grams
    Fraction(13, 25)
    """
    text = tidy(text)
    pieces = read_count(text, comma)
    if isinstance(pieces, Complaint):
        return pieces
    if pieces is not None:
        return Dose(pieces=int(pieces.quantity.value), form=pieces.form, text=pieces.quantity.text)
    amount = read_amount(text, comma)
    match amount:
        case Complaint():
            if amount.rule == "unreadable-amount" or amount.is_said("unknown-unit"):
                return Complaint(says=says("no-dose", text=text, wanted=EXAMPLE), rule="unreadable-value")
            return amount
        case Mass(grams=grams, each=False, substance=None, alcohol=None):
            return Dose(grams=grams, text=amount.text)
        case Volume(ml=ml, alcohol=None):
            return Dose(ml=ml, text=amount.text)
        case Drops(count=count, grams=weight):
            return Dose(drops=int(count), grams=weight, text=amount.text)
    return Complaint(says=says("no-dose", text=text, wanted=EXAMPLE), rule="unreadable-value")
