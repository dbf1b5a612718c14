"""One font file a cut for all leaves of a binder.

Each leaf brings a subset of each cut it is set in.  A subset keeps the numbers of its glyphs and the mark of its cut
(`cuts`), so the binder takes none of them: it takes the cut itself, with the glyphs that any leaf uses.
Widths and text maps stay the leaf's own and small.  Type without a mark is kept as it came, equal files once.

WeasyPrint could embed the whole cuts (`full_fonts`), so that equal files become one without this.  Measured: a leaf is
then of 831 kB in place of 56, takes half as long again to print, and words lose letters when they are copied or
searched: its text map knows no ligature, “after” reads “a er”.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterable

from .cuts import mark_of, part
from .pdffile import Writer
from .tidy import PART

_PART = re.compile(rb"/%b \(([0-9a-f]{16})((?:[0-9a-f]{4})*)\)" % PART.encode())


class Fonts:
    """The font files of a document while it is written."""

    def __init__(self, writer: Writer) -> None:
        self._writer = writer
        self._cuts: dict[str, bytes] = {}
        self._files: dict[str, tuple[int, set[int]]] = {}

    def bring(self, cuts: Iterable[bytes]) -> None:
        """Take note of cuts that leaves to come are set in."""
        for cut in cuts:
            self._cuts.setdefault(mark_of(cut), cut)

    def use(self, entries: bytes) -> int | None:
        """The number that the cut has of which a leaf's font file is part; None where it is not at hand.

        `entries` are the file's, with its mark and the glyphs that the leaf uses, see `tidy`.
        """
        found = _PART.search(entries)
        mark = found[1].decode() if found else ""
        if found is None or mark not in self._cuts:
            return None
        if mark not in self._files:
            self._files[mark] = (self._writer.number(), set())
        number, used = self._files[mark]
        used.update(glyph for (glyph,) in struct.iter_unpack(">H", bytes.fromhex(found[2].decode())))
        return number

    def finish(self) -> None:
        """Write the files."""
        for mark, (number, used) in self._files.items():
            made = part(self._cuts[mark], used)
            self._writer.add_stream({"Length1": len(made)}, made, number=number)
