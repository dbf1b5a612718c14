"""The pH: a figure or a range of a formula, and the one that `q.s. to pH 4.8` is to reach."""

from __future__ import annotations

import re

from ..model import AcidityRange, Number
from ..units import Complaint, in_sign, read_number

_RANGE = re.compile(r"(.*?[0-9])\s*(?:to|-|–|—)\s*([0-9].*)")
_PH = re.compile(r"(?:an? |the )?pH(?![A-Za-z])\s*(?:of\b|=|:)?\s*", re.IGNORECASE)
_TAIL = re.compile(r"\s+(?!to\b)(?=[^\W\d_])", re.IGNORECASE)
_ABOUT = re.compile(r"(?:about|ca\.?|circa|approx\.?)\s", re.IGNORECASE)


def read_acidity(text: str, comma: bool) -> AcidityRange | Complaint:
    """Return a pH or a range of pH, from 0 to 14; runs of spaces are single ones already."""
    match = _RANGE.fullmatch(text)
    ends: list[Number] = []
    for part, start in ((match[1], 0), (match[2], match.start(2))) if match else ((text, 0),):
        number = read_number(part, comma=comma, at=start)
        if isinstance(number, Complaint):
            return number
        if number.value > 14:
            message = f"pH {number.text} does not exist: pH is 0 to 14."
            return Complaint(says=message, at=start, rule="impossible-value")
        ends.append(Number(value=number.value, text=number.text))
    if ends[0].value > ends[-1].value:
        message = f"The range ends below its beginning: write {ends[1].text} to {ends[0].text}."
        return Complaint(says=message, rule="impossible-value")
    return AcidityRange(low=ends[0], high=ends[-1])


def adjusting(comma: bool) -> str:
    """Return how an amount that is added until a pH is reached is written, as it is quoted."""
    return in_sign("`q.s. to pH 4.8 (about 1.6 g)`", comma)


def result_complaint(result: str, comma: bool) -> Complaint | None:
    """Return what is wrong with a result to be reached when it is a pH: it needs a figure from 0 to 14."""
    ph = _PH.match(result)
    if ph is None:
        return None
    rest = result[ph.end() :]
    head, *tail = _TAIL.split(rest, maxsplit=1)
    if not head[:1].isdigit() and not any(sign.isdigit() for sign in head):
        message = f"`{result[:40]}` has no figure: write it as in {adjusting(comma)}."
        return Complaint(says=message, at=ph.end(), rule="unreadable-amount")
    if tail and _ABOUT.match(f"{tail[0]} "):
        message = f"`{tail[0][:30]}` belongs in brackets: write it as in {adjusting(comma)}."
        return Complaint(says=message, at=len(result) - len(tail[0]), rule="unreadable-amount")
    read = read_acidity(head, comma)
    if isinstance(read, AcidityRange):
        return None
    return Complaint(says=read.says, at=ph.end() + read.at, rule=read.rule)
