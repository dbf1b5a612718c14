"""What is written below the front matter, in pieces: paragraphs, lists and tables of words, links and pictures.

They hold what the Markdown says and nothing of how its library tells it, as a book of thousands has a million of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

# ── Pieces of a line ──────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class Code:
    """What is typed as it stands."""

    text: str
    """The letters."""


@dataclass(frozen=True, slots=True)
class LineBreak:
    """The end of a line that its author wants there."""


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Words that were marked."""

    words: tuple[Words, ...]
    """The words."""
    strong: bool
    """True for two signs on either side, false for one."""


@dataclass(frozen=True, slots=True)
class Linked:
    """Words that lead somewhere: to an amount, a duration, another file, out of the book."""

    address: str
    """Where to, as written."""
    words: tuple[Words, ...]
    """The words; none where a method leaves the name to the link."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture in its place."""

    address: str
    """Its file, as written."""
    words: str
    """What it shows."""


Words = str | Code | LineBreak | Emphasis | Linked | Picture
"""A piece of a line; a line feed that its author does not insist on is one in a text of its own."""

# ── Blocks ────────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class WrittenParagraph:
    """A paragraph."""

    words: tuple[Words, ...]
    """Its words."""
    tight: bool = False
    """True in a list without blank lines between its items."""


@dataclass(frozen=True, slots=True)
class WrittenHeading:
    """A heading within a section."""

    level: int
    """From 1, the largest, to 6."""
    words: tuple[Words, ...]
    """Its words."""


@dataclass(frozen=True, slots=True)
class WrittenList:
    """A list."""

    start: int | None
    """Number of its first item; None for one with bullets."""
    items: tuple[tuple[WrittenBlock, ...], ...]
    """What stands in each item."""


@dataclass(frozen=True, slots=True)
class WrittenQuote:
    """What is quoted."""

    blocks: tuple[WrittenBlock, ...]
    """In the order of reading."""


@dataclass(frozen=True, slots=True)
class WrittenCell:
    """One cell of a table."""

    words: tuple[Words, ...]
    """Its words."""
    side: str = ""
    """`left`, `center` or `right`, where it is set so."""


@dataclass(frozen=True, slots=True)
class WrittenTable:
    """A table."""

    rows: tuple[tuple[WrittenCell, ...], ...]
    """Its rows, the first one its head."""


@dataclass(frozen=True, slots=True)
class Verbatim:
    """Lines that stay as they are typed."""

    text: str
    """The lines."""
    language: str = ""
    """What they are written in, if it is said."""


@dataclass(frozen=True, slots=True)
class Divide:
    """A line across."""


WrittenBlock = WrittenParagraph | WrittenHeading | WrittenList | WrittenQuote | WrittenTable | Verbatim | Divide

# ── Looking at them ───────────────────────────────────────────────────────────────────────────────────────────────


def walked(blocks: Iterable[WrittenBlock]) -> Iterator[WrittenBlock]:
    """Yield all blocks, each before those that it holds."""
    for block in blocks:
        yield block
        match block:
            case WrittenList():
                for item in block.items:
                    yield from walked(item)
            case WrittenQuote():
                yield from walked(block.blocks)


def lines_of(blocks: Iterable[WrittenBlock]) -> Iterator[tuple[Words, ...]]:
    """Yield the words of each paragraph, heading, cell and block of typed lines, in the order of reading."""
    for block in walked(blocks):
        match block:
            case WrittenParagraph() | WrittenHeading():
                yield block.words
            case WrittenTable():
                for row in block.rows:
                    yield from (cell.words for cell in row)
            case Verbatim():
                yield (block.text,)


def plain_text(words: Iterable[Words]) -> str:
    """Return words as they are read, on one line, without marks and addresses.

    >>> plain_text(("Stir ", Emphasis(("well",), strong=False), LineBreak(), Linked("a.md", ("base",)), "\\n", "on."))
    'Stir well base on.'
    """
    return "".join(map(_read, words)).replace("\n", " ")


def _read(piece: Words) -> str:
    match piece:
        case str():
            return piece
        case Code():
            return piece.text
        case LineBreak():
            return " "
        case Picture():
            return piece.words
        case Emphasis() | Linked():
            return "".join(map(_read, piece.words))


def addresses_of(words: Iterable[Words]) -> Iterator[str]:
    """Yield where the links and pictures among words lead, in the order of reading."""
    for piece in words:
        if isinstance(piece, Linked | Picture):
            yield piece.address
        if isinstance(piece, Linked | Emphasis):
            yield from addresses_of(piece.words)
