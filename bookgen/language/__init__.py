"""The words of the program in the language of the book: each stands in English where it is said, and is turned here.

Enters: a language code, and what is said in English.  Leaves: the same in the language in which pages, sheets and
labels are being made.  `speaking` says which that is, around all that makes them, and nothing else knows it; outside,
as for machines and in messages of the commands, everything is English.

What stands in a file of the book stays as it is written.  A table is a folder of YAML beside this file: English → the
other language, with the same holes.  What no table has stays English.  What is read in that language, and not said,
stands in a folder of its own: English → every word that is taken for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from importlib.resources import files
from typing import TypeVar

import yaml

ENGLISH = "en"
UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})
"""How German is written without its own letters, in small ones."""
TABLES: Mapping[str, str] = {"de": "german"}
"""Language → the folder of its tables."""
READ: Mapping[str, str] = {"de": "german_read", "la": "latin_read"}
"""Language → the folder of what is read in it."""

_NONE: Mapping[str, str] = {}
_TABLE: ContextVar[Mapping[str, str]] = ContextVar("table", default=_NONE)
_LANGUAGE: ContextVar[str] = ContextVar("language", default=ENGLISH)
Text = TypeVar("Text", bound=str)


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Turn what is said within the block into a language, a code such as `de` or `de-CH`; into English where it has no
    table.

    >>> with speaking("de-CH"):
    ...     word("Ingredients")
    'Bestandteile'
    """
    spoken = spoken_of(language)
    before = _TABLE.set(_NONE if spoken == ENGLISH else table(spoken)), _LANGUAGE.set(spoken)
    try:
        yield
    finally:
        _TABLE.reset(before[0])
        _LANGUAGE.reset(before[1])


def spoken_of(language: str) -> str:
    """Return the language that is spoken for a code such as `de-CH`: `en`, or one that has a table."""
    tongue = language.partition("-")[0].lower()
    return tongue if tongue in TABLES else ENGLISH


def spoken() -> str:
    """Return the language that is being spoken: `en`, or one that has a table."""
    return _LANGUAGE.get()


def word(text: str, about: str = "", /, **holes: object) -> str:
    """Return words in the language that is being spoken; what is in a hole goes in as it is.

    `about` says what is meant, where one word of English has several meanings: `Check` of the columns of a list is not
    that of a worksheet.

    >>> word("{count} others", count=3)
    '3 others'
    """
    turned = _TABLE.get().get(key_of(text, about), text)
    return turned.format(**holes) if holes else turned


def key_of(text: str, about: str) -> str:
    """Return words as the tables have them.

    >>> key_of("Check", "code")
    'Check [code]'
    """
    return f"{text} [{about}]" if about else text


def is_spoken(text: str) -> bool:
    """Tell whether words are said in the language that is being spoken, and not in English for want of it."""
    return _LANGUAGE.get() == ENGLISH or text in _TABLE.get()


def turned_items(text: str) -> str:
    """Return a list that somebody wrote between commas, with those items turned that are words of ours.

    >>> turned_items("leave-on, face")
    'leave-on, face'
    """
    turned = _TABLE.get()
    return ", ".join(turned.get(item.strip(), item.strip()) for item in text.split(",")) if turned else text


def noted(text: Text) -> Text:
    """Return words of a table of ours as they are: `word` turns them where they are said."""
    return text


@cache
def table(language: str) -> Mapping[str, str]:
    """Return the table of a language: English → that language."""
    found: dict[str, str] = {}
    folder = files(__package__).joinpath(TABLES[language])
    for part in sorted(folder.iterdir(), key=lambda part: part.name):
        if part.name.endswith(".yaml"):
            found.update(yaml.load(part.read_text(encoding="utf-8"), Loader=_Loader))
    return found


@cache
def read_table(language: str, topic: str) -> Mapping[str, list[str]]:
    """Return what is read in a language of one topic: English → every word that is taken for it; none for English, and
    for a language that has no such words."""
    part = files(__package__).joinpath(READ.get(language, ""), f"{topic}.yaml")
    if language not in READ or not part.is_file():
        return {}
    found: Mapping[str, list[str]] = yaml.load(part.read_text(encoding="utf-8"), Loader=_Loader)
    return found


def words_read(topic: str) -> Iterator[tuple[str, str]]:
    """Yield every word of another language that is read of a topic, in small letters, with the English one."""
    for language in READ:
        for english, words in read_table(language, topic).items():
            for said in words:
                yield said.casefold(), english


def each_for_one(pairs: Iterable[tuple[str, str]]) -> Mapping[str, str]:
    """Return word → what it is taken for.

    Raises ValueError, which stops the build and no user, where one stands for two.
    """
    found: dict[str, str] = {}
    for said, english in pairs:
        if found.setdefault(said, english) != english:
            raise ValueError(f"{said} is {found[said]} and {english}")
    return found


_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
