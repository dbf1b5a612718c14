"""A duration in figures, and whether its words say it themselves, so that no figure stands beside them.

Common practice, no source: the ways in which a method writes a time.
"""

from __future__ import annotations

from functools import lru_cache

from ..language import noted
from ..show import counted

_IN_FIGURES = ((86400, noted("day")), (3600, noted("hour")), (60, noted("minute")), (1, noted("second")))
"""Seconds of each unit that a duration is printed in, and its name."""
_CLOCK = ((604800, "week"), (86400, "day"), (3600, "hour"), (60, "minute"), (1, "second"))
"""Seconds of each unit, and its name."""
_SPELT = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
    "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty",
)  # fmt: skip
_TENS = {30: "thirty", 40: "forty", 50: "fifty", 60: "sixty", 90: "ninety"}
_GERMAN = {"week": "woche", "day": "tag", "hour": "stunde", "minute": "minute", "second": "sekunde"}
_SPELT_GERMAN = (
    "eine", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun", "zehn", "elf", "zwölf", "dreizehn",
    "vierzehn", "fünfzehn", "sechzehn", "siebzehn", "achtzehn", "neunzehn", "zwanzig",
)  # fmt: skip
_OTHERWISE = {
    900: "a quarter of an hour",
    1800: "half an hour",
    2700: "three quarters of an hour",
    5400: "an hour and a half",
    43200: "half a day",
}
"""Seconds → what is said of them in other words."""


def says_duration(words: str, seconds: int) -> bool:
    """Tell whether words name a duration as a person writes it: `five minutes`, `a day`, `half an hour`, `20 min`.

    A figure in the words counts, as nobody writes another one beside it.

    >>> says_duration("Ten minutes", 600), says_duration("overnight", 43200)
    (True, False)
    >>> says_duration("fünf Minuten", 300), says_duration("zwei Tage", 172800), says_duration("über Nacht", 43200)
    (True, True, False)
    """
    said = " ".join(words.casefold().split())
    return any(sign.isdigit() for sign in said) or said in _ways(seconds)


@lru_cache(maxsize=1024)
def _ways(seconds: int) -> frozenset[str]:
    found = {_OTHERWISE.get(seconds, "")}
    for size, unit in _CLOCK:
        count, rest = divmod(seconds, size)
        if rest or not count:
            continue
        word = _SPELT[count - 1] if count <= len(_SPELT) else _TENS.get(count, "")
        found.add(f"{word} {unit}{'' if count == 1 else 's'}")
        if count <= len(_SPELT_GERMAN):
            number, german = _SPELT_GERMAN[count - 1], _GERMAN[unit]
            ends = ("",) if count == 1 else ("e", "en") if unit == "day" else ("n",)
            found |= {f"{said} {german}{end}" for end in ends for said in {number, "ein" if count == 1 else number}}
        if count == 1:
            found.add(f"{'an' if unit == 'hour' else 'a'} {unit}")
    return frozenset(found)


def duration(seconds: int) -> str:
    """Return a duration in its largest units: `5 minutes`, `1 hour 30 minutes`, `3 days`.

    >>> duration(5400).replace("\u00a0", " "), duration(86400).replace("\u00a0", " ")
    ('1 hour 30 minutes', '1 day')
    """
    parts = []
    for size, unit in _IN_FIGURES:
        count, seconds = divmod(seconds, size)
        if count:
            parts.append(counted(count, unit))
    return " ".join(parts) or counted(0, "second")


def duration_machine(seconds: int) -> str:
    """Return a duration for `<time datetime>` by ISO 8601: `PT5M`, `P3D`."""
    days, rest = divmod(seconds, 86400)
    hours, rest = divmod(rest, 3600)
    minutes, rest = divmod(rest, 60)
    clock = "".join(f"{count}{letter}" for count, letter in ((hours, "H"), (minutes, "M"), (rest, "S")) if count)
    return "P" + (f"{days}D" if days else "") + (f"T{clock}" if clock else "" if days else "T0S")
