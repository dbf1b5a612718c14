"""How much alkali a fat takes up when it turns into soap: a range in mg of potassium hydroxide per gram."""

from __future__ import annotations

import re

from ..fraction import Fraction
from ..model import Saponification
from ..units import Complaint, read_number
from ..wording.saying import says
from .amounts import tidy

EXAMPLE = "188 to 194 mg KOH/g"
MOST = Fraction(400)
"""Milligrams beyond which a figure is no fat's: those of the shortest fatty acids come to 360 (from memory)."""
_UNIT = re.compile(r"(.*?) ?mg (?:of )?KOH ?(?:/|per) ?g", re.IGNORECASE)
_ENDS = re.compile(r"(.*?) ?(?:\bto\b|[-–—]) ?(.*)", re.IGNORECASE)


def read_saponification(text: str, comma: bool) -> Saponification | Complaint:
    """Return `188 to 194 mg KOH/g`, or one figure where that is known of this fat.

    >>> read_saponification("188-194 mg KOH/g", comma=False).text
    '188 to 194 mg KOH/g'
    """
    words = tidy(text)
    match = _UNIT.fullmatch(words)
    if match is None:
        told = says("saponification-unread", text=words, wanted=EXAMPLE)
        return Complaint(says=told, rule="unreadable-value")
    ends = _ENDS.fullmatch(match[1])
    if ends and not (ends[1] and ends[2]):
        return Complaint(says=says("range-of-one-end", text=match[1], wanted=EXAMPLE), rule="unreadable-value")
    low = read_number(ends[1] if ends else match[1], comma=comma)
    if isinstance(low, Complaint):
        return low
    high = read_number(ends[2], comma=comma, at=ends.start(2)) if ends else low
    if isinstance(high, Complaint):
        return high
    if low.value > high.value:
        return Complaint(
            says=says("range-backwards", low=high.text, high=f"{low.text} mg KOH/g"), rule="impossible-value"
        )
    if high.value > MOST:
        told = says("saponification-beyond", number=high.text, most=MOST)
        return Complaint(says=told, at=ends.start(2) if ends else 0, rule="impossible-value")
    figures = low.text if low.value == high.value else f"{low.text} to {high.text}"
    return Saponification(low=low.value, high=high.value, text=f"{figures} mg KOH/g")
