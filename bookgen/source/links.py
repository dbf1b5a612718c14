"""Links of the body: `amount:`, `time:`, other files of the book, and what is refused."""

from __future__ import annotations

import re
from posixpath import dirname, join, normpath
from sys import intern
from urllib.parse import unquote

from ..findings import Place
from ..fraction import Fraction
from ..model import AmountLink, TimeLink
from ..units import Complaint, Dimension, find_unit, read_number
from ..wording.saying import Saying, says

_AMOUNT = re.compile(r"amount:([^@*\s]*)(?:@([^*\s]*))?(?:\*(\S*))?", re.IGNORECASE)
_PORTION = re.compile(r"([0-9]{1,6})/([0-9]{1,6})")
_TIME = re.compile(r"time:([0-9]+(?:[.,][0-9]+)?)([A-Za-z]+)", re.IGNORECASE)
_SCHEME = re.compile(r"([A-Za-z][A-Za-z0-9+.-]*):")

OUTSIDE = {"http", "https", "mailto"}
"""Schemes of links that lead out of the book and are kept."""


def scheme_of(address: str) -> str:
    """Return the scheme in lower case; empty for a relative address."""
    match = _SCHEME.match(address)
    return match[1].lower() if match else ""


def read_amount_link(address: str, words: str, place: Place, step: int | None) -> AmountLink | Complaint:
    """Return `amount:X`, `amount:X@A`, `amount:@A`, `amount:X*1/2`, `amount:X*rest`, in that step of the method."""
    match = _AMOUNT.fullmatch(unquote(address))
    if match is None:
        return _amount_complaint(says("amount-link-unread", address=address))
    material, phase, portion = match[1], match[2], match[3]
    if not material and not phase:
        return _amount_complaint(says("amount-link-empty"))
    if phase is not None and not re.fullmatch(r"[A-Z]", phase):
        return _amount_complaint(says("link-to-no-phase", phase=phase))
    share: Fraction | None = None
    if portion is not None and portion != "rest":
        found = _PORTION.fullmatch(portion)
        if found is None or not int(found[1]) or not int(found[2]):
            return _amount_complaint(says("no-portion", portion=portion))
        share = Fraction(int(found[1]), int(found[2]))
    return AmountLink(
        material=intern(material),
        phase=phase or "",
        portion=share,
        rest=portion == "rest",
        words=intern(words),  # the very text that the link has among the pieces of its line
        place=place,
        step=step,
    )


def _amount_complaint(told: Saying) -> Complaint:
    return Complaint(says=told, rule="bad-amount-link")


def read_time_link(address: str, words: str, place: Place, comma: bool) -> TimeLink | Complaint:
    """Return `time:5min`: a number glued to s, min, h, days or weeks; `comma` as in the numbers of the book."""
    match = _TIME.fullmatch(address)
    unit = find_unit(match[2]) if match else None
    if match is None or unit is None or unit.dimension is not Dimension.TIME:
        return Complaint(says=says("time-link-unread", address=address), rule="bad-time-link")
    number = read_number(match[1], comma=comma)
    if isinstance(number, Complaint):
        return Complaint(says=number.says, rule="bad-time-link")
    seconds = number.value * unit.factor
    if not seconds or seconds.denominator != 1 or seconds > 100 * 366 * 86400:
        return Complaint(says=says("no-duration", address=address), rule="bad-time-link")
    return TimeLink(seconds=int(seconds), words=intern(words), place=place)


def path_in_book(from_path: str, address: str) -> str | None:
    """Return the file a relative address leads to, or None when it leaves the book.

    >>> path_in_book("formulas/waters/rose.md", "../materials/glycerol.md")
    'formulas/materials/glycerol.md'
    """
    address = unquote(address.partition("#")[0].partition("?")[0])
    if not address or "\\" in address or "\0" in address or address.startswith("/") or _SCHEME.match(address):
        return None
    path = normpath(join(dirname(from_path), address))
    return None if path.startswith(("..", "/")) else path
