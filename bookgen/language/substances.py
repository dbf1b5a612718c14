"""Names of substances in the language of a book: what is said for an English name of the tables, what is read as it.

The names of the tables are English.  A name that stands in a file of the book stays as it is written, and so does what
a label lists, as ingredients have one name in all languages.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from . import UMLAUTS, each_for_one, read_table, spoken, words_read

TOPIC = "substances"
"""What the names are called among what is read in a language."""


@cache
def names_read() -> Mapping[str, str]:
    """Return any name of another language, in small letters → the English name that it is taken for, in small letters.

    One with umlauts is read without them too, `Salicylsaeure`.

    They are read in every book, as a bottle may have its label in any language.

    Raises ValueError, which stops the build and no user, where one stands for two.

    >>> names_read()["natronlauge"]
    'sodium hydroxide'
    """
    return each_for_one(
        (writing, english.casefold())
        for name, english in words_read(TOPIC)
        for writing in (name, name.translate(UMLAUTS))
    )


@cache
def _said(language: str) -> Mapping[str, str]:
    return {english.casefold(): names[0] for english, names in read_table(language, TOPIC).items()}


def substance(name: str) -> str:
    """Return the name of a substance of the tables in the language that is being spoken; as it is without another.

    >>> from . import speaking
    >>> with speaking("de"):
    ...     substance("benzyl alcohol"), substance("Polysorbate 20")
    ('Benzylalkohol', 'Polysorbate 20')
    """
    return _said(spoken()).get(name.casefold(), name)
