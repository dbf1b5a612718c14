"""A density: grams per millilitre, or a specific gravity with the two temperatures that give it its meaning."""

from __future__ import annotations

import re

from ..fraction import Fraction
from ..model import Density
from ..reference import water_formula
from ..units import Complaint, explain_measured, read_number
from ..wording.saying import says
from .amounts import tidy

EXAMPLE = "1.26 g/mL at 20 °C"
GRAVITY = "1.036 at 25/25 °C"
POSSIBLE = (Fraction(1, 100), Fraction(23))
"""Grams per millilitre between which a density is possible: below lies foam, above nothing (osmium has 22.6)."""
_DENSITY = re.compile(
    r"(?P<number>[^\s]+)(?P<unit> ?(?:g ?/ ?m[lL]|g ?/ ?cm(?:3|³)|kg ?/ ?[lL]))?"
    r"(?: at (?P<at>[^\s/]+) ?(?:°C)?(?: ?/ ?(?P<water>[^\s/]+))? ?°C)?"
)


def read_density(text: str, comma: bool) -> Density | Complaint:
    """Return `0.95`, `0.95 g/mL`, `1.26 g/mL at 20 °C`, or a specific gravity, `1.036 at 25/25 °C`.

    A specific gravity has two temperatures and no unit: that of the liquid, then that of the water it is compared with,
    which has to be one at which the density of water is known.
    """
    text = tidy(text)
    match = _DENSITY.fullmatch(re.sub(r"(?<=[0-9])(?=g/|kg/)", " ", text))
    if match is None:
        number = re.match(r"[0-9]+(?:[.,][0-9]+)?(?![0-9.,])", text)
        if number is None:
            return explain_measured(text, EXAMPLE, comma=comma)
        typed = text[number.end() :].strip()
        if "/" in text and "g/" not in text:
            told = says("gravity-tail", text=typed, wanted=EXAMPLE, gravity=GRAVITY)
        else:
            told = says("density-tail", text=typed, wanted=EXAMPLE)
        return Complaint(says=told, at=number.end())
    number_of = read_number(match["number"], comma=comma)
    if isinstance(number_of, Complaint):
        return number_of
    if not POSSIBLE[0] <= number_of.value <= POSSIBLE[1]:
        return Complaint(says=says("density-impossible", number=number_of.text), rule="impossible-value")
    if not match["at"]:
        return Density(number=number_of.value, text=f"{number_of.text} g/mL")
    at = read_number(match["at"], comma=comma, at=match.start("at"))
    if isinstance(at, Complaint):
        return at
    if not match["water"]:
        return Density(number=number_of.value, at_c=at.value, text=f"{number_of.text} g/mL at {at.text} °C")
    water = read_number(match["water"], comma=comma, at=match.start("water"))
    if isinstance(water, Complaint):
        return water
    if match["unit"]:
        told = says("gravity-with-unit", number=number_of.text, at=at.text, water=water.text)
        return Complaint(says=told, at=match.start("unit"))
    known = water_formula()
    if not known.lowest_c <= water.value <= known.highest_c:
        told = says("gravity-of-what-water", low=known.lowest_c, high=known.highest_c, at=water.text)
        return Complaint(says=told, at=match.start("water"), rule="impossible-value")
    words = f"{number_of.text} at {at.text}/{water.text} °C"
    return Density(number=number_of.value, at_c=at.value, relative_to_c=water.value, text=words)
