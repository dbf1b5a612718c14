"""The pH: a figure or a range of a formula, and the one that `q.s. to pH 4.8` is to reach; the pKa of an acid."""

from __future__ import annotations

import re

from ..model import AcidityRange, Number
from ..units import Complaint, read_number
from ..wording.saying import says

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
            return Complaint(says=says("no-such-ph", number=number.text), at=start, rule="impossible-value")
        ends.append(Number(value=number.value, text=number.text))
    if ends[0].value > ends[-1].value:
        told = says("range-backwards", low=ends[1].text, high=ends[0].text)
        return Complaint(says=told, rule="impossible-value")
    return AcidityRange(low=ends[0], high=ends[-1])


def read_pka(text: str, comma: bool, before: Number | None) -> Number | Complaint:
    """Return one pKa of a weak acid, from 0 to 14; each stands above the one `before` it."""
    number = read_number(text.strip(), comma=comma)
    if isinstance(number, Complaint):
        return number
    if number.value > 14:
        return Complaint(says=says("no-such-pka", number=number.text), rule="impossible-value")
    if before is not None and number.value <= before.value:
        return Complaint(says=says("pka-backwards", number=number.text, before=before.text), rule="impossible-value")
    return Number(value=number.value, text=number.text)


def result_complaint(result: str, comma: bool) -> Complaint | None:
    """Return what is wrong with a result to be reached when it is a pH: it needs a figure from 0 to 14."""
    ph = _PH.match(result)
    if ph is None:
        return None
    rest = result[ph.end() :]
    head, *tail = _TAIL.split(rest, maxsplit=1)
    if not head[:1].isdigit() and not any(sign.isdigit() for sign in head):
        return Complaint(says=says("ph-without-figure", text=result), at=ph.end(), rule="unreadable-amount")
    if tail and _ABOUT.match(f"{tail[0]} "):
        told = says("about-in-brackets", text=tail[0])
        return Complaint(says=told, at=len(result) - len(tail[0]), rule="unreadable-amount")
    read = read_acidity(head, comma)
    if isinstance(read, AcidityRange):
        return None
    return read.behind(ph.end())
