"""A saying is the name of a sentence and the facts in its holes; the sentence itself is made when it is printed.

A hole is written `{name}` or `{name:style}`; what stands around the holes has the book's decimal sign.  The styles:

`{name}`             a name, cut where it is too long for a sentence; a number as people write it; a saying in its words
`{text:typed}`       what was typed: at most its first 40 characters
`{text:whole}`       a text as it is, however long
`{rule:listed}`      a word of a closed list or a table of ours, turned into the book's language; a list: `a, b and c`
`{words:commas}`     the same, `a, b, c`
`{name:substance}`   the name of a substance of the tables, turned into the book's language
`{names:substances}` the same, a list: `a, b and c`
`{text:stated}`      an amount as it was written, with the book's decimal sign
`{names:and}`        a list: `a, b and c`; apart by semicolons where a name has a comma of its own
`{names:and 3}`      the same with at most so many of them: `a, b, c and 4 others`
`{names:or}`         a list: `a, b or c`
`{names:list}`       a list: `a, b, c`
`{ways:either}`      clauses to choose from: `a; b; or c`
`{wanted:such}`      examples of what to write, `a, b or c`, with the book's decimal sign
`{count:drop/drops}` a number with its noun: `1 drop`, `3 drops`
`{count:~is/are}`    the word alone that goes with a number
`{says:capital}`     a saying, or a text, with a capital letter in front
`{share:percent}`    a share (1 = all) as a percentage: exact where short, else three significant figures
`{share:rough}`      the same with two significant figures
`{share:within}`     the same rounded up: what it is within
`{grams:least}`      a number rounded up: the least that serves
`{n:2 decimals}`     a number with so many decimals
`{n:3 figures}`      a number with so many significant figures
`{n:beside X}`       a number with as many figures as it takes to tell it from that in the hole X
`{n:above X}`        the same rounded up: what is "up to" it
`{n:apart X}`        the same as beside X, of two figures at least
`{share:percent X}`  a share as a percentage, in one of these five ways; here the hole X may be `all`, which is 1
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from string import Formatter
from typing import NamedTuple, TypeAlias

from ..fraction import Fraction
from ..language import ENGLISH, is_spoken, speaking, word
from ..language.substances import substance
from ..show import (
    NEAREST,
    POINT,
    UP,
    Fine,
    Signs,
    against,
    apart,
    fixed,
    listing,
    not_below,
    plain,
    significant,
    stated,
)
from ..swift import swift
from .table import SENTENCES

LONGEST_NAME = 60
"""Characters of a name or title that a sentence bears."""
LONGEST_TYPED = 40
"""Characters that a sentence repeats of what was typed."""


@swift
@dataclass(frozen=True, slots=True)
class Saying:
    """What is said, not yet in words."""

    key: str
    """The name of the sentence in the tables of this room."""
    facts: tuple[tuple[str, Fact], ...] = ()
    """Hole → what goes into it."""

    def words(self, signs: Signs = POINT) -> str:
        """Return the sentence, with the decimal sign of its book; all of it in English where no table turns it."""
        if not _is_spoken(self.key):
            with speaking(ENGLISH):
                return self.words(signs)
        facts = dict(self.facts)
        return "".join(
            [
                before if write is None else before + write(facts[name], signs, facts)
                for before, name, write in written(self.key, signs)
            ]
        )

    def __str__(self) -> str:
        return self.words()

    def fact(self, name: str) -> Fact:
        """Return what is in the hole of that name."""
        return dict(self.facts)[name]

    def but(self, **facts: Fact) -> Saying:
        """Return the same sentence with other facts in some of its holes."""
        return Saying(self.key, tuple((dict(self.facts) | facts).items()))


Fact: TypeAlias = "str | int | Fraction | Saying | tuple[Fact, ...] | None"
"""What goes into a hole: data; None leaves it empty."""


def says(key: str, /, **facts: Fact) -> Saying:
    """Return a saying; `key` is the name of its sentence.

    >>> print(says("unit-missing", text="5", wanted=("5 g", "5 %")))
    5 lacks a unit: write it as in 5 g or 5 %.
    """
    return Saying(key, tuple(facts.items()))


def told(text: str) -> Saying:
    """Return a saying in words that are not ours: what the machine or another program has to say."""
    return Saying("told", (("words", text),))


def shortened(text: str, most: int = LONGEST_NAME) -> str:
    """Return a text cut to so many characters, with a sign that it goes on."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


# ── Holes ─────────────────────────────────────────────────────────────────────────────────────────────────────────


class Hole(NamedTuple):
    """A piece of a sentence: the text before a hole, and the hole."""

    before: str
    """The text before it."""
    name: str | None
    """Its name; None for what follows the last one."""
    style: str = ""
    """How its fact is written."""


def _is_spoken(key: str) -> bool:
    """Tell whether a sentence is said in the language that is being spoken; what is nothing but holes is in any."""
    return is_spoken(SENTENCES[key]) or not _has_words(key)


@cache
def _has_words(key: str) -> bool:
    return any(sign.isalpha() for hole in _holes(SENTENCES[key]) for sign in hole.before)


@cache
def _holes(sentence: str) -> tuple[Hole, ...]:
    return tuple(Hole(before, name, style or "") for before, name, style, _ in Formatter().parse(sentence))


Write: TypeAlias = "Callable[[Fact, Signs, Mapping[str, Fact]], str]"
"""Writes a fact, with the decimal sign of its book; the others in its sentence may be what it is set against."""


def written(key: str, signs: Signs) -> tuple[tuple[str, str, Write | None], ...]:
    """Return the pieces of a sentence in the language that is being spoken, as `_writers` has them.

    Raises `KeyError` for a name that no sentence has.
    """
    return _writers(word(SENTENCES[key]), signs)


@cache
def _writers(sentence: str, signs: Signs) -> tuple[tuple[str, str, Write | None], ...]:
    """Return, of each piece of a sentence, the text before its hole, its name, and how its fact is written; None behind
    the last one."""
    return tuple(
        (stated(hole.before, signs), hole.name or "", None if hole.name is None else _writer(hole.style))
        for hole in _holes(sentence)
    )


@cache
def _writer(style: str) -> Write:
    """Return what writes a fact in a style."""
    if "/" in style:
        return lambda fact, signs, facts: _counted(fact, style)
    write = STYLES.get(style)
    if write is not None:
        return lambda fact, signs, facts: write(fact, signs)
    if style.startswith("and "):
        most = int(style.removeprefix("and "))
        return lambda fact, signs, facts: listing(_items(fact, signs), most)
    if style.startswith("percent "):
        return partial(_percent, style.removeprefix("percent "))
    return lambda fact, signs, facts: _digits(_number(fact), style, facts, signs)


def _percent(style: str, fact: Fact, signs: Signs, facts: Mapping[str, Fact]) -> str:
    times100 = {name: value * 100 for name, value in facts.items() if isinstance(value, int | Fraction)}
    return f"{_digits(_number(fact) * 100, style, {'all': 100, **times100}, signs)} %"


def _digits(value: Fraction, style: str, facts: Mapping[str, Fact], signs: Signs) -> str:
    """Return a number with the digits that its style asks for: two words, of which one is a number or a hole."""
    first, second = style.split(" ")
    if second == "decimals":
        return fixed(value, int(first), signs)
    if second == "figures":
        return significant(value, int(first), signs)
    other = _number(facts[second])
    if first == "apart":
        return apart(value, other, signs, Fine.ERROR)[0]
    return against(value, other, signs, side=UP if first == "above" else NEAREST)[0]


def _counted(fact: Fact, style: str) -> str:
    one, many = style.removeprefix("~").split("/")
    assert isinstance(fact, int | Fraction)
    noun = one if fact == 1 else many
    return noun if style[0] == "~" else f"{fact} {noun}"


def _number(fact: Fact) -> Fraction:
    assert isinstance(fact, int | Fraction), fact
    return Fraction(fact)


def _any(fact: Fact, signs: Signs) -> str:
    if isinstance(fact, str):
        return shortened(fact)
    if isinstance(fact, Saying):
        return fact.words(signs)
    return "" if fact is None else plain(_number(fact), signs)


def _text(fact: Fact) -> str:
    assert isinstance(fact, str), fact
    return fact


def _typed(text: str) -> str:
    return text if len(text) <= LONGEST_TYPED else f"{text[:LONGEST_TYPED]}…"


def _items(fact: Fact, signs: Signs) -> list[str]:
    """Return the facts of a list in words; a single fact is a list of one."""
    return [_any(part, signs) for part in (fact if isinstance(fact, tuple) else (fact,))]


def _listed(fact: Fact, signs: Signs) -> list[str]:
    """Return words of closed lists in the language that is being spoken; a single fact is a list of one."""
    facts = fact if isinstance(fact, tuple) else (fact,)
    return [word(part) if isinstance(part, str) else _any(part, signs) for part in facts]


def _substances(fact: Fact) -> list[str]:
    """Return names of substances in the language that is being spoken; a single name is a list of one."""
    return [shortened(substance(_text(name))) for name in (fact if isinstance(fact, tuple) else (fact,))]


def _capital(fact: Fact, signs: Signs) -> str:
    text = _any(fact, signs)
    return text[:1].upper() + text[1:]


def _either(fact: Fact, signs: Signs) -> str:
    *most, end = _items(fact, signs)
    return f"{'; '.join(most)}; {word('or')} {end}" if most else end


STYLES: Mapping[str, Callable[[Fact, Signs], str]] = {
    "": _any,
    "typed": lambda fact, signs: _typed(_text(fact)),
    "whole": lambda fact, signs: _text(fact),
    "listed": lambda fact, signs: listing(_listed(fact, signs)),
    "commas": lambda fact, signs: ", ".join(_listed(fact, signs)),
    "substance": lambda fact, signs: shortened(substance(_text(fact))),
    "substances": lambda fact, signs: listing(_substances(fact)),
    "stated": lambda fact, signs: stated(_text(fact), signs),
    "and": lambda fact, signs: listing(_items(fact, signs)),
    "or": lambda fact, signs: listing(_items(fact, signs), between="or"),
    "list": lambda fact, signs: ", ".join(_items(fact, signs)),
    "either": _either,
    "such": lambda fact, signs: stated(listing(_items(fact, signs), between="or"), signs),
    "capital": _capital,
    "percent": lambda fact, signs: f"{plain(_number(fact) * 100, signs, Fine.COMPUTED)} %",
    "rough": lambda fact, signs: f"{significant(_number(fact) * 100, Fine.ERROR, signs)} %",
    "within": lambda fact, signs: f"{significant(_number(fact) * 100, Fine.ERROR, signs, UP)} %",
    "least": lambda fact, signs: not_below(_number(fact), signs),
}
"""Style → how it writes a fact."""
