"""The order of an index: letters without regard to accents and case, numbers by their size."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import groupby
from unicodedata import combining, normalize

from ...language import noted, word
from ..shelf import in_natural_order
from .records import E, IndexPart

DIGITS = "0\u20139"
"""Head of what starts with a digit."""
SIGNS = noted("Signs")
"""Head of what has no letter or digit at all."""


def folded(text: str) -> str:
    """Return the text as an index reads it: without accents, in one case, from its first letter or digit on.

    >>> folded("«Éclat» 2")
    'eclat» 2'
    """
    plain = "".join(letter for letter in normalize("NFKD", text) if not combining(letter)).casefold()
    start = next((at for at, letter in enumerate(plain) if letter.isalnum()), len(plain))
    return plain[start:]


def in_index_order(text: str) -> tuple[bool, tuple[tuple[int, str], ...], str]:
    """Sort key of an entry: what has neither letter nor digit comes last, equals go by how they are written."""
    plain = folded(text)
    return not plain, in_natural_order(plain), text


def letter_of(text: str) -> str:
    """Return the head below which an entry stands.

    >>> letter_of("étoile"), letter_of("2-C"), letter_of("?")
    ('E', '0–9', 'Signs')
    """
    first = folded(text)[:1]
    return word(SIGNS) if not first else DIGITS if first.isdecimal() else first.upper()


def by_letter(entries: Iterable[E], words: Callable[[E], str]) -> tuple[IndexPart[E], ...]:
    """Return entries in the order of an index, below their letters."""
    ordered = sorted(entries, key=lambda entry: in_index_order(words(entry)))
    grouped = groupby(ordered, key=lambda entry: letter_of(words(entry)))
    return tuple(
        IndexPart(title=letter, anchor=f"letter-{number}", entries=tuple(found))
        for number, (letter, found) in enumerate(grouped, 1)
    )
