"""Exact numbers into shown text: digits, unit, decimal sign.

Enters: exact figures (`Fraction`), texts as written, dates.  Leaves: plain text for pages, sheets and the terminal, and
exact strings for machines.  Nothing here computes the trade; rounding is half up (T13-05, the pharmacopoeial rule),
away from zero for the sign's sake, and a zero always stands before the decimal sign.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from enum import Enum
from functools import lru_cache
from typing import NamedTuple, Protocol

from .fine import Fine as Fine
from .fraction import Fraction
from .language import noted, word

THIN = "\u202f"
"""Thin space that does not break: between a number and its unit."""
NBSP = "\u00a0"
"""Space that does not break: between a number and a word such as drops."""
MINUS = "\u2212"
"""The real minus sign."""
ABOUT = "\u2248\u00a0"
"""Before a figure that is only usual."""
DIGIT_SPACE = "\u2007"
"""As wide as a digit."""
SIGN_SPACE = "\u2008"
"""As wide as a decimal sign."""
_ORDINARY = dict.fromkeys((0x00A0, *range(0x2000, 0x200B), 0x202F, 0x205F), " ")
"""Every space of another width or behaviour than the one on a keyboard."""

_UNITS = r"(?:%|‰|°C|µg|mg|kg|g|µL|mL|L|min|h|s)(?![A-Za-z])"
_NUMBER_UNIT = re.compile(rf"(?<=\d)[ \u00a0]?(?={_UNITS})")
_SPACE_BEFORE_UNIT = re.compile(rf"(?<=\d) (?={_UNITS})")
_NUMBER_WORD = re.compile(
    r"(?<=\d) (?=(?:drops?|parts?|days?|weeks?|months?|years?|Tropfen|Teilen?|Tage?n?|Wochen?|Monate?n?|Jahre?n?)\b)"
)
_DECIMAL = re.compile(r"(?<=\d)[.,](?=\d)")


class Side(Enum):
    """To which side a number is rounded."""

    NEAREST = 0
    """Half up."""
    DOWN = -1
    """For the low end of a range, so that what is printed is never above it."""
    UP = 1
    """For the high end of a range, and for "at most", so that what is printed is never below it."""


NEAREST, DOWN, UP = Side


class Signs(NamedTuple):
    """How the book prints numbers; a tuple, whose hash costs nothing where digits are kept by it."""

    decimal: str = "."
    """The decimal sign: a point or a comma."""


POINT = Signs()
COMMA = Signs(decimal=",")


class PrintsNumbers(Protocol):
    """What states its decimal sign: the workroom of a book."""

    @property
    def decimal(self) -> str:
        """`point` or `comma`."""


def signs_of(workroom: PrintsNumbers) -> Signs:
    """Return the signs that the book prints with."""
    return COMMA if workroom.decimal == "comma" else POINT


def with_ordinary_spaces(text: str) -> str:
    """Return a text for the terminal or another program: pages set finer spaces, which neither finds nor pastes well.

    >>> with_ordinary_spaces(f"4.00{THIN}g, 12{NBSP}drops")
    '4.00 g, 12 drops'
    """
    return text.translate(_ORDINARY)


# ── Digits ────────────────────────────────────────────────────────────────────────────────────────────────────────


def exact(value: Fraction) -> str:
    """Return the exact value for machines: a plain decimal where finite, however long, else a fraction.

    >>> exact(Fraction("84.75")), exact(Fraction(8, 3)), exact(Fraction(-1, 2**14))
    ('84.75', '8/3', '-0.00006103515625')
    """
    numerator, denominator = value.numerator, value.denominator
    if denominator == 1:
        return str(numerator)
    twos = fives = 0
    while denominator % 2 == 0:
        denominator //= 2
        twos += 1
    while denominator % 5 == 0:
        denominator //= 5
        fives += 1
    places = max(twos, fives)
    if denominator != 1:
        return f"{numerator}/{value.denominator}"
    whole = str(abs(numerator) * 10**places // value.denominator).zfill(places + 1)
    return f"{'-' if numerator < 0 else ''}{whole[:-places]}.{whole[-places:]}"


def value_of(text: str) -> Fraction:
    """Return the exact value that `exact` has written.

    >>> value_of("-84.75"), value_of("8/3"), value_of("12")
    (Fraction(-339, 4), Fraction(8, 3), Fraction(12, 1))
    """
    above, _, below = text.partition("/")
    if below:
        return Fraction(int(above), int(below))
    whole, _, decimals = text.partition(".")
    return Fraction(int(whole + decimals), 10 ** len(decimals))


def places_of(step: Fraction) -> int:
    """Return the decimals that a step needs: 2 for 0.01, 0 for 1 and 5; 3 at most for one without a finite decimal."""
    return _places_of(step.denominator)


@lru_cache(maxsize=64)
def _places_of(denominator: int) -> int:
    return next((places for places in range(7) if 10**places % denominator == 0), 3)


def fixed(value: Fraction, places: int, signs: Signs = POINT, side: Side = NEAREST) -> str:
    """Return the value with so many decimals, half up; or rounded down or up.

    >>> fixed(Fraction("0.125"), 2), fixed(Fraction(4), 2, COMMA), fixed(Fraction("-0.004"), 2)
    ('0.13', '4,00', '0.00')
    >>> fixed(Fraction("0.129"), 2, side=DOWN), fixed(Fraction("0.121"), 2, side=UP)
    ('0.12', '0.13')
    """
    return _with_sign(value, _units(value, places, side), places, signs)


def _with_sign(value: Fraction, units: int, places: int, signs: Signs) -> str:
    """Return a value that is so many units of its last decimal."""
    text = str(units).zfill(places + 1)
    if places:
        text = f"{text[:-places]}{signs.decimal}{text[-places:]}"
    return f"{MINUS}{text}" if value < 0 and units else text


def _units(value: Fraction, places: int, side: Side = NEAREST) -> int:
    """Return the size of a value in units of its last decimal; in whole numbers, because pages do it often."""
    numerator, denominator = abs(value.numerator), value.denominator
    scaled = numerator * int(10**places)
    if side is NEAREST:
        return (2 * scaled + denominator) // (2 * denominator)
    away = (side is UP) is (value.numerator > 0)  # a size grows upward above 0, and downward below it
    return -(-scaled // denominator) if away else scaled // denominator


def metered(grams: Fraction, step: Fraction | None, signs: Signs = POINT) -> str:
    """Return the digits that a balance of that step reads; without a balance, a plain figure.

    >>> metered(Fraction(4), Fraction("0.01")), metered(Fraction("84.75"), Fraction("0.1"))
    ('4.00', '84.8')
    """
    return plain(grams, signs) if step is None else fixed(grams, places_of(step), signs)


def significant(value: Fraction, figures: int = Fine.COMPUTED, signs: Signs = POINT, side: Side = NEAREST) -> str:
    """Return a figure with so many significant figures, half up: a computed percentage with three.

    Digits before the decimal sign are never replaced by zeros: 1234 stays 1234.  No exponent is used.  A percentage
    that the formula writes itself keeps the digits it is written with.  A range is rounded outward, its low end down
    and its high end up, and so is what is "at most", so that the printed bound is a true one.

    Source: common practice, no source; half up as for weights.

    >>> significant(Fraction("0.40")), significant(Fraction(200, 3)), significant(Fraction("9.996"))
    ('0.400', '66.7', '10.0')
    >>> significant(Fraction("4.441"), 2, side=UP), significant(Fraction("2.866"), 2, side=DOWN)
    ('4.5', '2.8')
    """
    places, units = _places_for(value, figures, side)
    return _with_sign(value, units, places, signs)


def _places_for(value: Fraction, figures: int, side: Side = NEAREST) -> tuple[int, int]:
    """Return how many decimals show so many significant figures once the value is rounded, and its size in units of
    the last."""
    numerator, denominator = abs(value.numerator), value.denominator
    if not numerator:
        return figures - 1, 0
    lead = 0  # place of the first digit: 0 for units, 1 for tens, -1 for tenths
    if numerator >= denominator:
        while numerator >= denominator * 10 ** (lead + 1):
            lead += 1
    else:
        while numerator * int(10**-lead) < denominator:
            lead -= 1
    places = max(0, figures - 1 - lead)
    units = _units(value, places, side)
    if places and units >= 10**figures:
        places -= 1  # 9.996 rounds up to 10.0
        units = _units(value, places, side)
    return places, units


def plain(value: Fraction, signs: Signs = POINT, figures: int = Fine.PLAIN, side: Side = NEAREST) -> str:
    """Return the value as people write it: exact when four decimals or four significant figures say it, else rounded
    to these figures.

    >>> plain(Fraction(100)), plain(Fraction(250) / Fraction("0.95")), plain(Fraction("0.00378"))
    ('100', '263.2', '0.00378')
    """
    if value.denominator == 1:
        return fixed(value, 0, signs)
    most, units = _places_for(value, figures, side)
    for places in range(1, max(Fine.PLAIN, most) + 1):
        if 10**places % value.denominator == 0:
            return fixed(value, places, signs)
    return _with_sign(value, units, most, signs)


def listing(names: Sequence[str], most: int = 0, between: str = "and") -> str:
    """Return names as a list in words, apart by semicolons where one has a comma of its own; `between` parts the last
    two.

    With `most`, where there are two or more beyond so many, these are counted.

    >>> listing(["a", "b", "c"]), listing(["a", "b", "c", "d"], most=2)
    ('a, b and c', 'a, b and 2 others')
    >>> listing(["oil, sweet", "water"])
    'oil, sweet; and water'
    """
    mark = ";" if any(", " in name for name in names) else ","
    told = list(names)
    if most and len(told) > most + 1:
        told[most:] = [word("{count} others", count=len(told) - most)]
    if len(told) < 2:
        return "".join(told)
    return f"{f'{mark} '.join(told[:-1])}{mark if mark == ';' else ''} {word(between)} {told[-1]}"


def millilitres(ml: Fraction, signs: Signs = POINT) -> str:
    """Return the digits of a volume: exact where four decimals and five figures say it, else three significant figures.

    >>> millilitres(Fraction("52.5")), millilitres(Fraction("2059.9176")), millilitres(Fraction(200, 3))
    ('52.5', '2060', '66.7')
    """
    text = plain(ml, signs, Fine.COMPUTED)
    return text if sum(sign.isdigit() for sign in text.lstrip("0.,")) <= Fine.GLANCE else significant(ml, signs=signs)


def batch(value: Fraction, unit: str, step: Fraction | None, signs: Signs = POINT) -> str:
    """Return the digits of a batch: as they are asked where short; else as the balance reads them, or as a volume.

    >>> batch(Fraction("12.345"), "g", Fraction("0.01")), batch(Fraction(2000, 3), "g", Fraction("0.01"))
    ('12.345', '666.67')
    """
    if unit == "mL":
        return millilitres(value, signs)
    return plain(value, signs) if 10**4 % value.denominator == 0 else metered(value, step, signs)


def unit_for(grams: Fraction) -> tuple[str, int]:
    """Return the unit in which what one piece or one dose holds is written, and how many of it are 1 g.

    From 1 g on that is g, from 1 mg on mg, below it µg, so that no weight begins with zeros that could be miscounted.

    Source: common practice, no source.

    >>> unit_for(Fraction("0.025")), unit_for(Fraction("0.00025")), unit_for(Fraction(1))
    (('mg', 1000), ('µg', 1000000), ('g', 1))
    """
    return next(((unit, per) for unit, per in (("g", 1), ("mg", 1000)) if grams * per >= 1), ("µg", 10**6))


def small_weight(grams: Fraction, signs: Signs = POINT) -> str:
    """Return what one piece or one dose holds, with three significant figures: `25.0 mg`.

    >>> small_weight(Fraction("0.025")).replace(THIN, " ")
    '25.0 mg'
    """
    unit, per_gram = unit_for(grams)
    return with_unit(significant(grams * per_gram, signs=signs), unit)


def apart(
    value: Fraction, limit: Fraction, signs: Signs = POINT, figures: int = Fine.COMPUTED, side: Side = NEAREST
) -> tuple[str, str]:
    """Return both values with as many figures as it takes to tell them apart, the first rounded to a side.

    >>> apart(Fraction("0.5004"), Fraction("0.5"))
    ('0.5004', '0.5000')
    """
    places = max(_places_for(value, figures)[0], _places_for(limit, figures)[0])
    while value != limit and fixed(value, places, signs, side) == fixed(limit, places, signs):
        places += 1
    return fixed(value, places, signs, side), fixed(limit, places, signs)


def against(
    value: Fraction, limit: Fraction, signs: Signs = POINT, figures: int = Fine.PLAIN, side: Side = NEAREST
) -> tuple[str, str]:
    """Return both values as people write them; with more figures where those would read the same.

    The first is rounded to a side, up where it is "up to".

    >>> against(Fraction("99.5"), Fraction(100)), against(Fraction("100.00004"), Fraction(100))
    (('99.5', '100'), ('100.00004', '100.00000'))
    >>> against(Fraction(76, 75), Fraction(1)), against(Fraction(76, 75), Fraction(1), side=UP)
    (('1.013', '1'), ('1.014', '1'))
    """
    one, other = plain(value, POINT, figures, side), plain(limit, POINT, figures)
    if value == limit or Fraction(one.replace(MINUS, "-")) != Fraction(other.replace(MINUS, "-")):
        return plain(value, signs, figures, side), plain(limit, signs, figures)
    return apart(value, limit, signs, side=side)


def not_below(value: Fraction, signs: Signs = POINT) -> str:
    """Return the value as `plain` does, but rounded up: for a batch just below which something would not work, and for
    the least that serves.

    >>> plain(Fraction(25000, 39)), not_below(Fraction(25000, 39))
    ('641.0', '641.1')
    """
    return plain(value, signs, side=UP)


# ── With a unit ───────────────────────────────────────────────────────────────────────────────────────────────────


def with_unit(digits: str, unit: str) -> str:
    """Return digits and unit with the thin space between them that does not break."""
    return f"{digits}{THIN}{unit}" if unit else digits


def weight(grams: Fraction, step: Fraction | None, signs: Signs = POINT) -> str:
    """Return a weight as its balance reads it: `4.00 g` at 0.01 g."""
    return with_unit(metered(grams, step, signs), "g")


def volume(ml: Fraction, signs: Signs = POINT) -> str:
    """Return a volume in mL: exact where short, else three significant figures."""
    return with_unit(millilitres(ml, signs), "mL")


def percent(share: Fraction, signs: Signs = POINT, figures: int = Fine.COMPUTED, side: Side = NEAREST) -> str:
    """Return a computed share (1 = all) as a percentage of three significant figures."""
    return with_unit(significant(share * 100, figures, signs, side), "%")


def drops(count: int) -> str:
    """Return a count of drops: `1 drop`, `12 drops`."""
    return counted(count, *DROPS)


DROPS = (noted("drop"), noted("drops"))
"""The unit of one drop, and that of any other number."""


def space_before(unit: str) -> str:
    """Return the space between a number and its unit: thin, but before the word drops as between words."""
    return NBSP if unit in DROPS or unit in map(word, DROPS) else THIN


def off(share: Fraction, signs: Signs = POINT) -> str:
    """Return an error in words: `2.4 % over`, `3.1 % under`, `exact`."""
    if not share:
        return word("exact")
    side = word("over") if share > 0 else word("under")
    return f"{with_unit(significant(abs(share) * 100, Fine.ERROR, signs), '%')}{NBSP}{side}"


def counted(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun: `1 portion`, `3 portions`."""
    return f"{number}{NBSP}{word(one if number == 1 else many or one + 's')}"


# ── As written ────────────────────────────────────────────────────────────────────────────────────────────────────


@lru_cache(maxsize=4096)
def stated(text: str, signs: Signs = POINT) -> str:
    """Return an amount as its writer wrote it, with the book's decimal sign and its spaces as they are.

    >>> stated("to 0.5 L", COMMA)
    'to 0,5 L'
    """
    return _DECIMAL.sub(signs.decimal, text)


@lru_cache(maxsize=4096)
def written(text: str, signs: Signs = POINT) -> str:
    """Return a text as its writer wrote it; only the decimal sign is the book's, and a number stays with its unit.

    Source: common practice, no source.

    >>> written("to 0.5 L", COMMA).replace(THIN, " ")
    'to 0,5 L'
    """
    return _NUMBER_WORD.sub(NBSP, _NUMBER_UNIT.sub(THIN, stated(text, signs)))


@lru_cache(maxsize=8192)
def glued(text: str) -> str:
    """Return prose with spaces between number and unit that do not break; its numbers stay as typed.

    >>> glued("at 70 °C").replace(THIN, "_")
    'at 70_°C'
    """
    return _NUMBER_UNIT.sub(THIN, text)


@lru_cache(maxsize=8192)
def bound(text: str) -> str:
    """Return a name in which no line ends between a number and its unit; what is written close stays so.

    >>> bound("lactic acid 80 %").replace(THIN, "_"), bound("soap of the 90s")
    ('lactic acid 80_%', 'soap of the 90s')
    """
    return _SPACE_BEFORE_UNIT.sub(THIN, text)


def sentence(text: str) -> str:
    """Return the text with a capital letter in front and a full stop behind, as one sentence of a list."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?…" else ".")


# ── Time ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def day(on: date) -> str:
    """Return a date by ISO 8601: `2026-03-02`."""
    return on.isoformat()


def period(days: int, months: int) -> str:
    """Return a period in the unit that it counts in, so that the same is printed alike: whole days, or calendar months.

    >>> period(35, 0).replace(NBSP, " "), period(0, 12).replace(NBSP, " ")
    ('35 days', '12 months')
    """
    return counted(months, "month") if months else counted(days, "day")


# ── Columns ───────────────────────────────────────────────────────────────────────────────────────────────────────


def decimals(digits: str, signs: Signs = POINT) -> int:
    """Return how many decimals a shown number has."""
    return len(digits.partition(signs.decimal)[2])


def padding(digits: str, most: int, signs: Signs = POINT) -> str:
    """Return the spaces to set behind a number so that a column with `most` decimals lines up on its sign."""
    return spaces(decimals(digits, signs), most)


def spaces(own: int, most: int) -> str:
    """Return those spaces for a number of so many decimals of its own."""
    return DIGIT_SPACE * (most - own) + (SIGN_SPACE if most and not own else "")
