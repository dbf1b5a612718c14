"""What follows an amount and does not belong to it: said as exactly as can be said, with what to write instead."""

from __future__ import annotations

import re

from ..units import Complaint, Dimension, Measured, read_measured
from ..wording.saying import Saying, says

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

_MAY_FOLLOW = {
    Dimension.PERCENT: says("may-follow-percent"),
    Dimension.MASS: says("may-follow-weight"),
    Dimension.DROPS: says("may-follow-drops"),
}


def left_over(found: Measured, rest: str | None = None) -> Complaint:
    """Complain about text behind an amount."""
    rest = found.rest if rest is None else rest
    told = says("behind-amount", text=rest, said=found.said, why=_advice(found, rest))
    return Complaint(says=told, at=found.at_rest + max(len(found.rest) - len(rest), 0), rule="unreadable-amount")


def _advice(found: Measured, rest: str) -> Saying:
    """Return what is wrong with the text, and what to write instead."""
    said = found.said
    if _UNSEEN.search(rest):
        return says("invisible-behind")
    if _RANGE.match(rest):
        return says("makes-range")
    if _PER.match(rest):
        return says("makes-strength")
    total = found.unit.dimension in {Dimension.MASS, Dimension.VOLUME}
    if _TO.match(rest):
        return says("total-behind" if total else "amount-alone", said=said)
    if _ENOUGH.match(rest):
        return says("enough-behind-total" if total else "enough-behind", said=said)
    if _VAGUE.match(rest):
        return says("left-open", said=said)
    if _OF_EACH.match(rest):
        return says("of-each-behind")
    if _is_amount(rest.lstrip("+ &")) or rest[:1] in {"+", "&"}:
        return says("second-behind")
    mark = _MARK.match(rest)
    if mark:
        return says("function-behind", said=said, function=rest[mark.end() :])
    dropper = _FROM.fullmatch(rest) if found.unit.dimension is Dimension.DROPS else None
    if dropper and dropper[1] != "of":
        return says("dropper-behind", said=said, dropper=dropper[1].strip())
    words = rest if re.fullmatch(r"(?!of\b)[^\W\d_][\w -]{2,29}", rest) else "base"
    return says("behind-function", may=_MAY_FOLLOW.get(found.unit.dimension), said=said, function=words)


def _is_amount(text: str) -> bool:
    """Tell whether a text begins with an amount, in whichever book."""
    return any(not isinstance(read_measured(text, comma=comma), Complaint) for comma in (False, True))


_AS = re.compile(r"as (\S.*)", re.IGNORECASE | re.DOTALL)
_BASIS = re.compile(r"\(?([wmv] ?/ ?[wmv])\)?", re.IGNORECASE)


def astray(written: str, function: str) -> Saying | None:
    """Return what is wrong with a function that belongs to the amount; None when nothing is.

    `5 %, as lactic acid` is another amount than `5 % as lactic acid`: nobody may guess which was meant.
    """
    if _AS.fullmatch(function):
        return says("amount-goes-on", text=function.partition(",")[0], amount=written)
    basis = _BASIS.match(function)
    if basis and (basis.end() == len(function) or function[basis.end()] in " ,"):
        return says("amount-goes-on", text=basis[1], amount=written)
    return None
