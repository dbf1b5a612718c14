"""Materials gathered on sheets: which names stand together, so that little paper is used and little is printed anew.

Enters: names in the order of the book, and what tells whether some of them fit on one sheet.  Leaves: the sheets, each
with the letters that it holds.  What is on one sheet when it runs over is parted at a letter that never depends on
what is in the book; so two sheets take the place of one and all others stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from string import ascii_lowercase
from typing import Protocol

from ..language import word
from ..look.closeness import Column

FIRST_CUTS = "ldscgptbehmrvfinokwjquxyz"
"""Letters before which names are parted by their first letter, the first that parts them at all: each leaves about as
many names of materials on either side.  Common practice, no source."""
NEXT_CUTS = "leoipruhbtymncfdgjkqsvwxz"
"""The same for a later letter."""
DEEPEST = 3
"""Letters by which names are parted; those that agree in more are parted by number."""

POINTS = (12, 11, 10)
"""Sizes of the type, pt, the largest first, of a sheet that has room for it; else it is `LEAST`, the one that heights
are reckoned for."""
LEAST = 9
HEADING = 9
"""Height of the heading of a sheet, mm."""
SURE = 0.97
"""Part of a side that is filled by the estimate, which may be too low."""

_DIGITS = re.compile(r"\d+")


class Fits(Protocol):
    """Tells whether names fit on one sheet, in type that is larger by a factor than the least."""

    def __call__(self, keys: Sequence[str], larger: float = 1, /) -> bool:
        """Judge the keys, which stand in the order of the book."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """The names on one sheet."""

    code: str
    """Where its letters begin, in an address: `d`, `ci`, `oil-2`."""
    words: str
    """Its letters in words: `D to F`, `Ci to Cz`, `Oil, 2`."""
    keys: tuple[str, ...]
    """Keys of the materials, in the order of the book."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stretch:
    """Names that agree in their beginning, and whose next letter is one of a stretch of the alphabet."""

    begin: str
    """The letters in which they agree."""
    low: int
    """Number of the first letter of the stretch; 0 takes in what stands before all letters, and where a name ends."""
    high: int
    """Number of the first letter behind the stretch; 26 takes in what stands behind all letters."""
    names: tuple[tuple[str, str], ...]
    """Name as it is parted, and key."""

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of its names."""
        return tuple(key for _, key in self.names)

    def letter(self, name: str) -> int:
        """Return the number of a name's next letter, of the letters that part names."""
        sign = name[len(self.begin) : len(self.begin) + 1]
        return 0 if sign < "a" else min(ord(sign) - ord("a"), 25)

    def within(self, low: int, high: int) -> _Stretch:
        """Return the part of it in a shorter stretch of the alphabet."""
        names = tuple(named for named in self.names if low <= self.letter(named[0]) < high)
        return _Stretch(begin=self.begin, low=low, high=high, names=names)

    @property
    def code(self) -> str:
        """Where it begins, in an address; a stretch that begins with the alphabet is called by what its names share."""
        return (self.begin + (ascii_lowercase[self.low] if self.low or not self.begin else "")).strip()

    @property
    def words(self) -> str:
        """Its letters in words."""
        first, last = (f"{self.begin}{ascii_lowercase[at]}".capitalize() for at in (self.low, self.high - 1))
        if self.begin and (self.low, self.high) == (0, 26):
            return self.begin.capitalize()
        return first if first == last else word("{first} to {last}", first=first, last=last)


def on_one_sheet(heights: Mapping[str, float], column: Column, sides: int) -> Fits:
    """Return what tells whether names fit on so many sides, none of them parted; `heights` are in mm, by key.

    What is higher than a side begins one and fills as many as it takes.  Type that is larger by a factor takes the
    square of it.
    """
    full = column.height * SURE

    def fits(keys: Sequence[str], larger: float = 1) -> bool:
        used, left = 1, full - HEADING * larger
        for key in keys:
            height = heights[key] * larger**2
            if height > left:
                used, left = used + ceil(height / full), full * ceil(height / full)
            left -= height
        return used <= sides

    return fits


def points_for(keys: Sequence[str], fits: Fits) -> int:
    """Return the largest size of type in which names fit on their sheet, pt."""
    return next((points for points in POINTS if fits(keys, points / LEAST)), LEAST)


def gathered(named: Sequence[tuple[str, str]], fits: Callable[[Sequence[str]], bool]) -> Iterator[Gathered]:
    """Yield the sheets for names with their keys, which stand in natural order; `fits` judges keys in that order.

    >>> names = [(name, name) for name in ("almond oil", "borax", "castor oil", "clay", "zinc oxide")]
    >>> [sheet.words for sheet in gathered(names, lambda keys: len(keys) < 3)]
    ['A to B', 'C', 'L to Z']
    >>> [sheet.words for sheet in gathered([*names[:3], ("chalk", ""), *names[3:]], lambda keys: len(keys) < 3)]
    ['A to B', 'Ca to Ck', 'Cl to Cz', 'L to Z']
    """
    names = tuple((_parted(name), key) for name, key in named)
    yield from _sheets(_Stretch(begin="", low=0, high=26, names=names), fits)


def _parted(name: str) -> str:
    """Return a name as it is parted: in one case, numbers before all other signs and each as long as it is large."""

    def number(found: re.Match[str]) -> str:
        digits = found[0].lstrip("0")
        return "".join(chr(1 + int(sign)) for sign in f"{len(digits):03}{digits}")

    return _DIGITS.sub(number, name.casefold())


def _sheets(stretch: _Stretch, fits: Callable[[Sequence[str]], bool]) -> Iterator[Gathered]:
    """Yield the sheets of a stretch: one where all fits or there is but one name, else those of its parts."""
    if not stretch.names:
        return
    if len(stretch.names) == 1 or fits(stretch.keys):
        yield Gathered(code=stretch.code, words=stretch.words, keys=stretch.keys)
    elif stretch.high - stretch.low > 1:
        at = next(at for at in _cuts(stretch.begin) if stretch.low < at < stretch.high)
        yield from _sheets(stretch.within(stretch.low, at), fits)
        yield from _sheets(stretch.within(at, stretch.high), fits)
    else:
        begin = stretch.begin + ascii_lowercase[stretch.low]
        if len(begin) <= DEEPEST and all(name.startswith(begin) for name, _ in stretch.names):
            yield from _sheets(_Stretch(begin=begin, low=0, high=26, names=stretch.names), fits)
        else:
            yield from _numbered(stretch, fits)


def _cuts(begin: str) -> Iterator[int]:
    return (ascii_lowercase.index(letter) for letter in (NEXT_CUTS if begin else FIRST_CUTS))


def _numbered(stretch: _Stretch, fits: Callable[[Sequence[str]], bool]) -> Iterator[Gathered]:
    """Yield sheets that are filled one after the other: a change in one may change those behind it."""
    begun: list[str] = []
    sheets: list[tuple[str, ...]] = []
    for _, key in stretch.names:
        if begun and not fits((*begun, key)):
            sheets.append(tuple(begun))
            begun = []
        begun.append(key)
    code, words = stretch.code, stretch.begin.capitalize() if stretch.begin and not stretch.low else stretch.words
    for number, keys in enumerate((*sheets, tuple(begun)), 1):
        yield Gathered(
            code=code if number == 1 else f"{code}-{number}",
            words=words if number == 1 else f"{words}, {number}",
            keys=keys,
        )
