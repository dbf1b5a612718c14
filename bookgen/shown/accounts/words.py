"""The words of a book, each in a sentence: what a reader meets on its pages and may not call so.

The trade's own terms; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..phrases import coded
from .records import WordShown

_MEANS: Mapping[str, str] = {
    "Issue": "A numbered, dated state of a formula. The number goes up when the formula changes.",
    "Draft, trial, withdrawn, barred": "A draft is not yet made; a trial is made, but not yet approved; what "
    "is withdrawn is no longer made; what is barred has an error, and no weights are printed.",
    "Phase": "Ingredients prepared together before they are combined: A, B, C and so on.",
    "Intermediate": "A formula that is an ingredient of another one. It is made first.",
    "Processing aid": "An ingredient that takes part in the making and is taken out again, such as flowers that "
    "are strained off.",
    "Makes": "What the written amounts make up, without processing aids. Every percentage of a formula is of this.",
    "Fill": "The ingredient that makes up the rest: `to 100 g`, or q.s.",
    "To obtain": "What has to come out of a batch.",
    "Weigh in all": "What goes in for that: more than comes out, where something is lost on the way.",
    "Yield": "What comes out, as a share of what goes in. What is lost has the same composition as what is left.",
    "Printed total": "The sum of the weights as they are printed, in whole steps of the balance: what the "
    "scales should show.",
    "Strength": "How much of the active substance there is, as in `0.4 % as lactic acid`: pure acid, not raw material.",
    "Drop mass": "What one drop of one liquid weighs, from one dropper. It always has a range.",
    "Least weighable quantity": "The least that a balance weighs within the error that is accepted: its "
    "smallest step ÷ that error.",
    "Stock, trituration, aliquot": "A stock is the material thinned, so that enough of it can be weighed; a "
    "stock of powders rubbed together is a trituration. The aliquot is what is weighed of it. 1\u00a0in\u00a020 is "
    "one part in twenty parts of the whole.",
    "Free water": "Water in which something can grow: not what is bound in crystals, in a powder or in a solid.",
    "Use by": "The last day of use. It counts from the day of making, by the shortest of the periods that hold: "
    "the formula's own, the one of a published rule, those of its intermediates.",
    "Error, query, note": "What the check finds. An error bars a formula; a query is what a pharmacist would "
    "ask before making it; a note is worth knowing.",
    "Sheet, check code": "A sheet is a piece of paper of the binder. Its check code, at the foot, changes with "
    "anything printed above it, so two sheets of one code say the same.",
}
"""Word → what it means."""


def anchor_of(term: str) -> str:
    """Return the name of a word in an address.

    >>> anchor_of("Weigh in all")
    'word-weigh-in-all'
    """
    return "word-" + "-".join(term.lower().replace(",", "").split())


def words_shown() -> tuple[WordShown, ...]:
    """Return the words in the order in which a formula's page has them."""
    return tuple(WordShown(term=term, anchor=anchor_of(term), means=coded(means)) for term, means in _MEANS.items())
