"""Amounts as their writer wrote them, in the language of the book."""

from __future__ import annotations

import re
from functools import lru_cache

from .. import show
from ..language import spoken, word


def amount_said(text: str, signs: show.Signs = show.POINT) -> str:
    """Return an amount as its writer wrote it, with the words of ours in it in the language that is being spoken.

    What it names, such as a dropper or a substance, stays as it is.

    >>> amount_said("q.s. to pH 5.2 (about 3.8 g)").replace(show.THIN, " ")
    'q.s. to pH 5.2 (about 3.8 g)'
    """
    return _amount_said(text, signs, spoken())


@lru_cache(maxsize=4096)
def _amount_said(text: str, signs: show.Signs, language: str) -> str:
    return _AMOUNT_WORD.sub(lambda found: word(found[0], "amount"), show.written(text, signs))


_AMOUNT_WORD = re.compile(
    r"^(?:to|about)\b|(?<=^q\.s\. )(?:to|for)\b|(?<=\()about\b|(?<=\d\s)(?:drops? of|drops?|parts?)\b"
    r"|(?<=% )as\b|(?<=% [wv]/[wv] )as\b|(?<=^1 )in\b|\bof(?= \S+ %vol$)|\bat(?= \S+\s°C)|\bsuperfat$|\beach$"
)
"""Words of the grammar of amounts, where they stand in one."""
AMOUNT_WORDS = (
    "to", "for", "about", "drop of", "drops of", "drop", "drops", "part", "parts", "as", "in", "of", "at", "superfat",
    "each",
)  # fmt: skip
"""The words that it finds."""
