"""The last stages: figures → leaves → PDFs, bound into one binder."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from ..language import speaking
from ..source import filed_text
from .checking import Checked, without_collector

if TYPE_CHECKING:
    from ..binder import Bindery, EffectiveRow, Sheet
    from ..look.themes import Theme
    from ..press.piece import PrintedLeaf
    from ..press.render import Press

T = TypeVar("T")
Progress = Callable[[int, int], None]
"""Called with how many are done, of how many."""

LIST = "effective-sheets.yaml"
"""The list that travels in a printed binder: what it holds once it is filed."""


def whole_binder(
    checked: Checked, theme: Theme, progress: Progress | None, batches_of: frozenset[str] = frozenset()
) -> tuple[bytes | None, tuple[str, ...]]:
    """Return the binder and what the press had to say; None for the binder when the press cannot work here.

    The batches of the formulas in `batches_of`, keys, are leaves of it too.
    """
    from ..binder import record_of
    from ..press.bind import bind
    from ..press.render import PressError

    room = checked.book.workroom
    try:
        with printing_for(checked, theme, batches_of) as printing:
            printed = _print_all(printing, progress)
        pieces = [sheet.piece for sheet in printed]
        record = record_of([sheet.row for sheet in printed], {}, printing.words)
        bound = bind(
            pieces,
            title=room.title,
            lang=room.language,
            author=room.keeper,
            duplex=room.duplex,
            attached={LIST: filed_text(record).encode()},
        )
    except PressError as reason:
        return None, (str(reason),)
    said = [problem for piece in pieces for problem in piece.problems]
    return bound.pdf, tuple(f"{problem.code}: {problem.sentence}" for problem in (*said, *bound.problems))


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSheet:
    """A leaf as printed, and its row in the list of effective sheets."""

    piece: PrintedLeaf
    """The PDF."""
    row: EffectiveRow
    """What identifies it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """What leaves are made and printed with."""

    bindery: Bindery
    """The book as the binder sees it."""
    press: Press
    """What prints them; open as long as there may be more."""
    look: str
    """Digest of what all leaves share in looks."""
    words: str
    """The same in words."""

    def printed(self, sheets: Sequence[Sheet], progress: Progress | None = None) -> tuple[PrintedSheet, ...]:
        """Return leaves as printed, in their order.  Raises PressError."""
        from ..binder import row_of

        pieces = self.press.print([sheet.leaf for sheet in sheets], progress)
        duplex = self.bindery.shelf.book.workroom.duplex
        return tuple(
            PrintedSheet(piece=piece, row=row_of(sheet, piece.pages, self.look, duplex=duplex))
            for sheet, piece in zip(sheets, pieces, strict=True)
        )


@contextmanager
def printing_for(checked: Checked, theme: Theme, batches_of: frozenset[str] = frozenset()) -> Iterator[Printing]:
    """Give what the leaves of a book are made and printed with.  Raises PressError."""
    from ..binder import bindery_for, look_words, sheet_style
    from ..press.cache import Cache, cache_folder
    from ..press.render import Press, look_of, typesetter

    room = checked.book.workroom
    with speaking(room.language):
        style = sheet_style(theme, room)
    with Press(style, cache=Cache(folder=cache_folder())) as press, speaking(room.language):
        yield Printing(
            bindery=bindery_for(checked.reckoning, checked.review, theme, batches_of),
            press=press,
            look=look_of(style, typesetter()),
            words=look_words(theme, room, style, _engine_words(typesetter())),
        )


def _engine_words(engine: Sequence[str]) -> str:
    """Return the layout engine among the versions at work, in words: `WeasyPrint 70.0`."""
    return next(version.replace("weasyprint", "WeasyPrint") for version in engine if version.startswith("weasyprint"))


def _print_all(printing: Printing, progress: Progress | None) -> tuple[PrintedSheet, ...]:
    """Print all leaves, the list of effective sheets last of all, which is then put in its place."""
    from ..binder import effective_sheets, leaves_of

    with without_collector():
        sheets = leaves_of(printing.bindery)
    others = printing.printed(sheets, progress)
    listed = printing.printed(effective_sheets(printing.bindery, [other.row for other in others]))
    return in_order(others, listed)


def in_order(others: Sequence[T], listed: Sequence[T]) -> tuple[T, ...]:
    """Return the leaves with the list of effective sheets in its place."""
    from ..binder import BEFORE_LIST

    at = len(BEFORE_LIST)
    return (*others[:at], *listed, *others[at:])
