"""Values that are written as one text: use, periods, dates, what a formula makes.

Text in, a record of `model.py` or a `Complaint` out; `comma` is true in a book whose decimal sign is the comma.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import replace
from enum import StrEnum
from functools import cache
from typing import TypeVar

from ..findings import did_you_mean
from ..fraction import Fraction
from ..model import (
    ETHANOL,
    Basis,
    Contact,
    Content,
    DropperLine,
    DropperWeighing,
    Makes,
    Percent,
    Period,
    Person,
    Quantity,
    Site,
    Storage,
    StoragePlace,
    Use,
)
from ..units import DAY, Complaint, Dimension, Wanted, find_unit, read_measured, read_number
from ..wording.saying import Saying, says
from .amounts import ABOUT, read_percent, read_quantity, tidy
from .pieces import read_count

Choice = TypeVar("Choice", bound=StrEnum)


PERIODS = ("14 days", "2 weeks", "6 months", "1 year")
"""Periods as they may be written, for advice."""


def _impossible(told: Saying, at: int = 0) -> Complaint:
    return Complaint(says=told, at=at, rule="impossible-value")


def _wrong(told: Saying, at: int = 0) -> Complaint:
    return Complaint(says=told, at=at, rule="wrong-value")


@cache
def _by_name(choices: type[StrEnum]) -> dict[str, StrEnum]:
    return {choice.value.casefold(): choice for choice in choices}


def read_choice(text: str, choices: type[Choice]) -> Choice | Complaint:
    """Return the member of a closed list, in any case."""
    found = _by_name(choices).get(tidy(text).casefold())
    if found is not None:
        return found  # type: ignore[return-value]
    names = tuple(choice.value for choice in choices)
    hint = did_you_mean(text, names) or says("write-one", names=names)
    return _wrong(says("no-choice", text=text, hint=hint))


def read_whole(text: str, comma: bool) -> int | Complaint:
    """Return a whole number of 1 or more."""
    number = read_number(tidy(text), comma=comma)
    if isinstance(number, Complaint):
        return number
    if number.value.denominator != 1 or number.value < 1:
        return _impossible(says("no-whole-number", number=number.text))
    return int(number.value)


def read_yes_no(text: str, comma: bool) -> bool | Complaint:
    """Return yes or no as written in words."""
    low = tidy(text).casefold()
    if low in {"yes", "true"}:
        return True
    if low in {"no", "false"}:
        return False
    return _wrong(says("no-yes-or-no", text=text))


def read_makes(text: str, comma: bool) -> Makes | Complaint:
    """Return `100 g`, `1000 mL`, `about 1000 g`, `12 suppositories`."""
    text = tidy(text)
    pieces = read_count(text, comma)
    if pieces is not None:
        return pieces
    match = ABOUT.match(text)
    start = match.end() if match else 0
    quantity = read_quantity(text[start:], comma, ("100 g", "1000 mL"))
    if isinstance(quantity, Complaint):
        return quantity.behind(start)
    return Makes(quantity=quantity, about=match is not None)


def read_period(text: str, comma: bool) -> Period | Complaint:
    """Return `14 days`, `2 weeks`, `6 months`, `1 year`; whole days or calendar months."""
    found = read_measured(tidy(text), comma=comma, wanted=PERIODS)
    if isinstance(found, Complaint):
        if found.is_said("unknown-unit"):
            return replace(found, says=found.says.but(write=says("write-one", names=PERIODS)))
        return found
    if found.rest or found.unit.dimension not in {Dimension.TIME, Dimension.CALENDAR}:
        return Complaint(says=says("not-a-period", text=text, wanted=PERIODS))
    if not found.number:
        return _impossible(says("period-zero", said=found.said))
    amount = found.value / DAY.factor if found.unit.dimension is Dimension.TIME else found.value
    if amount.denominator != 1:
        return _impossible(says("period-broken", said=found.said))
    if amount > 36500:
        return _impossible(says("period-too-long", said=found.said))
    if found.unit.dimension is Dimension.TIME:
        return Period(days=int(amount), text=found.text)
    return Period(months=int(amount), text=found.text)


def read_date(text: str) -> str | Complaint:
    """Return a date written as 2026-04-03; of an old one the month (2026-04) or the year will do."""
    text = tidy(text)
    match = re.fullmatch(r"([0-9]{4})(?:-([0-9]{2})(?:-([0-9]{2}))?)?", text)
    if match is None:
        other = re.fullmatch(r"([0-9]{1,2})[./]([0-9]{1,2})[./]([0-9]{4})", text)
        if other:
            a, b, year = int(other[1]), int(other[2]), other[3]
            ways = [f"{year}-{m:02}-{d:02}" for m, d in ((b, a), (a, b)) if 1 <= m <= 12 and 1 <= d <= 31]
            wanted = tuple(dict.fromkeys(ways)) or ("2026-04-03",)
            return Complaint(says=says("date-of-others", text=text, wanted=wanted), rule="unreadable-date")
        return Complaint(says=says("no-date", text=text), rule="unreadable-date")
    year, month, day = (None if part is None else int(part) for part in match.groups())
    if not year:
        return Complaint(says=says("no-such-year", date=text), rule="impossible-date")
    if month is not None and not 1 <= month <= 12:
        return Complaint(says=says("no-such-month", date=text, month=month), rule="impossible-date")
    if month is not None and day is not None and not 1 <= day <= monthrange(year, month)[1]:
        return Complaint(says=says("no-such-day", date=text, day=day), rule="impossible-date")
    return text


def read_use(text: str, comma: bool) -> Use | Complaint:
    """Return `leave-on, face, adults`, or `intermediate`."""
    contact: Contact | None = None
    sites: list[Site] = []
    persons: list[Person] = []
    at = 0
    words = tidy(text)
    parts = [part.strip() for part in words.split(",")]
    if [part.casefold() for part in parts] == ["intermediate"]:
        return Use(intermediate=True, text="intermediate")
    for part in parts:
        at = words.find(part, at)
        low = part.casefold()
        if low == "intermediate":
            return _wrong(says("intermediate-alone"), at)
        if low in _CONTACTS:
            if contact is not None and contact is not _CONTACTS[low]:
                return _wrong(says("leave-on-or-rinse-off"), at)
            contact = _CONTACTS[low]
        elif low in _SITES:
            sites.append(_SITES[low])
        elif low in _PERSONS:
            persons.append(_PERSONS[low])
        else:
            known = (*_CONTACTS, *_SITES, *_PERSONS, "intermediate")
            hint = did_you_mean(part, known) or says("write-one", names=known)
            return _wrong(says("no-use", text=part, hint=hint), at)
    return Use(contact=contact, sites=tuple(dict.fromkeys(sites)), persons=tuple(dict.fromkeys(persons)),
               text=", ".join(parts))  # fmt: skip


_CONTACTS = {choice.value: choice for choice in Contact}
_SITES = {choice.value: choice for choice in Site}
_PERSONS = {choice.value: choice for choice in Person}


_LIKE_PERIOD = re.compile(r"(?:^|[\s0-9½¼¾])(?:day|week|month|year)s?$", re.IGNORECASE)


def read_storage(text: str, comma: bool) -> Storage | Complaint:
    """Return the short form `place, container, period`: the period comes last, each of the three may be left out.

    What ends like a period is one, or is refused: taken for a container, it would leave the longer rule in force.
    """
    words = tidy(text)
    parts = [part.strip() for part in re.split(r",(?!\d)|(?<!\d),", words)]
    period: Period | None = None
    for early in parts[1:-1]:
        if _LIKE_PERIOD.search(early):
            return _wrong(says("period-early", text=early), words.find(early))
    if parts[-1][:1].isdigit() or _LIKE_PERIOD.search(parts[-1]):
        read = read_period(parts[-1], comma)
        if isinstance(read, Complaint):
            return read.behind(words.rfind(parts[-1]))
        period = read
        parts.pop()
    if not parts:
        return Storage(period=period)
    place = read_choice(parts[0], StoragePlace)
    if isinstance(place, Complaint):
        return replace(place, says=says("place-first", says=place.says))
    return Storage(place=place, container=", ".join(parts[1:]), period=period)


_DRIED = re.compile(r"\s+of (?:the )?dried(?: \w+)?$", re.IGNORECASE)


_ENDS = re.compile(r"(|.*?\S(?=\s))\s*\bto\b\s*(.*)|(.*?[0-9%])\s*[-–—]\s*([0-9].*)", re.IGNORECASE)
"""Both ends of a range: `20 to 35 %`, `20-35 %`."""
_BARE = re.compile(r"[0-9][0-9.,]*")
"""A low end that leaves its unit to the high one."""


def read_content(substance: str, text: str, comma: bool) -> Content | Complaint:
    """Return how much of a substance a material carries: `80 %`, `20 to 35 %`, `98.4 % of dried`; of ethanol `96 %vol`.

    A range begins at 0 % or above and ends above its beginning; its low end may leave its unit to the high one.
    """
    words = tidy(text)
    match = _ENDS.fullmatch(words)
    if match is None:
        return _content(substance, words, comma)
    first, last = (1, 2) if match[2] is not None else (3, 4)
    begins, ends = match[first].strip(), match[last].strip()
    if not begins or not ends:
        return Complaint(says=says("range-of-one-end", text=words, wanted="20 to 35 %"))
    high = _content(substance, ends, comma)
    if isinstance(high, Complaint):
        return high.behind(match.start(last))
    number = _BARE.match(ends)
    unit = ends[number.end() :] if number and _BARE.fullmatch(begins) else ""
    low = _content(substance, begins + unit, comma, zero=True)
    if isinstance(low, Complaint):
        return low
    if (low.by_volume, low.of_dried) != (high.by_volume, high.of_dried):
        return Complaint(says=says("ends-differ", text=words, wanted="20 to 35 %"))
    if low.share > high.share:
        least, most = high.text.partition(" ")[0], low.text
        return Complaint(says=says("range-backwards", low=least, high=most), rule="impossible-value")
    if low.share == high.share:
        return high
    return replace(high, low=low.share, text=f"{low.text.partition(' ')[0]} to {high.text}")


def _content(substance: str, words: str, comma: bool, *, zero: bool = False) -> Content | Complaint:
    """Return one figure of what a material carries."""
    match = _DRIED.search(words)
    if substance.casefold() in ETHANOL and match is None:
        volume = read_percent(words, comma, zero=zero, wanted="96 %vol")
        if isinstance(volume, Percent) and volume.basis is Basis.VV and volume.substance is None:
            digits = volume.text.partition(" %")[0]
            return Content(substance=substance, share=volume.share, by_volume=True, text=f"{digits} %vol")
    percent = _by_weight(words[: match.start()] if match else words, comma, "80 %", zero=zero, of=substance)
    if isinstance(percent, Complaint):
        return percent
    of_dried = match is not None
    return Content(
        substance=substance,
        share=percent.share,
        of_dried=of_dried,
        text=f"{percent.text} of dried" if of_dried else percent.text,
    )


def _by_weight(text: str, comma: bool, wanted: Wanted, *, zero: bool = False, of: str = "") -> Percent | Complaint:
    """Return a share by weight; one by volume is refused, because it is another figure."""
    percent = read_percent(text, comma, zero=zero, wanted=wanted)
    if isinstance(percent, Complaint):
        return percent
    if percent.substance:
        return Complaint(says=says("substance-of-share", substance=percent.substance, wanted=wanted))
    if percent.basis in {None, Basis.WW}:
        return percent
    ethanol = says("ethanol-by-volume") if of else None
    return Complaint(says=says("no-share-by-weight", text=text, wanted=wanted, ethanol=ethanol))


def read_share(text: str, comma: bool) -> Percent | Complaint:
    """Return a share by weight above zero and of at most 100 %."""
    return _by_weight(tidy(text), comma, "5 %")


def read_share_or_none(text: str, comma: bool) -> Percent | Complaint:
    """Return a share by weight of 0 to 100 %."""
    return _by_weight(tidy(text), comma, "5 %", zero=True)


_DEGREES = re.compile(r"(\S+?) ?°C")
HOTTEST = Fraction(300)
"""Degrees Celsius beyond which no phase is made hot in a workroom; what is written beyond is a slip (own choice)."""


def read_heat(text: str, comma: bool) -> Fraction | Complaint:
    """Return degrees Celsius above zero: `40 °C`."""
    match = _DEGREES.fullmatch(tidy(text))
    if match is None:
        return _wrong(says("heat-wanted", text=text))
    number = read_number(match[1], comma=comma)
    if isinstance(number, Complaint):
        return number
    if not 0 < number.value <= HOTTEST:
        return _impossible(says("heat-impossible", number=number.text, most=HOTTEST))
    return number.value


_MILLIMETRES = re.compile(r"(\S+?) ?mm")
LONGEST_MM = Fraction(300)
"""Millimetres beyond which no label reaches: more than the largest paper is high."""


def read_length(text: str, comma: bool) -> Fraction | Complaint:
    """Return millimetres above zero: `63.5 mm`."""
    return _length(text, comma, zero=False)


def read_length_or_none(text: str, comma: bool) -> Fraction | Complaint:
    """Return millimetres, or nothing: `2.5 mm`, `0 mm`."""
    return _length(text, comma, zero=True)


def _length(text: str, comma: bool, *, zero: bool) -> Fraction | Complaint:
    match = _MILLIMETRES.fullmatch(tidy(text))
    if match is None:
        return _wrong(says("length-wanted", text=text))
    number = read_number(match[1], comma=comma)
    if isinstance(number, Complaint):
        return number
    if not (zero or number.value > 0) or number.value > LONGEST_MM:
        return _impossible(says("length-impossible", number=number.text, most=LONGEST_MM))
    return number.value


HIGHEST_HLB = Fraction(20)
"""The end of Griffin's scale for nonionic emulsifiers."""


def read_hlb(text: str, comma: bool) -> Fraction | Complaint:
    """Return an HLB on the scale of nonionic emulsifiers: above 0 and up to 20."""
    number = read_number(tidy(text), comma=comma)
    if isinstance(number, Complaint):
        return number
    if not 0 < number.value <= HIGHEST_HLB:
        return _impossible(says("hlb-impossible", number=number.text, most=HIGHEST_HLB))
    return number.value


def read_mass(text: str, comma: bool, wanted: Wanted = "0.01 g") -> Fraction | Complaint:
    """Return a weight in grams, above zero; `wanted` is an example for the complaint."""
    quantity = read_quantity(text, comma, wanted)
    if isinstance(quantity, Complaint):
        return quantity
    if quantity.unit != "g":
        return Complaint(says=says("volume-for-weight", text=quantity.text, wanted=wanted))
    return quantity.value


def read_capacity(text: str, comma: bool) -> Fraction | Complaint:
    """Return the most that a balance holds, in grams."""
    return read_mass(text, comma, "200 g")


def read_part(text: str, comma: bool) -> Quantity | Complaint:
    """Return the weight or volume of one part."""
    return read_quantity(text, comma, "6 g")


_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")


def read_language(text: str, comma: bool) -> str | Complaint:
    """Return the language's code, such as en or de-CH."""
    text = tidy(text)
    if _LANGUAGE.fullmatch(text):
        return text
    return _wrong(says("no-language", text=text))


_WEIGHING = re.compile(r"([0-9.,]+) ?(?:drops?|gtts?)(?![a-z])\.? ?(?:[=:,]|weigh(?:ed)?)? ?(.+)", re.IGNORECASE)
WEIGHING = "20 drops 0.52 g"
"""A weighing as it is typed, in a book with a decimal point."""
_SPAN = re.compile(r"(.+?) ?\( ?(.+?) ?(?:to|-|–) ?(.+?) ?\)")


def read_weighing(text: str, comma: bool) -> DropperWeighing | Complaint:
    """Return `20 drops 0.52 g`."""
    words = tidy(text)
    match = _WEIGHING.fullmatch(words)
    if match is None:
        return Complaint(says=says("no-weighing", text=words))
    drops = read_whole(match[1], comma)
    if isinstance(drops, Complaint):
        return drops
    grams = read_mass(match[2], comma, WEIGHING)
    if isinstance(grams, Complaint):
        return grams.behind(match.start(2))
    digits = re.match(r"([0-9]+)[.,]?([0-9]*)", match[2])
    assert digits is not None, "what is read as a mass begins with digits"
    return DropperWeighing(drops=drops, grams=grams, digit_g=grams / int(digits[1] + digits[2]))


def read_dropper(dropper: str, text: str, comma: bool) -> DropperLine | Complaint:
    """Return `0.025 g`, `0.025 g (0.020 to 0.030 g)`, or weighings parted by commas."""
    words = tidy(text)
    if _WEIGHING.match(words):
        weighings: list[DropperWeighing] = []
        for part in re.split(r",(?!\d)|(?<!\d),", words):
            weighing = read_weighing(part, comma)
            if isinstance(weighing, Complaint):
                return weighing
            weighings.append(weighing)
        return DropperLine(dropper=dropper, weighings=tuple(weighings), text=words)
    match = _SPAN.fullmatch(words)
    stated = read_mass(match[1] if match else words, comma, "0.025 g")
    if isinstance(stated, Complaint):
        return stated
    if match is None:
        return DropperLine(dropper=dropper, stated_g=stated, text=words)
    low_text = match[2]
    if find_unit(low_text.split(" ")[-1]) is None and low_text[-1:].isdigit():
        low_text = f"{low_text} {match[3].lstrip('0123456789.,').strip()}"  # 0.020 to 0.030 g: the unit stands once
    low, high = (read_mass(part, comma, "0.025 g") for part in (low_text, match[3]))
    if isinstance(low, Complaint):
        return replace(low, at=match.start(2))
    if isinstance(high, Complaint):
        return replace(high, at=match.start(3))
    if not low <= stated <= high:
        told = says("not-between", stated=match[1], low=match[2], high=match[3])
        return _impossible(told, match.start(2))
    return DropperLine(dropper=dropper, stated_g=stated, low_g=low, high_g=high, text=words)
