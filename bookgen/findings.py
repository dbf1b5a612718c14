"""Places, findings, and the one form of "not known".

Every room uses these three records; none of them knows the trade.  A `Finding` is what the check has to say;
a `Missing` stands where a figure would stand if it were known.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import lru_cache
from itertools import chain, groupby

from .show import POINT, Signs
from .swift import swift
from .wording.saying import Saying, says


@swift
@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Place:
    """Where in the book something is written."""

    path: str = ""
    """The file, relative to the book's folder, with forward slashes; empty when no file is concerned."""
    line: int = 0
    """Line in the file, counted from 1; 0 when the whole file is meant."""
    column: int = 0
    """Column in the line, counted from 1 in characters; 0 when the whole line is meant."""

    def __str__(self) -> str:
        parts = [self.path or "(no file)"]
        if self.line:
            parts.append(str(self.line))
            if self.column:
                parts.append(str(self.column))
        return ":".join(parts)


NOWHERE = Place()


class Places(Mapping[str, Place]):
    """Key as written in one file → where its value stands; a place is made when it is asked for.

    Of a book of thousands hardly any is, and as bytes lines and columns take a sixth of the memory.
    """

    __slots__ = ("_at", "_keys", "_path")

    def __init__(self, path: str, at: Mapping[str, tuple[int, int]]) -> None:
        self._path = path
        self._keys = _held(tuple(at))
        self._at = b"".join(number.to_bytes(_BYTES, "big") for number in chain.from_iterable(at.values()))

    def __getitem__(self, key: str) -> Place:
        if key not in self._keys:
            raise KeyError(key)
        start = 2 * _BYTES * self._keys.index(key)
        line, column = (self._at[at : at + _BYTES] for at in (start, start + _BYTES))
        return Place(path=self._path, line=int.from_bytes(line, "big"), column=int.from_bytes(column, "big"))

    def __contains__(self, key: object) -> bool:
        return key in self._keys

    def __iter__(self) -> Iterator[str]:
        return iter(self._keys)

    def __len__(self) -> int:
        return len(self._keys)

    def __repr__(self) -> str:
        return f"Places({dict(self)!r})"


_BYTES = 4
"""Bytes of a line or a column: more of either than any file has that is read."""


@lru_cache(maxsize=256)
def _held(keys: tuple[str, ...]) -> tuple[str, ...]:
    """Return the same keys for the same: most files of a book have those that another has."""
    return keys


class Severity(StrEnum):
    """How grave a finding is; the order is the order of reading."""

    ERROR = "error"
    """Bars the formula and the formulas that use it."""
    QUERY = "query"
    """What a pharmacist would ask about a prescription before making it."""
    NOTE = "note"
    """Worth knowing; nothing has to be done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing the check has to say, in one sentence for a practitioner."""

    severity: Severity
    """Error, query or note."""
    rule: str
    """The rule in words, lower case with hyphens; stable, for machine readers."""
    says: Saying
    """One sentence: what was found, what was wanted, what to do."""
    place: Place
    """Where it is written."""
    concerns: str = ""
    """Code of the formula or material that it concerns; empty for the workroom or a file that is neither."""
    title: str = ""
    """What the sentence begins with: a title, or the file; empty where it is said of none."""
    signs: Signs = POINT
    """How its book prints numbers."""

    @property
    def message(self) -> str:
        """The sentence in words, with title and line before it, as a practitioner would say it."""
        return self.told.words(self.signs)

    @property
    def told(self) -> Saying:
        """The sentence with title and line before it."""
        if not self.title:
            return self.says
        if not self.place.line:
            return says("in-file", title=self.title, says=self.says)
        return says("in-line", title=self.title, line=self.place.line, says=self.says)

    def __str__(self) -> str:
        return f"{self.place}: {self.severity}: {self.message} [{self.rule}]"


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A figure that is not known, and why.  It is never replaced by nothing, zero or a guess."""

    says: Saying
    """Why it is not known, as a clause that can follow "not known: "."""
    place: Place = NOWHERE
    """Where the cause is written."""
    reported: bool = False
    """True when a finding already says so; no rule then judges what rests on it."""
    cause: str = ""
    """A rule's name in words when a rule of the review has to report it, such as `missing-density`."""

    @property
    def reason(self) -> str:
        """The clause in words for machines, which read a decimal point; people read it by `says.words`."""
        return str(self.says)


_RANK = {severity: rank for rank, severity in enumerate(Severity)}


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings by file, line, column, then gravity; repeated ones once."""
    alike = (list(group) for _, group in groupby(sorted(findings, key=_where), key=_where))
    # What stands alone at its place is neither hashed nor put into words.
    return tuple(finding for group in alike for finding in (group if len(group) == 1 else _by_words(group)))


def _by_words(alike: list[Finding]) -> list[Finding]:
    """Return findings of one place and rule by their sentences, repeated ones once."""
    return sorted(dict.fromkeys(alike), key=lambda finding: finding.message)


def _where(finding: Finding) -> tuple[Place, int, str]:
    return finding.place, _RANK[finding.severity], finding.rule


def nearest(name: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """Return the known name most like the one typed, ignoring case, or None when none is near.

    `cutoff` is how like it has to be, from 0 to 1.

    >>> nearest("glycerl", ["glycerol-85", "glycerol"])
    'glycerol'
    """
    names = {name.casefold(): name for name in known}
    close = get_close_matches(name.casefold(), names, n=1, cutoff=cutoff)
    return names[close[0]] if close else None


def did_you_mean(name: str, known: Iterable[str]) -> Saying | None:
    """Return the question which known name was meant, to stand behind a sentence; None when none is near."""
    close = nearest(name, known)
    return says("mean", name=close) if close else None
