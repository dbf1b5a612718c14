"""Names of substances in the language of a book: what is said for an English name of the tables, what is read as it.

The names of the tables are English.  A name that stands in a file of the book stays as it is written, and so does what
a label lists, as ingredients have one name in all languages.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from . import READ, read_table, spoken

TOPIC = "substances"
"""What the names are called among what is read in a language."""
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})
"""How German is written without its own letters; `casefold` has written ß as ss already."""


@cache
def names_read() -> Mapping[str, str]:
    """Return any name of another language, in small letters → the English name that it is taken for, in small letters.

    One with umlauts is read without them too, `Salicylsaeure`.

    They are read in every book, as a bottle may have its label in any language.

    Raises ValueError, which stops the build and no user, where one stands for two.

    >>> names_read()["natronlauge"]
    'sodium hydroxide'
    """
    found: dict[str, str] = {}
    for language in READ:
        for english, names in read_table(language, TOPIC).items():
            for name in map(str.casefold, names):
                for writing in {name, name.translate(_UMLAUTS)}:
                    if found.setdefault(writing, english.casefold()) != english.casefold():
                        raise ValueError(f"{name} is {found[writing]} and {english}")
    return found


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
