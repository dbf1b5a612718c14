"""Old units of the dispensary, turned into grams and millilitres where the user accepts it.

The factors are exact.  Mass: the grain is 64.79891 mg, twenty make a scruple, sixty a drachm (NIST Handbook 44,
appendix C; Weights and Measures Act 1985, schedule 1).  Volume: the fluid ounce is 29.5735295625 mL in the United
States (128th part of 231 cubic inches) and 28.4130625 mL in Britain (160th part of 4.54609 L); eight fluid drachms
make one, sixty minims make a fluid drachm.  A teaspoon is a third of half a fluid ounce in the United States; in
Britain none was ever fixed, and a spoon is 5 mL there (common practice, no source).
"""

from __future__ import annotations

import re
from enum import StrEnum

from ..fraction import Fraction
from ..show import significant
from ..units import Complaint, read_number
from ..wording.saying import Saying, says


class Measures(StrEnum):
    """Whose old measures are meant."""

    US = "us"
    """Of the United States."""
    IMPERIAL = "imperial"
    """Of Britain."""


_GRAIN = Fraction(6479891, 10**8)
_US, _IMPERIAL = Fraction("29.5735295625"), Fraction("28.4130625")
_FIGURES = 4
"""Significant figures that an old unit is turned to (own choice, no source): finer than any of them was measured."""
_UNITS: dict[str, tuple[str, Fraction, Fraction]] = {
    "grain": ("g", _GRAIN, _GRAIN),
    "scruple": ("g", _GRAIN * 20, _GRAIN * 20),
    "drachm": ("g", _GRAIN * 60, _GRAIN * 60),
    "minim": ("mL", _US / 480, _IMPERIAL / 480),
    "fluid drachm": ("mL", _US / 8, _IMPERIAL / 8),
    "fluid ounce": ("mL", _US, _IMPERIAL),
    "teaspoon": ("mL", _US / 6, Fraction(5)),
}
"""Name → metric unit, and how many of it make one in the United States and in Britain."""
_NAMES = {
    **{name: name for name in _UNITS},
    **{f"{name}s": name for name in _UNITS},
    "dram": "drachm", "drams": "drachm", "fl oz": "fluid ounce", "fl. oz.": "fluid ounce", "fl dr": "fluid drachm",
    "fluid dram": "fluid drachm", "fluid drams": "fluid drachm", "tsp": "teaspoon", "tsps": "teaspoon",
}  # fmt: skip
_OLD = re.compile(r"([0-9.,]+) ?([a-z. ]+)", re.IGNORECASE)


def in_metric(text: str, comma: bool, measures: Measures | None) -> tuple[str, Saying] | Saying | None:
    """Return an amount in grams or millilitres and what was turned; why it is not turned; or None for no old unit.

    >>> turned = in_metric("10 minims", False, Measures.IMPERIAL)
    >>> turned[0], str(turned[1])
    ('0.5919 mL', '10 minims taken as 0.5919 mL, at 0.0591939 mL each.')
    """
    match = _OLD.fullmatch(text)
    name = _NAMES.get(match[2].strip().casefold()) if match else None
    if match is None or name is None:
        return None
    number = read_number(match[1], comma=comma)
    if isinstance(number, Complaint):
        return number.says
    unit, us, imperial = _UNITS[name]
    if measures is None:
        return says("old-unit", unit=name, metric=unit, us=us, imperial=imperial)
    factor = us if measures is Measures.US else imperial
    amount = f"{significant(number.value * factor, _FIGURES)} {unit}"
    return amount, says("unit-turned", cell=text, amount=amount, factor=factor, metric=unit)
