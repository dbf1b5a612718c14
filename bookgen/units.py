"""Numbers and units as people write them, read into exact values or into a complaint that says what to write.

In goes text, out comes a `Measured` (number, unit, what follows) or a `Complaint`.  This is the only room that knows
Pint: it asks for the factor between two units whose names stand in the closed list below, and hands over names only,
because Pint by itself reads `2.5.1 g` as 1/4 g.  Nothing here guesses: what can be read in two ways is refused and
both readings are named.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from typing import Any, NamedTuple

from .findings import nearest
from .fraction import Fraction
from .refused import REFUSED_UNITS as REFUSED_UNITS
from .refused import WEIGH_IT, refused_unit
from .wording.saying import Saying, says

MOST_DIGITS = 15
"""Longest number that is read; no balance, bottle or book needs more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """Why a text cannot be read, and what to write instead."""

    says: Saying
    """One sentence: what was found, what to write."""
    at: int = 0
    """Where in the text, in characters from its beginning."""
    rule: str = "unreadable-value"
    """The rule in words, lower case with hyphens."""

    def is_said(self, *keys: str) -> bool:
        """Tell whether it is one of these sentences."""
        return self.says.key in keys

    def behind(self, before: int) -> Complaint:
        """Return the same complaint about a text that so many characters stand before."""
        return replace(self, at=self.at + before)


Wanted = str | tuple[str, ...]
"""Examples of what is wanted, for a complaint: one, or several to choose from."""


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
    why = refused_unit(name)
    if why:
        return Complaint(says=says("refused-unit", name=name, why=why), at=at, rule="refused-unit")
    meant = _meant(name)
    mean, write = (says("mean", name=meant.many), None) if meant else (None, says("write-units"))
    return Complaint(says=says("unknown-unit", name=name, mean=mean, write=write), at=at, rule="unknown-unit")


def _meant(name: str) -> Unit | None:
    """Return the unit that was probably meant: a symbol in other capitals, such as mg for `Mg`; else a word like it."""
    same = next((unit for known, unit in UNITS.items() if known.casefold() == name.casefold()), None)
    near = None if same else nearest(name, _WORDS, cutoff=0.75)
    return _WORDS[near] if near else same


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
    >>> print(read_number("1,000").says)
    1,000 can be read as 1.000 or as 1000: write 1.000 or 1000.
    """
    match = _NUMBER.fullmatch(text)
    if match is None:
        return explain_number(text, at, comma=comma)
    whole, sign, decimals = match.groups(default="")
    if len(whole) + len(decimals) > MOST_DIGITS:
        return _not_read(says("digits-too-many", text=text, most=MOST_DIGITS), at)
    own, other = (",", ".") if comma else (".", ",")
    if len(whole) > 1 and whole[0] == "0":
        plain = whole.lstrip("0") or "0"
        if sign:
            return _not_read(says("zero-first", text=text, plain=f"{plain}{own}{decimals}"), at)
        small, lost = f"0{own}{whole[1:]}", "comma" if comma else "point"
        return _not_read(says("zero-first-or-lost", text=text, plain=plain, small=small, sign=lost), at)
    if sign == other and len(decimals) == 3 and len(whole) <= 3 and whole != "0":
        small, large = f"{whole}{own}{decimals}", f"{whole}{decimals}"
        told = says("thousand-or-not", text=text, small=small, large=large)
        return Complaint(says=told, at=at, rule="ambiguous-number")
    if not sign:
        return Digits(Fraction(int(whole)), whole)
    return Digits(Fraction(int(whole + decimals), 10 ** len(decimals)), f"{whole}.{decimals}")


def _not_read(told: Saying, at: int = 0) -> Complaint:
    return Complaint(says=told, at=at, rule="unreadable-number")


def read_measured(text: str, *, comma: bool = False, wanted: Wanted = "5 g") -> Measured | Complaint:
    """Return the number and unit that the text begins with; `wanted` is what the complaint says to write.

    >>> read_measured("0,2g of rose").text
    '0.2 g'
    >>> print(read_measured("3 tsp").says)
    `tsp` has no fixed weight: weigh it once and write grams.
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

_REFUSED_NUMBERS: tuple[tuple[re.Pattern[str], Saying], ...] = (
    (re.compile(r"[-−–+±][ ]?[0-9.,]"), says("sign")),
    (re.compile(r"[~≈]|(?:about|ca\.?|circa|approx\.?|approximately|roughly)\b", re.IGNORECASE),
     says("rough")),
    (re.compile(r"[<>≤≥]|(?:at most|at least|max\.?|min\.?|not more than)\b", re.IGNORECASE),
     says("limit")),
    (re.compile(r"[0-9.,]+ ?[x×*] ?[0-9]"), says("product")),
    (re.compile(r"[0-9]{1,4}[./-][0-9]{1,2}[./-][0-9]{2,4}$"),
     says("date-like")),
    (re.compile(r"[0-9.,]+ ?(?:-|–|—|…|\.\.+|to|or) ?[0-9]"),
     says("range")),
    (re.compile(r"[0-9.,]+ ?[eE] ?[-+−]?[0-9]|[0-9.,]+ ?[x×*·] ?10 ?[\^⁻⁰¹²³⁴-⁹]"),
     says("power-of-ten")),
    (re.compile(r"[0-9]_"), says("underscore")),
)  # fmt: skip

_TWO_SIGNS = re.compile(r"[0-9]*[.,][.,0-9]*[.,]")
_UNSEEN = re.compile("[\u00ad\u200b-\u200f\u2060\u2066-\u2069]")
_OTHER_SIGN = re.compile(r"([0-9]+)([·٫．，‚])([0-9]+)")
_WIDE = re.compile("[\uff01-\uff5e]|٪")
_NARROW = {0xFF01 + step: 0x21 + step for step in range(94)} | {ord("٪"): "%", 0xA0: " ", 0x202F: " ", 0x2009: " "}

_VAGUE = re.compile(
    r"(?:an? |some |one |two |few )*(?:pinch|dash|splash|handful|bit|little|few|some|squirt|knife.?point|"
    r"teaspoon|tablespoon|spoon|cup|touch)\w*\b.*",
    re.IGNORECASE,
)
_OF_EACH = re.compile(r"(?:aa|āā|a\.a\.|ana)\b", re.IGNORECASE)


_GROUPED = re.compile(r"([0-9]{1,3}(?:([ '’_.,])[0-9]{3})(?:\2[0-9]{3})*)(?:([.,·٫．，‚])([0-9]+))?(?![0-9])")
_FRACTION = re.compile(r"(?:([0-9]{1,6}) +)?([0-9]{1,6}) ?/ ?([0-9]{1,6})(?![0-9/])")
_NO_ZERO = re.compile(r"[.,]([0-9]+)(?![0-9.,])")
_ENDS = re.compile(r"([0-9]+)[.,](?![0-9.,])")


class Rewritten(NamedTuple):
    """A number that is written otherwise than it is read."""

    text: str
    """How it is written."""
    why: Saying
    """What is wrong with that."""
    number: str | None
    """The same number as it is read; None where no decimal is as much."""


def _rewritten(text: str, comma: bool) -> Rewritten | None:
    """Return how a number is to be written instead; None for a text that is none.

    >>> _rewritten("1 000,5 g", False).number
    '1000.5'
    """
    own = "," if comma else "."
    match = _GROUPED.match(text)
    if match and (match[2] not in (".", ",") or match[1].count(match[2]) > 1 or match[3]) and match[2] != match[3]:
        digits = "".join(sign for sign in match[1] if sign.isdigit())
        return Rewritten(match[0], says("grouped"), f"{digits}{own}{match[4]}" if match[3] else digits)
    match = _FRACTION.match(text)
    if match:
        value = int(match[1] or 0) + Fraction(int(match[2]), int(match[3])) if int(match[3]) else Fraction(1, 3)
        if 10**4 % value.denominator == 0:
            whole, decimals = divmod(int(value * 10**4), 10**4)
            written = f"{whole}.{decimals:04}".rstrip("0").rstrip(".").replace(".", own)
            return Rewritten(match[0], says("fraction"), written)
        return Rewritten(match[0], says("fraction"), None)
    match = _NO_ZERO.match(text)
    if match:
        return Rewritten(match[0], says("zero-lacking"), f"0{own}{match[1]}")
    match = _ENDS.match(text)
    return Rewritten(match[0], says("sign-last"), match[1]) if match else None


def _narrowed(text: str, comma: bool) -> str | None:
    """Return a text without full-width characters, as it is read; None where its number still would not be."""
    own = "," if comma else "."
    narrow = _OTHER_SIGN.sub(lambda found: f"{found[1]}{own}{found[3]}", text.translate(_NARROW), count=1)
    again = _rewritten(narrow, comma)
    if again:
        narrow = (again.number or "") + narrow[len(again.text) :]
    number = re.match(r"[0-9]+(?:[.,][0-9]+)?(?![\d.,·٫])", narrow)
    sound = number and not isinstance(read_number(number[0], comma=comma), Complaint)
    return narrow if sound else None


def explain_number(text: str, at: int = 0, *, comma: bool = False) -> Complaint:
    """Return why the text is no number, as exactly as can be said; `comma` as for `read_number`."""
    own = "," if comma else "."
    for sign, decimal in _FRACTIONS.items():
        if sign in text:
            return _not_read(_fraction_sign(text, sign, decimal, own), at)
    for pattern, why in _REFUSED_NUMBERS:
        if pattern.match(text):
            return _not_read(says("number-refused", text=text, why=why), at)
    rewritten = _rewritten(text, comma)
    if rewritten:
        written, why, number = rewritten
        if number is None:
            return _not_read(says("fraction-endless", text=written), at)
        return _not_read(says("number-rewritten", text=written, why=why, number=number), at)
    if _TWO_SIGNS.match(text):
        return _not_read(says("number-refused", text=text, why=says("two-signs")), at)
    unseen = _UNSEEN.search(text)
    if unseen:
        return _not_read(says("invisible", code=f"{ord(unseen[0]):04X}"), at + unseen.start())
    other = _OTHER_SIGN.match(text)
    if other:
        number = f"{other[1]}{own}{other[3]}"
        return _not_read(says("sign-of-others", text=other[0], sign=other[2], number=number), at)
    wide = _WIDE.search(text)
    if wide:
        number = _narrowed(text, comma)
        if number is None:
            return _not_read(says("full-width-text", text=text, sign=wide[0]), at)
        return _not_read(says("full-width", text=text, sign=wide[0], number=number), at)
    if any(sign.isdigit() and not sign.isascii() for sign in text):
        return _not_read(says("digits-of-others", text=text), at)
    return _not_read(says("no-number", text=text), at)


def _fraction_sign(text: str, sign: str, decimal: str, own: str) -> Saying:
    """Return what to write for a fraction that is one character, and for the unit behind it where that is refused."""
    before = text[: text.index(sign)].strip()
    whole = before if before.isdecimal() and before.isascii() else ""
    name = text[text.index(sign) + 1 :].strip()
    why = refused_unit(name)
    unit = says("and-unit", name=name, why=why) if why else None
    if not whole:
        return says("fraction-sign", sign=sign, value=decimal.replace(".", own), unit=unit)
    value = f"{whole}{decimal[1:]}".replace(".", own)
    return says("fraction-sign-behind", text=text[: text.index(sign) + 1].strip(), value=value, unit=unit)


def explain_measured(text: str, wanted: Wanted, *, comma: bool = False) -> Complaint:
    """Return why the text does not begin with a number and a unit; `comma` as for `read_number`."""
    if not text:
        return Complaint(says=says("nothing-here", wanted=wanted), rule="empty-value")
    if _BARE.fullmatch(text):
        return Complaint(says=says("unit-missing", text=text, wanted=wanted), at=len(text), rule="missing-unit")
    if _OF_EACH.match(text):
        return Complaint(says=says("of-each"))
    if _VAGUE.fullmatch(text):
        return Complaint(says=says("no-measure", text=text, why=WEIGH_IT))
    if "°" in text:
        return Complaint(says=says("temperature", text=text, wanted=wanted))
    number = explain_number(text, comma=comma)
    if not number.is_said("no-number"):
        return number
    if find_unit(text) or refused_unit(text):
        return _not_read(says("number-missing", text=text, wanted=wanted))
    return Complaint(says=says("unreadable", text=text, wanted=wanted))
