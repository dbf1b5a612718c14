"""Where a long German word may be parted: between the words that it is made of, and where those have syllables."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pyphen import Pyphen

SHORTEST = 4
"""Letters that stand together at least, at either end of a word."""

_WORDS = (
    "acetat", "alkohol", "aminosäure", "ascorbat", "benzoat", "benzoe", "betain", "butyl", "calcium", "caprat",
    "caprylat", "carbonat", "cetyl", "chlorid", "citrat", "cocamido", "cocoat", "diacetat", "dioxid", "ethyl",
    "fluorid", "fumarat", "glucosid", "glutamat", "glycerid", "glycerin", "glyceryl", "glycinat", "glykol", "hexyl",
    "hydrat", "hydrogen", "hydroxid", "hydroxy", "isethionat", "kalium", "lactat", "lactylat", "laurat", "lauroyl",
    "lauryl", "lösungs?", "magnesium", "methyl", "mono", "myristat", "natrium", "octyl", "oleat", "olivat", "oxid",
    "palmitat", "peroxid", "phosphat", "phytat", "propyl", "ricinoleat", "salicylat", "säure", "sorbat", "sorbitan",
    "stearat", "stearin", "stearoyl", "stearyl", "succinat", "sulfat", "sulfit", "tartrat", "thiosulfat",
    "tocopherol", "toluol", r"ester\Z",
)  # fmt: skip
"""Of what names of substances are made; patterns for the whole language part them elsewhere (`Glyceryls-tearat`)."""


@cache
def parted(word: str) -> tuple[str, ...]:
    """Return the parts of a German word, in order, between which a hyphen may stand at the end of a line.

    >>> parted("Glycerylstearatcitrat")
    ('Glyceryl', 'stearat', 'citrat')
    """
    parts: list[str] = []
    at = 0
    for found in _made_of().finditer(word):
        start, end = found.span()
        if 0 < start - at < SHORTEST or 0 < len(word) - end < SHORTEST:
            continue
        parts += [*_syllables(word[at:start]), word[start:end]]
        at = end
    return (*parts, *_syllables(word[at:]))


def _syllables(word: str) -> list[str]:
    return [part for part in _patterns().inserted(word).split("-") if part]


@cache
def _made_of() -> re.Pattern[str]:
    return re.compile("|".join(sorted(_WORDS, key=len, reverse=True)), re.IGNORECASE)


@cache
def _patterns() -> Pyphen:
    from pyphen import Pyphen

    return Pyphen(lang="de_DE", left=SHORTEST, right=SHORTEST)
