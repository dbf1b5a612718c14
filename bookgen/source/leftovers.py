"""What follows an amount and does not belong to it: said as exactly as can be said, with what to write instead."""

from __future__ import annotations

import re

from ..units import Complaint, Dimension, Measured, read_measured

_PER = re.compile(r"(?:/|per\b|pro\b|in\b) ?[0-9A-Za-z]", re.IGNORECASE)
_TO = re.compile(r"(?:to|ad|up to|make up to)$", re.IGNORECASE)
_ENOUGH = re.compile(r"q\. ?s\.?|qs\b", re.IGNORECASE)
_RANGE = re.compile(r"(?:-|–|—|to|or|bis|ou) ?[0-9]", re.IGNORECASE)
_VAGUE = re.compile(
    r"\(?(?:approx|about|ca\b|circa|roughly|max|min\b|at most|at least|or (?:so|more|less)|\+ ?/ ?-|±)", re.IGNORECASE
)
_OF_EACH = re.compile(r"(?:aa|āā|ana)\b", re.IGNORECASE)
_MARK = re.compile(r"[;:–—-] ?(?=[^\W\d_])")
_FROM = re.compile(r"(?:from|with|by|in)? ?(?:the |a )?([^\W\d_][^(),;=]*)", re.IGNORECASE)
_UNSEEN = re.compile("[\u00ad\u200b-\u200f\u2060\u2066-\u2069]")

_ABOVE_ALL = {
    Dimension.PERCENT: "a basis w/w, w/v or v/v or a substance, `as lactic acid`, may follow",
    Dimension.MASS: "a substance may follow, `as lactic acid`",
    Dimension.DROPS: "the dropper, `of pipette`, or the weight, `(0.05 g)`, may follow",
}


def left_over(found: Measured, rest: str | None = None) -> Complaint:
    """Complain about text behind an amount."""
    rest = found.rest if rest is None else rest
    shown = rest if len(rest) <= 40 else rest[:40] + "…"
    message = f"`{shown}` after {found.said} {_advice(found, rest)}"
    return Complaint(says=message, at=found.at_rest + max(len(found.rest) - len(rest), 0), rule="unreadable-amount")


def _advice(found: Measured, rest: str) -> str:
    what = found.said
    if _UNSEEN.search(rest):
        return "holds an invisible character: delete it."
    if _RANGE.match(rest):
        return "makes it a range: write one amount."
    if _PER.match(rest):
        return "makes it a strength: write it in % (5 g in 100 g is 5 %, 5 g in 100 mL is 5 % w/v)."
    total = found.unit.dimension in {Dimension.MASS, Dimension.VOLUME}
    if _TO.match(rest):
        return f"stands on the wrong side: write `to {what}`." if total else f"is not understood: write {what} alone."
    if _ENOUGH.match(rest):
        return f"says something else: write {f'`q.s.`, `to {what}` or ' if total else ''}{what} alone."
    if _VAGUE.match(rest):
        return f"leaves the amount open: write {what} alone (`about` belongs to `makes` and to q.s. to …)."
    if _OF_EACH.match(rest):
        return "(of each) is not read: write the amount for each ingredient."
    if not isinstance(read_measured(rest.lstrip("+ &")), Complaint) or rest[:1] in {"+", "&"}:
        return "is a second amount: write one, the sum."
    mark = _MARK.match(rest)
    if mark:
        return f"is not read: a function follows a comma, `{what}, {rest[mark.end() :][:30]}`."
    dropper = _FROM.fullmatch(rest) if found.unit.dimension is Dimension.DROPS else None
    if dropper and dropper[1] != "of":
        return f"is not understood: write the dropper as in `{what} of {dropper[1].strip()[:30]}`."
    may = _ABOVE_ALL.get(found.unit.dimension, "")
    words = rest if re.fullmatch(r"(?!of\b)[^\W\d_][\w -]{2,29}", rest) else "base"
    function = f"a function follows a comma, `{what}, {words}`"
    return f"is not understood: {f'{may}; ' if may else ''}{function}."


_AS = re.compile(r"as (\S.*)", re.IGNORECASE | re.DOTALL)
_BASIS = re.compile(r"\(?([wmv] ?/ ?[wmv])\)?", re.IGNORECASE)


def astray(written: str, function: str) -> str:
    """Return what is wrong with a function that belongs to the amount, as a sentence; empty when nothing is.

    `5 %, as lactic acid` is another amount than `5 % as lactic acid`: nobody may guess which was meant.
    """
    if _AS.fullmatch(function):
        shown = function.partition(",")[0][:40]
        return f"`{shown}` after the comma would be a function: write `{written} {shown}` without the comma."
    basis = _BASIS.match(function)
    if basis and (basis.end() == len(function) or function[basis.end()] in " ,"):
        return f"`{basis[1]}` after the comma would be a function: write `{written} {basis[1]}` without the comma."
    return ""
