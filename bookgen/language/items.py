"""Items of a function or a purpose in another language, read as the English ones of the closed lists, in every book."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from . import each_for_one, words_read

TOPIC = "items"
"""What they are called among what is read in a language."""


@cache
def items_read() -> Mapping[str, str]:
    """Return any item of another language, in small letters → the English one that it is taken for.

    Raises ValueError, which stops the build and no user, where one stands for two.

    >>> items_read()["duftstoff"]
    'fragrance'
    """
    return each_for_one(words_read(TOPIC))
