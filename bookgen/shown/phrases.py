"""What is shown, in pieces: text, figures, durations, code, links, pictures, in phrases and in blocks of prose.

No piece knows how it is printed: `look/markup.py` prints pieces as HTML for a page or a sheet, `plain.py` as plain text
for the terminal, a search or an estimate of length.  Whoever looks at what is shown looks at the pieces.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from string import Formatter

from ..language import word
from ..written import Code, Divide, LineBreak, Verbatim


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A printed number that names the figure it shows."""

    text: str
    """The digits shown."""
    value: str
    """The exact value for machines: `84.75`, `8/3`."""
    name: str
    """The figure: `line-3.metered`, `printed-total`; unique on its page."""
    unit: str = ""
    """The unit shown behind the digits; empty where the column's head names it."""
    about: bool = False
    """True for what is only usual: a sign says so before the digits, the exact value stays a plain number."""
    unshown: bool = False
    """True for a weight that is less than the balance shows: it stands in brackets, and in no printed total."""


# ── Pieces of a phrase ────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class PeriodFigure:
    """A period that names the figure it shows."""

    name: str
    """The figure: `period`."""
    machine: str
    """The period by ISO 8601: `P14D`."""
    words: str
    """As it is read: `14 days`."""


@dataclass(frozen=True, slots=True)
class Duration:
    """Words that mean how long something is done, for a countdown."""

    machine: str
    """The time by ISO 8601: `PT5M`."""
    parts: tuple[Inline, ...]
    """The words."""
    beside: str
    """The time in figures behind the words, where they have none."""


@dataclass(frozen=True, slots=True)
class Amount:
    """What an amount link prints beside its words."""

    number: int
    """The link's number in the text, from 0."""
    parts: tuple[Inline, ...]
    """The quantity, or why there is none."""
    known: bool
    """False where there is none."""


@dataclass(frozen=True, slots=True)
class LinkTo:
    """Words of a text that lead elsewhere."""

    href: str
    """The address."""
    parts: tuple[Inline, ...]
    """The words."""
    outside: bool
    """True where it leads out of the book."""


@dataclass(frozen=True, slots=True)
class Stressed:
    """Words that are stressed."""

    parts: tuple[Inline, ...]
    """The words."""
    strong: bool
    """True for bold."""


@dataclass(frozen=True, slots=True)
class Image:
    """A picture of the book."""

    address: str
    """Where it stands."""
    words: str
    """What it shows."""


Inline = str | Figure | PeriodFigure | Code | Duration | Amount | LinkTo | Stressed | Image | LineBreak
"""A piece of a phrase; a plain string is text."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """A sentence or a part of one; false where it says nothing."""

    parts: tuple[Inline, ...] = ()
    """Its pieces in the order of reading."""

    def __bool__(self) -> bool:
        return bool(self.parts)

    def __add__(self, other: Phrase | str) -> Phrase:
        return Phrase((*self.parts, *_parts_of(other)))


NOTHING = Phrase()


# ── Blocks of a text ──────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph."""

    parts: tuple[Inline, ...]
    """Its words."""
    tight: bool = False
    """True in a list whose items stand close."""


@dataclass(frozen=True, slots=True)
class Danger:
    """What is dangerous in a step of the method."""

    parts: tuple[Inline, ...]
    """Its words."""
    folds: bool = False
    """True where a phone has one line of it until it is touched."""


ToldOfStep = Callable[[Sequence[int]], tuple[Danger, ...]]
"""Numbers of the lines that a step lets in → what is said there of their hazards; nothing where there is none."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading within a section."""

    rank: int
    """Its rank, 3 or more."""
    parts: tuple[Inline, ...]
    """Its words."""


@dataclass(frozen=True, slots=True)
class Listing:
    """A list."""

    ordered: bool
    """True where its items are numbered."""
    start: int
    """The first number."""
    items: tuple[tuple[Block, ...], ...]
    """Its items."""


@dataclass(frozen=True, slots=True)
class Quote:
    """What is quoted."""

    blocks: tuple[Block, ...]
    """The text."""


@dataclass(frozen=True, slots=True)
class GridCell:
    """One cell of a table in a text."""

    parts: tuple[Inline, ...]
    """Its words."""
    side: str = ""
    """`left`, `center` or `right`, where it is set so."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A table in a text."""

    head: tuple[GridCell, ...]
    """The first row."""
    rows: tuple[tuple[GridCell, ...], ...]
    """The others."""


Block = Paragraph | Danger | Heading | Listing | Quote | Verbatim | Divide | Grid


@dataclass(frozen=True, slots=True)
class Prose:
    """A text in blocks; false where it says nothing."""

    blocks: tuple[Block, ...] = ()
    """In the order of reading."""

    def __bool__(self) -> bool:
        return bool(self.blocks)

    def __add__(self, other: Prose) -> Prose:
        return Prose((*self.blocks, *other.blocks))

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Its figures in the order of reading."""
        return tuple(piece for piece in pieces_of(self) if isinstance(piece, Figure))


@dataclass(frozen=True, slots=True)
class Data:
    """What only a page's script reads."""

    json: str
    """The data as JSON."""


Text = str | Phrase | Prose
"""Whatever is shown as words; a plain string holds no figure."""


# ── Making them ───────────────────────────────────────────────────────────────────────────────────────────────────

_CODE = re.compile(r"`([^`]+)`")


def phrase(template: str, **given: Inline | Phrase | int) -> Phrase:
    """Return a sentence with pieces in it, each under its name in braces, in the language that is being spoken; what
    stands in backticks is code.

    >>> phrase("{name} weighs {much}", name="It", much=phrase("{number} g", number=2)).parts
    ('It', ' weighs ', '2', ' g')
    """
    parts: list[Inline] = []
    for words, hole in _holes(word(template)):
        parts += words
        if hole:
            parts += _parts_of(given[hole])
    return Phrase(tuple(parts))


def coded(text: str) -> Phrase:
    """Return a message of ours; what stands in backticks is code.

    >>> coded("write `a` or b").parts
    ('write ', Code(text='a'), ' or b')
    """
    return Phrase(_coded(text))


def joined(between: str, phrases: Iterable[Inline | Phrase]) -> Phrase:
    """Return phrases with the same words between each two.

    >>> joined(", ", ["a", "b"]).parts
    ('a', ', ', 'b')
    """
    parts: list[Inline] = []
    for number, part in enumerate(phrases):
        parts += (*((between,) if number else ()), *_parts_of(part))
    return Phrase(tuple(parts))


def _parts_of(piece: Inline | Phrase | int) -> tuple[Inline, ...]:
    if isinstance(piece, Phrase):
        return piece.parts
    if isinstance(piece, str | int):
        return (str(piece),) if piece != "" else ()
    return (piece,)


@lru_cache(maxsize=1024)
def _holes(template: str) -> tuple[tuple[tuple[Inline, ...], str], ...]:
    """Return the words of a template, each with the hole behind them; empty behind the last."""
    return tuple((_coded(words), hole or "") for words, hole, _, _ in Formatter().parse(template))


def _coded(text: str) -> tuple[Inline, ...]:
    found: list[Inline] = []
    for number, part in enumerate(_CODE.split(text)):
        if part:
            found.append(Code(part) if number % 2 else part)
    return tuple(found)


# ── Looking at them ───────────────────────────────────────────────────────────────────────────────────────────────


def pieces_of(shown: Text | Figure) -> Iterator[Inline]:
    """Yield every piece in the order of reading; those that hold others come before them."""
    if isinstance(shown, Phrase):
        yield from _within(shown.parts)
    elif isinstance(shown, Prose):
        for row in rows_of(shown.blocks):
            for parts in row:
                yield from _within(parts)
    else:
        yield shown


def rows_of(blocks: tuple[Block, ...]) -> Iterator[tuple[tuple[Inline, ...], ...]]:
    """Yield what stands in each row: the cells of a table; alone a paragraph, a heading, a text that stays as typed."""
    for block in blocks:
        match block:
            case Paragraph() | Danger() | Heading():
                yield (block.parts,)
            case Listing():
                for item in block.items:
                    yield from rows_of(item)
            case Quote():
                yield from rows_of(block.blocks)
            case Verbatim():
                yield ((Code(block.text),),)
            case Grid():
                for row in (block.head, *block.rows):
                    yield tuple(cell.parts for cell in row)
            case Divide():
                pass


def within(parts: tuple[Inline, ...], change: Callable[[Inline], Inline]) -> tuple[Inline, ...]:
    """Return pieces with each changed, and then those that it holds.

    >>> within(("a", Stressed(("b",), strong=True)), lambda piece: "c" if piece == "b" else piece)
    ('a', Stressed(parts=('c',), strong=True))
    """
    changed = map(change, parts)
    return tuple(
        replace(piece, parts=within(piece.parts, change))
        if isinstance(piece, Duration | Amount | LinkTo | Stressed)
        else piece
        for piece in changed
    )


def _within(parts: tuple[Inline, ...]) -> Iterator[Inline]:
    for part in parts:
        yield part
        if isinstance(part, Duration | Amount | LinkTo | Stressed):
            yield from _within(part.parts)
