"""One font file a cut for all leaves of a binder.

Each leaf brings a subset of each cut it is set in.  A subset keeps the numbers of its glyphs and the mark of its cut
(`cuts`), so the binder takes none of them: it takes the cut itself, with the glyphs that any leaf gives a width.
Widths and text maps stay the leaf's own and small.  Type without a mark is kept as it came, equal files once.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from .cuts import mark_of, part
from .objects import NotOurs
from .pdffile import Writer


class Fonts:
    """The font files of a document while it is written."""

    def __init__(self, writer: Writer) -> None:
        self._writer = writer
        self._cuts: dict[str, bytes] = {}
        self._files: dict[str, tuple[int, set[int]]] = {}

    def bring(self, cuts: Iterable[bytes]) -> None:
        """Take note of cuts that leaves to come are set in."""
        for one in cuts:
            self._cuts.setdefault(mark_of(one), one)

    def use(self, mark: str, widths: list[Any]) -> int | None:
        """The number the cut of that mark will have; None where it is not at hand.

        `widths` lists the glyphs a leaf uses of it, `first [width width ...]` and so on (ISO 32000-1, 9.7.4.3).
        """
        if mark not in self._cuts:
            return None
        if mark not in self._files:
            self._files[mark] = (self._writer.number(), set())
        number, used = self._files[mark]
        for first, row in zip(widths[::2], widths[1::2], strict=True):
            if not isinstance(row, list):
                raise NotOurs("another form of widths")
            used.update(range(first, first + len(row)))
        return number

    def finish(self) -> None:
        """Write the files."""
        for mark, (number, used) in self._files.items():
            made = part(self._cuts[mark], used)
            self._writer.add_stream({"Length1": len(made)}, made, number=number)
