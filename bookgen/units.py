"""Numbers and units as people write them, read into exact values or into a complaint that says what to write.

In goes text, out comes a `Measured` (number, unit, what follows) or a `Complaint`.  This is the only room that knows
Pint: it asks for the factor between two units whose names stand in the closed list below, and hands over names only,
because Pint by itself reads `2.5.1 g` as 1/4 g.  Nothing here guesses: what can be read in two ways is refused and
both readings are named.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache
from typing import Any, NamedTuple

from .findings import nearest
from .refused import REFUSED_UNITS as REFUSED_UNITS
from .refused import WEIGH_IT, refused_unit

MOST_DIGITS = 15
"""Longest number that is read; no balance, bottle or book needs more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """Why a text cannot be read, and what to write instead."""

    message: str
    """One sentence: what was found, what to write."""
    at: int = 0
    """Where in the text, in characters from its beginning."""
    rule: str = "unreadable-value"
    """The rule in words, lower case with hyphens."""


class Dimension(StrEnum):
    """What a unit measures."""

    MASS = "mass"
    VOLUME = "volume"
    TIME = "time"
    CALENDAR = "calendar"
    DROPS = "drops"
    PARTS = "parts"
    PERCENT = "percent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One unit of the closed list."""

    one: str
    """As printed after 1: `g`, `drop`."""
    many: str
    """As printed after other numbers: `g`, `drops`."""
    dimension: Dimension
    """What it measures."""
    pint_name: str = ""
    """What Pint calls it; empty when the unit is its own base or is no matter of Pint's."""
    times: int = 1
    """For counts and calendar months: how many of the base it is."""

    @property
    def factor(self) -> Fraction:
        """How many grams, millilitres, seconds, calendar months, drops or parts it is; 1/100 for a percent."""
        if self.dimension is Dimension.PERCENT:
            return Fraction(1, 100)
        return _factor(self.pint_name, BASES[self.dimension]) if self.pint_name else Fraction(self.times)


class Measured(NamedTuple):
    """A number with its unit, and what follows."""

    number: Fraction
    """In the written unit."""
    digits: str
    """The digits as written, with a decimal point."""
    unit: Unit
    """The unit."""
    rest: str
    """The text after the unit, without the space between."""
    at_rest: int
    """Where that rest begins, in characters from the beginning."""
    written: str = ""
    """The number as typed, where that is to be said again: the other decimal sign may be refused in its book."""

    @property
    def value(self) -> Fraction:
        """In the base of the unit's dimension (g, mL, s, months, drops, parts; a percent as a share of 1)."""
        unit = self.unit
        if unit.times == 1 and not unit.pint_name and unit.dimension is not Dimension.PERCENT:
            return self.number  # the base itself; the commonest case, and a product of fractions is not cheap
        return self.number * unit.factor

    @property
    def said(self) -> str:
        """The same with the number as typed, as advice repeats it."""
        return f"{self.written or self.digits} {self.unit.one if self.number == 1 else self.unit.many}"

    @property
    def text(self) -> str:
        """Number and unit, tidied: `0.2 g`, `1 drop`."""
        return f"{self.digits} {self.unit.one if self.number == 1 else self.unit.many}"


BASES = {Dimension.MASS: "gram", Dimension.VOLUME: "millilitre", Dimension.TIME: "second"}

_DEFINITIONS = (
    "gram = [mass]", "microgram = gram / 1000000", "milligram = gram / 1000", "kilogram = 1000 * gram",
    "millilitre = [volume]", "microlitre = millilitre / 1000", "litre = 1000 * millilitre",
    "second = [time]", "minute = 60 * second", "hour = 60 * minute", "day = 24 * hour", "week = 7 * day",
)  # fmt: skip


@cache
def _registry() -> Any:
    """Return a Pint registry that holds our definitions alone (the default one takes a hundred times as long)."""
    import pint

    registry: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    for definition in _DEFINITIONS:
        registry.define(definition)
    return registry


@cache
def _factor(name: str, base: str) -> Fraction:
    """Return how many of the base unit one of the named unit is, exactly.

    >>> _factor("milligram", "gram")
    Fraction(1, 1000)
    """
    return Fraction(_registry().Quantity(Fraction(1), name).to(base).magnitude)


def _unit(one: str, many: str, dimension: Dimension, pint_name: str = "", times: int = 1) -> Unit:
    return Unit(one=one, many=many, dimension=dimension, pint_name=pint_name, times=times)


GRAM = _unit("g", "g", Dimension.MASS)
MILLILITRE = _unit("mL", "mL", Dimension.VOLUME)
PERCENT = _unit("%", "%", Dimension.PERCENT)
DROP = _unit("drop", "drops", Dimension.DROPS)
PART = _unit("part", "parts", Dimension.PARTS)
DAY = _unit("day", "days", Dimension.TIME, "day")

# The unit and the names it may be written by: symbols exactly, words in any case.  Both micro signs occur (U+00B5
# from the keyboard, U+03BC from the character table).
_NAMES: tuple[tuple[Unit, str], ...] = (
    (_unit("µg", "µg", Dimension.MASS, "microgram"), "µg μg mcg ug microgram micrograms"),
    (_unit("mg", "mg", Dimension.MASS, "milligram"), "mg milligram milligrams milligramme milligrammes"),
    (GRAM, "g G gram grams gramme grammes"),
    (_unit("kg", "kg", Dimension.MASS, "kilogram"), "kg Kg KG kilogram kilograms kilogramme kilogrammes kilo kilos"),
    (_unit("µL", "µL", Dimension.VOLUME, "microlitre"),
     "µL μL µl μl uL ul microlitre microlitres microliter microliters"),
    (MILLILITRE, "mL ml ML millilitre millilitres milliliter milliliters"),
    (_unit("L", "L", Dimension.VOLUME, "litre"), "L l litre litres liter liters"),
    (_unit("s", "s", Dimension.TIME), "s sec second seconds"),
    (_unit("min", "min", Dimension.TIME, "minute"), "min mins minute minutes"),
    (_unit("h", "h", Dimension.TIME, "hour"), "h hr hrs hour hours"),
    (DAY, "d day days"),
    (_unit("week", "weeks", Dimension.TIME, "week"), "week weeks"),
    (_unit("month", "months", Dimension.CALENDAR), "month months"),
    (_unit("year", "years", Dimension.CALENDAR, times=12), "year years"),
    (DROP, "drop drops gtt gtts"),
    (PART, "part parts"),
    (PERCENT, "% percent pct"),
)  # fmt: skip

UNITS: dict[str, Unit] = {name: unit for unit, names in _NAMES for name in names.split()}
"""Every accepted name of a unit."""

_WORDS = {name: unit for name, unit in UNITS.items() if len(name) > 2 and name.isalpha() and name.islower()}


def find_unit(name: str) -> Unit | None:
    """Return the unit of that name, or None: symbols as they are written, words in any case."""
    return UNITS.get(name) or _WORDS.get(name.casefold())


def unit_complaint(name: str, at: int = 0) -> Complaint:
    """Return the sentence about a unit that is not in the list."""
    instead = refused_unit(name)
    if instead:
        return Complaint(message=f"`{name}` {instead}.", at=at, rule="refused-unit")
    near = nearest(name, _WORDS, cutoff=0.75)
    hint = f" Did you mean {_WORDS[near].many}?" if near else ""
    return Complaint(
        message=f"`{name}` is not a unit of this book.{hint or ' Write %, mg, g, kg, mL, L, drops or parts.'}",
        at=at,
        rule="unknown-unit",
    )


# ── Numbers ───────────────────────────────────────────────────────────────────────────────────────────────────────

_NUMBER = re.compile(r"([0-9]+)(?:([.,])([0-9]+))?")
_MEASURED = re.compile(
    r"([0-9]+(?:[.,][0-9]+)?) ?((?:[%‰]|[A-Za-zµμÀ-ÖØ-öø-ÿ]+(?![A-Za-zÀ-ÖØ-öø-ÿ])))\.?(?![0-9.,])(.*)", re.DOTALL
)
_BARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?")


class Digits(NamedTuple):
    """An exact number and its digits with a decimal point."""

    value: Fraction
    text: str


def read_number(text: str, *, comma: bool = False, at: int = 0) -> Digits | Complaint:
    """Return the number, or a complaint; `comma` is true in a book whose decimal sign is the comma.

    Digits, one decimal point or comma, at most 15 digits, no sign, no exponent, no grouping.  The book's own decimal
    sign is never taken for the sign of a group; the other one is refused where it could be one.

    >>> read_number("0,2").value
    Fraction(1, 5)
    >>> read_number("1,000").message
    '1,000 can be read as 1.000 or as 1000: write 1.000 or 1000.'
    """
    match = _NUMBER.fullmatch(text)
    if match is None:
        return explain_number(text, at, comma=comma)
    whole, sign, decimals = match.groups(default="")
    if len(whole) + len(decimals) > MOST_DIGITS:
        return Complaint(message=f"{text[:20]}… has more than {MOST_DIGITS} digits.", at=at, rule="unreadable-number")
    own, other = (",", ".") if comma else (".", ",")
    if len(whole) > 1 and whole[0] == "0":
        plain = whole.lstrip("0") or "0"
        lost = "" if sign else f", or 0{own}{whole[1:]} if it lost its {'comma' if comma else 'point'}"
        message = f"{text} begins with a zero: write {plain}{sign and own}{decimals}{lost}."
        return Complaint(message=message, at=at, rule="unreadable-number")
    if sign == other and len(decimals) == 3 and len(whole) <= 3 and whole != "0":
        small, large = f"{whole}{own}{decimals}", f"{whole}{decimals}"
        message = f"{text} can be read as {small} or as {large}: write {small} or {large}."
        return Complaint(message=message, at=at, rule="ambiguous-number")
    if not sign:
        return Digits(Fraction(int(whole)), whole)
    return Digits(Fraction(int(whole + decimals), 10 ** len(decimals)), f"{whole}.{decimals}")


def read_measured(text: str, *, comma: bool = False, wanted: str = "5 g") -> Measured | Complaint:
    """Return the number and unit that the text begins with; `wanted` is an example for the complaint.

    >>> read_measured("0,2g of rose").text
    '0.2 g'
    >>> read_measured("3 tsp").message
    '`tsp` has no fixed weight: weigh it once and write grams.'
    """
    match = _MEASURED.match(text)
    if match is None:
        return explain_measured(text, wanted, comma=comma)
    written, name, rest = match.groups()
    number = read_number(written, comma=comma)
    if isinstance(number, Complaint):
        return number
    unit = UNITS.get(name) or find_unit(name)
    if unit is None:
        if name.casefold() in {"to", "or", "x", "e"}:
            return explain_number(text, comma=comma)
        return unit_complaint(name, match.start(2))
    gap = len(rest) - len(rest.lstrip())
    return Measured(number.value, number.text, unit, rest[gap:], match.start(3) + gap, written)


_FRACTIONS = {"½": "0.5", "¼": "0.25", "¾": "0.75", "⅓": "0.333", "⅔": "0.667", "⅛": "0.125", "⅕": "0.2", "⅙": "0.167"}

_REFUSED_NUMBERS: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"[-−–+±][ ]?[0-9.,]"), "has a plus or minus sign: write the number alone."),
    (re.compile(r"[~≈]|(?:about|ca\.?|circa|approx\.?|approximately|roughly)\b", re.IGNORECASE),
     "is not a fixed number: write the number alone (`about` belongs to `makes` and to q.s.)."),
    (re.compile(r"[<>≤≥]|(?:at most|at least|max\.?|min\.?|not more than)\b", re.IGNORECASE),
     "is a limit: write the number alone."),
    (re.compile(r"[0-9.,]+ ?[x×*] ?[0-9]"), "is a product: write what it comes to."),
    (re.compile(r"[0-9]+[./-][0-9]+[./-][0-9]{2,4}$"),
     "looks like a date: dates are written as 2026-04-03."),
    (re.compile(r"[0-9.,]+ ?(?:-|–|—|…|\.\.+|to|or) ?[0-9]"),
     "is a range: write one number."),
    (re.compile(r"[0-9.,]+ ?[eE] ?[-+−]?[0-9]|[0-9.,]+ ?[x×*·] ?10 ?[\^⁻⁰¹²³⁴-⁹]"),
     "is written with a power of ten: write the digits in full."),
    (re.compile(r"[0-9]*[.,][.,0-9]*[.,]"), "has more than one decimal sign."),
    (re.compile(r"[0-9]_"), "has an underscore in it: write the digits alone."),
)  # fmt: skip

_UNSEEN = re.compile("[\u00ad\u200b-\u200f\u2060\u2066-\u2069]")
_OTHER_SIGN = re.compile(r"([0-9]+)([·٫．，‚])([0-9]+)")
_WIDE = re.compile("[\uff01-\uff5e]|٪")
_NARROW = {0xFF01 + step: 0x21 + step for step in range(94)} | {ord("٪"): "%"}

_VAGUE = re.compile(
    r"(?:an? |some |one |two |few )*(?:pinch|dash|splash|handful|bit|little|few|some|squirt|knife.?point|"
    r"teaspoon|tablespoon|spoon|cup|touch)\w*\b.*",
    re.IGNORECASE,
)
_OF_EACH = re.compile(r"(?:aa|āā|a\.a\.|ana)\b", re.IGNORECASE)


_GROUPED = re.compile(r"([0-9]{1,3}(?:([ '’_.,])[0-9]{3})(?:\2[0-9]{3})*)(?:([.,·٫．，‚])([0-9]+))?(?![0-9])")
_FRACTION = re.compile(r"(?:([0-9]{1,6}) +)?([0-9]{1,6}) ?/ ?([0-9]{1,6})(?![0-9/])")
_NO_ZERO = re.compile(r"[.,]([0-9]+)(?![0-9.,])")
_ENDS = re.compile(r"([0-9]+)[.,](?![0-9])")


def _rewritten(text: str, comma: bool) -> tuple[str, str, str] | None:
    """Return how a number is written, what is wrong with that, and the same number as it is read; None if none is.

    >>> _rewritten("1 000,5 g", False)
    ('1 000,5', 'has its digits in groups', '1000.5')
    """
    own = "," if comma else "."
    match = _GROUPED.match(text)
    if match and (match[2] not in (".", ",") or match[1].count(match[2]) > 1 or match[3]) and match[2] != match[3]:
        digits = "".join(sign for sign in match[1] if sign.isdigit())
        return match[0], "has its digits in groups", f"{digits}{own}{match[4]}" if match[3] else digits
    match = _FRACTION.match(text)
    if match:
        value = int(match[1] or 0) + Fraction(int(match[2]), int(match[3])) if int(match[3]) else Fraction(1, 3)
        if 10**4 % value.denominator == 0:
            whole, decimals = divmod(int(value * 10**4), 10**4)
            written = f"{whole}.{decimals:04}".rstrip("0").rstrip(".").replace(".", own)
            return match[0], "is a fraction", written
        return match[0], "is a fraction", "a decimal"
    match = _NO_ZERO.match(text)
    if match:
        return match[0], "lacks the zero before the decimal sign", f"0{own}{match[1]}"
    match = _ENDS.match(text)
    return (match[0], "ends with a decimal sign", match[1]) if match else None


def _narrowed(text: str, comma: bool) -> str:
    """Return a text without full-width characters, as it is read; words where its number still would not be."""
    own = "," if comma else "."
    narrow = _OTHER_SIGN.sub(lambda found: f"{found[1]}{own}{found[3]}", text.translate(_NARROW), count=1)
    again = _rewritten(narrow, comma)
    if again:
        narrow = again[2] + narrow[len(again[0]) :]
    number = re.match(r"[0-9]+(?:[.,][0-9]+)?(?![\d.,·٫])", narrow)
    sound = number and not isinstance(read_number(number[0], comma=comma), Complaint)
    return narrow[:30] if sound else "it in ordinary characters"


def explain_number(text: str, at: int = 0, *, comma: bool = False) -> Complaint:
    """Return why the text is no number, as exactly as can be said; `comma` as for `read_number`."""
    shown = text if len(text) <= 30 else text[:30] + "…"
    own = "," if comma else "."
    for sign, decimal in _FRACTIONS.items():
        if sign in text:
            before = text[: text.index(sign)].strip()
            whole = before if before.isdecimal() and before.isascii() else ""
            value = (f"{whole}{decimal[1:]}" if whole else decimal).replace(".", own)
            name = text[text.index(sign) + 1 :].strip()
            instead = refused_unit(name)
            also = f"; and `{name}` {instead}" if instead else ""
            written = f"`{text[: text.index(sign) + 1].strip()}`" if whole else sign
            message = f"{written} is not a number here: write {value}{also}."
            return Complaint(message=message, at=at, rule="unreadable-number")
    for pattern, sentence in _REFUSED_NUMBERS:
        if pattern.match(text):
            return Complaint(message=f"`{shown}` {sentence}", at=at, rule="unreadable-number")
    rewritten = _rewritten(text, comma)
    if rewritten:
        message = f"`{rewritten[0]}` {rewritten[1]}: write {rewritten[2]}."
        return Complaint(message=message, at=at, rule="unreadable-number")
    unseen = _UNSEEN.search(text)
    if unseen:
        message = f"An invisible character (U+{ord(unseen[0]):04X}) stands here: delete it."
        return Complaint(message=message, at=at + unseen.start(), rule="unreadable-number")
    other = _OTHER_SIGN.match(text)
    if other:
        message = (
            f"`{other[0]}` has {other[2]} in it, which is not a decimal sign here: write {other[1]}{own}{other[3]}."
        )
        return Complaint(message=message, at=at, rule="unreadable-number")
    wide = _WIDE.search(text)
    if wide:
        message = f"`{shown}` holds {wide[0]}, a full-width character: type {_narrowed(text, comma)}."
        return Complaint(message=message, at=at, rule="unreadable-number")
    if any(sign.isdigit() and not sign.isascii() for sign in text):
        return Complaint(
            message=f"`{shown}` has digits that are not 0 to 9: type them as 0 to 9.", at=at, rule="unreadable-number"
        )
    return Complaint(message=f"`{shown}` is not a number: write it in digits.", at=at, rule="unreadable-number")


def explain_measured(text: str, wanted: str, *, comma: bool = False) -> Complaint:
    """Return why the text does not begin with a number and a unit; `comma` as for `read_number`."""
    shown = text if len(text) <= 40 else text[:40] + "…"
    if not text:
        return Complaint(message=f"Nothing is written here: write {wanted}.", rule="empty-value")
    if _BARE.fullmatch(text):
        return Complaint(message=f"{text} lacks a unit: write it as in {wanted}.", at=len(text), rule="missing-unit")
    if _OF_EACH.match(text):
        return Complaint(message="`aa` (of each) is not read: write the amount for each ingredient.")
    if _VAGUE.fullmatch(text):
        return Complaint(message=f"`{shown}` {WEIGH_IT}.")
    if "°" in text:
        return Complaint(message=f"`{shown}` is a temperature: write {wanted}.")
    number = explain_number(text, comma=comma)
    if "is not a number:" not in number.message:
        return number
    if find_unit(text) or refused_unit(text):
        return Complaint(message=f"`{shown}` lacks a number: write {wanted}.", rule="unreadable-number")
    return Complaint(message=f"`{shown}` cannot be read: write it as in {wanted}.")
