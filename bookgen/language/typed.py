"""What is typed of a batch in the language of a book, into the English that the grammar of a batch has.

Enters: a text as typed.  Leaves: the same text with those words in English that a closed list has: whole words, in any
case, never a part of one.  A name that stands behind `of` stays as it is.  Files have English words alone.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from . import read_table, spoken_of

_LETTERS = "A-Za-zÀ-ÖØ-öø-ÿ_-"
"""What makes a word longer, for Python and for the script of a page alike."""
OF = "of"
"""The word before the name of a supply."""


@cache
def typed_words(language: str) -> Mapping[str, str]:
    """Return the words of a language that may be typed, in small letters → English; none for English.

    >>> typed_words("de")["doppelt"]
    'twice'
    """
    return {
        word.lower(): english for english, words in read_table(language, "batch").items() for word in words
    }  # fmt: skip


@cache
def typed_pattern(language: str) -> str:
    """Return the pattern of a word of the list, for Python and for the script of a page; empty for English.

    Its groups: what stands before; a word for `of` with the name behind it, as two; or another word.
    """
    words = typed_words(language)
    if not words:
        return ""
    before_names = [word for word, english in words.items() if english == OF]
    others = sorted((word for word in words if word not in before_names), key=len, reverse=True)
    return rf"(^|[^{_LETTERS}])(?:({'|'.join((OF, *before_names))})( \S+)|({'|'.join(others)})(?![0-9{_LETTERS}]))"


def in_english(text: str, language: str) -> str:
    """Return what was typed with the words of a language in English.

    >>> in_english("40 g von Z-01 und 12 Gramm von halb", "de-AT")
    '40 g of Z-01 and 12 g of halb'
    >>> in_english("1,5-fach", "de"), in_english("halbe", "de")
    ('1,5x', 'halbe')
    """
    tongue = spoken_of(language)
    words = typed_words(tongue)
    if not words:
        return text

    def turned(met: re.Match[str]) -> str:
        before, of, name, word = met.groups()
        return f"{before}{OF}{name}" if of else f"{before}{words[word.lower()]}"

    return re.sub(typed_pattern(tongue), turned, text, flags=re.IGNORECASE)
