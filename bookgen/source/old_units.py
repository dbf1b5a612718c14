"""Old units of the dispensary, turned into grams and millilitres where the user accepts it, and vulgar fractions.

The factors are exact.  Mass: the grain is 64.79891 mg, twenty make a scruple, sixty a drachm (NIST Handbook 44,
appendix C; Weights and Measures Act 1985, schedule 1).  The avoirdupois pound is 453.59237 g and has sixteen ounces;
the apothecaries' ounce is 480 grains, and twelve make a pound (both in NIST Handbook 44, appendix C).  Volume: the
fluid ounce is 29.5735295625 mL in the United States (128th part of 231 cubic inches) and 28.4130625 mL in Britain
(160th part of 4.54609 L); eight fluid drachms make one, sixty minims make a fluid drachm; a pint is sixteen fluid
ounces in the United States and twenty in Britain.  A teaspoon is a third of half a fluid ounce in the United States;
in Britain none was ever fixed, and a spoon is 5 mL there (common practice, no source).
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from ..fraction import Fraction
from ..show import exact, significant
from ..units import Complaint, read_number
from ..wording.saying import Saying, says


class Measures(StrEnum):
    """Whose old measures are meant."""

    US = "us"
    """Of the United States."""
    IMPERIAL = "imperial"
    """Of Britain."""


class Weights(StrEnum):
    """Which ounces and pounds are meant."""

    AVOIRDUPOIS = "avoirdupois"
    """Sixteen ounces make a pound: those of the shop."""
    APOTHECARIES = "apothecaries"
    """Twelve ounces make a pound: those of old prescriptions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """Which old units the user lets be turned."""

    measures: Measures | None = None
    """Whose; None where they are not to be turned."""
    weights: Weights | None = None
    """Which ounces and pounds; None where they are not to be turned."""


class _Turned(NamedTuple):
    """What one of an old unit comes to."""

    factor: Fraction
    """Grams or millilitres."""
    source: str
    """Where it is fixed."""


_NIST = "NIST Handbook 44, appendix C"
_ACT = "Weights and Measures Act 1985, schedule 1"
_GRAIN = Fraction(6479891, 10**8)
_POUND = Fraction("453.59237")
_US, _IMPERIAL = Fraction("29.5735295625"), Fraction("28.4130625")
_FIGURES = 4
"""Significant figures that an old unit is turned to (own choice, no source): finer than any of them was measured."""
_MEASURES: dict[str, tuple[str, Fraction, Fraction]] = {
    "grain": ("g", _GRAIN, _GRAIN),
    "scruple": ("g", _GRAIN * 20, _GRAIN * 20),
    "drachm": ("g", _GRAIN * 60, _GRAIN * 60),
    "minim": ("mL", _US / 480, _IMPERIAL / 480),
    "fluid drachm": ("mL", _US / 8, _IMPERIAL / 8),
    "fluid ounce": ("mL", _US, _IMPERIAL),
    "pint": ("mL", _US * 16, _IMPERIAL * 20),
    "teaspoon": ("mL", _US / 6, Fraction(5)),
}
"""Name → metric unit, and how many of it make one in the United States and in Britain."""
_WEIGHTS = {
    "ounce": (_POUND / 16, _GRAIN * 480),
    "pound": (_POUND, _GRAIN * 5760),
}
"""Name → grams, avoirdupois and apothecaries'."""
_NAMES = {
    **{name: name for name in (*_MEASURES, *_WEIGHTS)},
    **{f"{name}s": name for name in (*_MEASURES, *_WEIGHTS)},
    "dram": "drachm", "drams": "drachm", "fl oz": "fluid ounce", "fl. oz.": "fluid ounce", "fl dr": "fluid drachm",
    "fluid dram": "fluid drachm", "fluid drams": "fluid drachm", "tsp": "teaspoon", "tsps": "teaspoon",
    "pt": "pint", "pts": "pint", "pt.": "pint", "oz": "ounce", "oz.": "ounce", "lb": "pound", "lbs": "pound",
    "lb.": "pound", "lbs.": "pound",
}  # fmt: skip
_VULGAR = "".join(sign for sign in map(chr, (*range(0xBC, 0xBF), *range(0x2150, 0x215F))))
"""`½`, `¼`, `¾` and the like: signs that are a fraction by themselves."""
_PARTED = re.compile(
    rf"(?:(?P<whole>[0-9]+)(?: (?=[0-9])| ?(?=[{_VULGAR}])))?"
    rf"(?:(?P<of>[0-9]+)[/\u2044](?P<by>[0-9]+)|(?P<sign>[{_VULGAR}]))"
)
_AMOUNT = re.compile(rf"(?P<number>[0-9.,/\u2044 {_VULGAR}]+)(?P<rest>.*)")


def as_fraction(text: str) -> Fraction | None:
    """Return the number that `1/2`, `1 1/2`, `½` or `1½` is; None for any other text, and for one by nothing.

    >>> as_fraction("1 1/2"), as_fraction("2½"), as_fraction("11/2"), as_fraction("1-1/2"), as_fraction("1/0")
    (Fraction(3, 2), Fraction(5, 2), Fraction(11, 2), None, None)
    """
    match = _PARTED.fullmatch(text)
    if match is None:
        return None
    sign = match["sign"]
    of, by = unicodedata.normalize("NFKC", sign).split("\u2044") if sign else (match["of"], match["by"])
    return Fraction(int(match["whole"] or 0)) + Fraction(int(of), int(by)) if int(by) else None


def in_metric(text: str, comma: bool, accepted: Accepted) -> tuple[str, Saying] | Saying | None:
    """Return an amount in a unit of today and with decimals, and what was turned; why it is not turned; or None where
    nothing has to be.

    >>> turned = in_metric("10 minims", False, Accepted(measures=Measures.IMPERIAL))
    >>> turned[0], str(turned[1])
    ('0.5919 mL', '10 minims taken as 0.5919 mL, at 0.0591939 mL each (Weights and Measures Act 1985, schedule 1).')
    """
    match = _AMOUNT.fullmatch(text)
    if match is None:
        return None
    written, rest = match["number"].strip(), match["rest"].strip()
    parted = as_fraction(written)
    name = _NAMES.get(rest.casefold())
    if name is None:
        if parted is None:
            return None
        amount = f"{_decimals(parted)} {rest}".strip()
        return amount, says("fraction-turned", cell=text, amount=amount)
    number = parted
    if number is None:
        read = read_number(written, comma=comma)
        if isinstance(read, Complaint):
            return read.says
        number = read.value
    turned = _weight(name, accepted.weights) if name in _WEIGHTS else _measure(name, accepted.measures)
    if isinstance(turned, Saying):
        return turned
    metric = "g" if name in _WEIGHTS else _MEASURES[name][0]
    amount = f"{significant(number * turned.factor, _FIGURES)} {metric}"
    told = says("unit-turned", cell=text, amount=amount, factor=turned.factor, metric=metric, source=turned.source)
    return amount, told


def _decimals(number: Fraction) -> str:
    """Return a number with decimals: exact where they end, else with the figures of an old unit."""
    text = exact(number)
    return significant(number, _FIGURES) if "/" in text else text


def _measure(name: str, measures: Measures | None) -> _Turned | Saying:
    metric, us, imperial = _MEASURES[name]
    if measures is None and us == imperial:
        return says("old-unit-same", unit=name, metric=metric, factor=us)
    if measures is None:
        return says("old-unit", unit=name, metric=metric, us=us, imperial=imperial)
    if measures is Measures.US:
        return _Turned(us, _NIST)
    return _Turned(imperial, "common practice, no source" if name == "teaspoon" else _ACT)


def _weight(name: str, weights: Weights | None) -> _Turned | Saying:
    avoirdupois, apothecaries = _WEIGHTS[name]
    if weights is None:
        liquid = says("perhaps-fluid-ounce") if name == "ounce" else None
        return says("old-weight", unit=name, avoirdupois=avoirdupois, apothecaries=apothecaries, liquid=liquid)
    return _Turned(avoirdupois if weights is Weights.AVOIRDUPOIS else apothecaries, _NIST)
