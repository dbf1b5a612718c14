"""Pieces as plain text: for the terminal, a search, an estimate of length."""

from __future__ import annotations

from collections.abc import Iterator

from .. import show
from ..written import Code, LineBreak
from .phrases import (
    Amount,
    Duration,
    Figure,
    Image,
    Inline,
    LinkTo,
    PeriodFigure,
    Phrase,
    Prose,
    Stressed,
    Text,
    rows_of,
)


def as_text(shown: Text) -> str:
    """Return words as plain text, each block or row on a line of its own.

    >>> as_text(Phrase(("about ", Figure(text="5", value="5", name="f", unit="drops")))).replace(show.NBSP, "_")
    'about 5_drops'
    """
    if isinstance(shown, Phrase):
        return run(shown.parts)
    if isinstance(shown, Prose):
        return "\n".join(lines_of(shown))
    return shown


def lines_of(text: Prose) -> list[str]:
    """Return a text by paragraphs, headings and rows of a table; two spaces part the cells of a row."""
    return ["  ".join(run(parts) for parts in row) for row in rows_of(text.blocks)]


def in_one_line(shown: Text) -> str:
    """Return words as plain text in which every space is an ordinary one.

    >>> in_one_line(Phrase(("a\u00a0b ", Code("c"))))
    'a b c'
    """
    return " ".join(as_text(shown).split())


def figure_text(figure: Figure) -> str:
    """Return a figure with its unit: `about 2.50 g`, `(0.004) g`."""
    digits = f"({figure.text})" if figure.unshown else figure.text
    space = show.space_before(figure.unit)
    return f"{show.ABOUT if figure.about else ''}{digits}{space + figure.unit if figure.unit else ''}"


def run(parts: tuple[Inline, ...]) -> str:
    """Return the pieces of one phrase as plain text."""
    return "".join(_texts(parts))


def _texts(parts: tuple[Inline, ...]) -> Iterator[str]:
    for part in parts:
        match part:
            case str():
                yield part
            case Figure():
                yield figure_text(part)
            case PeriodFigure():
                yield part.words
            case Code():
                yield part.text
            case Amount():
                yield show.NBSP if part.known else " "
                yield from _texts(part.parts)
            case Duration():
                yield from _texts(part.parts)
                if part.beside:
                    yield f" ({part.beside})"
            case LinkTo() | Stressed():
                yield from _texts(part.parts)
            case LineBreak():
                yield "\n"
            case Image():
                pass
