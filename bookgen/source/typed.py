"""Quantities typed as words beside an ingredient's name: they will be wrong at the next batch size."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from ..model import Drops, Formula, Mass, Material, Percent, Quantity, Volume
from .amounts import read_amount

_TYPED = re.compile(
    r"(?<![\w.,/–-])(?<![0-9][ '’\u00a0\u2009\u202f])[0-9]+(?:[.,][0-9]+)? ?"
    r"(?:%|µg|μg|mcg|mg|g|kg|µL|μL|m[lL]|[lL]|gtt|drops?|grams?)(?![\w/²³])"
)
_PERHAPS = re.compile(r"[0-9] ?[%µμmgklLd]")
"""What each of these has in it: a figure and the first letter of a unit."""
_VESSEL = re.compile(
    r"[\s-]*(?:\w+\s+)?(?:beaker|flask|jar|bottle|cylinder|jug|tub|tin|vessel|pot|pan|bowl|syringe|pipette|vial|tube|"
    r"container|mortar|dish|funnel|measure|pump|balance)s?\b",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"\s*(?:\([^()]{0,30}\)\s*)?(?:of\s+)?(?:the\s+|your\s+)?", re.IGNORECASE)
_BEFORE = " (,:;–-=\n"


def holds_quantity(text: str) -> bool:
    """Return whether a quantity may be typed there, before anything dearer is done."""
    return _PERHAPS.search(text) is not None and _TYPED.search(text) is not None


class Typed(NamedTuple):
    """One typed quantity."""

    quantity: Quantity | Percent | Drops
    material: str
    """The line's name."""
    words: str
    """As typed."""


class Names:
    """The words by which the ingredients of one formula may be called; gathered when first needed."""

    __slots__ = ("_called", "_formula", "_known", "_words")

    def __init__(self, formula: Formula | None, known: Mapping[str, Formula | Material]) -> None:
        self._formula = formula
        self._known = known
        self._words: dict[str, str] | None = None
        self._called: tuple[Formula | Material | None, ...] = ()

    def words(self) -> dict[str, str]:
        """Return word in lower case → name of the line, longest first."""
        if self._words is None:
            found: dict[str, str] = {}
            lines = self._formula.lines if self._formula else ()
            self._called = tuple(self._known.get(line.material.casefold()) for line in lines)
            for line, item in zip(lines, self._called, strict=True):
                for word in _called(line.material, item):
                    found.setdefault(word.casefold(), line.material)
            self._words = dict(sorted(found.items(), key=lambda item: (-len(item[0]), item[0])))
        return self._words

    def close(self) -> None:
        """Let go of the book's records; what was asked about stays."""
        self._known = {}

    def same_among(self, known: Mapping[str, Formula | Material]) -> bool:
        """Return whether these records would have given the same words; true when none were asked for."""
        if self._words is None:
            return True
        now = Names(self._formula, known)
        lines = self._formula.lines if self._formula else ()
        if all(known.get(line.material.casefold()) is item for line, item in zip(lines, self._called, strict=True)):
            return True
        return list(now.words().items()) == list(self._words.items())


def _called(name: str, known: Formula | Material | None) -> Iterable[str]:
    """Return what an ingredient may be called in running text."""
    yield name
    plain = name.replace("-", " ")
    yield plain
    without_strength = plain.rstrip(" 0123456789")
    if len(without_strength) > 2:
        yield without_strength
    if isinstance(known, Formula):
        yield known.title
    elif isinstance(known, Material):
        yield known.name
        yield from known.also


def typed_quantities(text: str, names: Names, comma: bool) -> list[Typed]:
    """Return the quantities that stand beside an ingredient's name; temperatures, times and vessels are no such.

    `comma` is true in a book whose decimal sign is the comma.
    """
    found: list[Typed] = []
    low = ""
    for match in _TYPED.finditer(text):
        if _VESSEL.match(text, match.end()):
            continue
        words = names.words()
        if not words:
            return found
        low = low or text.lower()
        material = _beside(low, match.start(), match.end(), words)
        if material is None:
            continue
        amount = read_amount(match[0], comma)
        quantity: Quantity | Percent | Drops
        if isinstance(amount, Mass):
            quantity = Quantity(value=amount.grams, unit="g", text=amount.text)
        elif isinstance(amount, Volume):
            quantity = Quantity(value=amount.ml, unit="mL", text=amount.text)
        elif isinstance(amount, Percent | Drops):
            quantity = amount
        else:
            continue
        found.append(Typed(quantity, material, match[0]))
    return found


def _beside(low: str, start: int, end: int, words: Mapping[str, str]) -> str | None:
    between = _BETWEEN.match(low, end)
    after = between.end() if between else end
    before = len(low[:start].rstrip(_BEFORE))
    for word, material in words.items():
        if after > end and low.startswith(word, after) and not low[after + len(word) : after + len(word) + 1].isalnum():
            return material
        if low.endswith(word, 0, before) and before < start and not low[: before - len(word)][-1:].isalnum():
            return material
    return None
