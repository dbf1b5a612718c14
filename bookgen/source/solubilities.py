"""How much of a material 100 g of a solvent dissolve: grams, perhaps a range, perhaps a temperature."""

from __future__ import annotations

import re

from ..fraction import Fraction
from ..model import Solubility
from ..units import Complaint, Dimension, Measured, read_measured, read_number
from ..wording.saying import says
from .amounts import tidy

EXAMPLE = "36 g"
RANGE = "30 to 36 g"
_AT = re.compile(r"(.*?),? at ([^\s]+?) ?°? ?C", re.IGNORECASE)
_ENDS = re.compile(r"(.*?)\s*(?:\bto\b|[-–—])\s*(.*)", re.IGNORECASE)
_BARE = re.compile(r"[0-9][0-9.,]*")
"""A low end that leaves its unit to the high one."""
_PARTS = re.compile(r"1 (?:g |part )?in ([0-9.,]+).*|1 ?[:/] ?([0-9.,]+).*", re.IGNORECASE)
NOTHING = frozenset({"insoluble", "practically insoluble", "not soluble", "none", "no", "not"})
"""Words for what does not dissolve."""
FREELY = frozenset({"miscible", "freely", "freely soluble", "very soluble", "soluble", "sparingly soluble"})
"""Words that tell no figure."""


def read_solubility(text: str, comma: bool) -> Solubility | Complaint:
    """Return `36 g`, `36 g at 25 °C` or `30 to 36 g`: grams that 100 g of a solvent dissolve, by weight alone.

    >>> read_solubility("30 to 36 g at 25 °C", comma=False).text
    '30 to 36 g at 25 °C'
    >>> print(read_solubility("1 in 16", comma=False).says)
    `1 in 16` counts parts: write how many grams 100 g of the solvent dissolve, 6.25 g.
    """
    words = tidy(text)
    low_words = words.casefold()
    if low_words in NOTHING:
        return Complaint(says=says("solubility-none", text=words, wanted="0 g"))
    if low_words in FREELY:
        return Complaint(says=says("solubility-free", text=words, wanted=EXAMPLE))
    parts = _PARTS.fullmatch(words)
    if parts is not None:
        return _of_parts(parts, words, comma)
    match = _AT.fullmatch(words)
    celsius = read_number(match[2], comma=comma, at=match.start(2)) if match else None
    if isinstance(celsius, Complaint):
        return celsius
    found = _ends(match[1].rstrip() if match else words, comma)
    if isinstance(found, Complaint):
        return found
    low, high = found
    text = high.text
    if low is not high:
        text = f"{low.digits if low.unit is high.unit else low.text} to {high.text}"
    return Solubility(
        low=low.value,
        high=high.value,
        at_c=None if celsius is None else celsius.value,
        text=text if celsius is None else f"{text} at {celsius.text} °C",
    )


def _ends(words: str, comma: bool) -> tuple[Measured, Measured] | Complaint:
    """Return both ends of a range, which for one figure are the same."""
    match = _ENDS.fullmatch(words)
    if match is None:
        figure = _grams(words, comma)
        return figure if isinstance(figure, Complaint) else (figure, figure)
    begins, ends = match[1], match[2]
    if not begins or not ends:
        return Complaint(says=says("range-of-one-end", text=words, wanted=RANGE))
    high = _grams(ends, comma)
    if isinstance(high, Complaint):
        return high.behind(match.start(2))
    number = _BARE.match(ends)
    unit = ends[number.end() :] if number and _BARE.fullmatch(begins) else ""
    low = _grams(begins + unit, comma)
    if isinstance(low, Complaint):
        return low
    if low.value > high.value:
        told = says("range-backwards", low=high.text.partition(" ")[0], high=low.text)
        return Complaint(says=told, rule="impossible-value")
    return (low, high) if low.value < high.value else (high, high)


def _grams(words: str, comma: bool) -> Measured | Complaint:
    """Return a weight of 0 or more."""
    found = read_measured(words, comma=comma, wanted=EXAMPLE)
    if isinstance(found, Complaint):
        return found
    if found.unit.dimension is Dimension.PERCENT:
        return Complaint(says=says("solubility-percent", text=words, wanted=EXAMPLE))
    if found.unit.dimension is not Dimension.MASS:
        return Complaint(says=says("volume-for-weight", text=found.text, wanted=EXAMPLE))
    if found.rest:
        return Complaint(says=says("tail", text=found.rest, said=found.said, wanted=EXAMPLE), at=found.at_rest)
    return found


def _of_parts(parts: re.Match[str], words: str, comma: bool) -> Complaint:
    """Refuse `1 in 16`, which means mL of solvent to some and g to others, and say the grams."""
    number = read_number(parts[1] or parts[2], comma=comma, at=parts.start(1) if parts[1] else parts.start(2))
    if isinstance(number, Complaint):
        return number
    if not number.value:
        return Complaint(says=says("figures-zero", said=words), rule="zero-amount")
    return Complaint(says=says("solubility-parts", text=words, grams=Fraction(100) / number.value))
