"""One font file for all leaves of a binder.

Each leaf brings its own subset of each cut. Glyphs keep their numbers in a subset (WeasyPrint asks HarfBuzz for
that), so subsets of one cut can be laid over each other: the union takes a glyph from whichever subset has it. Widths
and text maps stay the leaf's own and small. Where two subsets disagree about a glyph or a table they are of different
cuts, and both are kept. Files and maps that are equal byte for byte become one in any case.
"""

from __future__ import annotations

import hashlib
import struct
from dataclasses import dataclass
from itertools import accumulate

from .objects import NotOurs
from .pdffile import Stream, Writer, unpacked
from .sfnt import is_truetype, read_loca, read_tables, with_wide_loca, write_tables

_MADE = ("glyf", "loca", "hmtx", "head", "hhea", "maxp")
"""Tables the union writes anew."""

_KEPT = ("cvt ", "fpgm", "prep")
"""Tables that must be the same in both files. A PDF reads no others from a font of this kind (ISO 32000-1, 9.9)."""


class _NotPlain(Exception):
    """The file is laid out in a way this module does not merge."""


@dataclass(slots=True)
class _Letters:
    """The parts of a TrueType file that a union changes, and the rest."""

    rest: dict[str, bytes]
    """The tables of `_KEPT` that are there."""
    head: bytes
    """`head`, without checksum and the form of `loca`."""
    hhea: bytes
    """`hhea` without the count of metrics."""
    maxp: bytes
    """`maxp` without the count of glyphs."""
    count: int
    """The highest glyph number and one."""
    glyphs: dict[int, tuple[bytes, bytes]]
    """Outline, and width with left bearing (4 bytes), of each glyph the subset has, by its number."""
    number: int = 0
    """The number of the file made of it."""
    only: Stream | None = None
    """The file as it came, while it is the only one."""


class Fonts:
    """The font files of a document while it is written."""

    def __init__(self, writer: Writer) -> None:
        self._writer = writer
        self._unions: dict[str, list[_Letters]] = {}
        self._others: dict[bytes, int] = {}

    def place(self, name: str, file: Stream) -> int:
        """The number the file will have in the document; `name` is its font's."""
        try:
            letters = _take_apart(unpacked(file))
        except (_NotPlain, NotOurs, struct.error):
            digest = hashlib.sha256(file.entries + b"\0" + file.body).digest()
            if digest not in self._others:
                self._others[digest] = self._writer.number()
                self._writer.put_stream(self._others[digest], file)
            return self._others[digest]
        of_name = self._unions.setdefault(name, [])
        for union in of_name:
            if _lay_over(union, letters):
                return union.number
        letters.number = self._writer.number()
        letters.only = file
        of_name.append(letters)
        return letters.number

    def finish(self) -> None:
        """Write the files, whole now."""
        for of_name in self._unions.values():
            for union in of_name:
                if union.only:
                    self._writer.put_stream(union.number, union.only)
                else:
                    made = _put_together(union)
                    self._writer.add_stream({"Length1": len(made)}, made, number=union.number)


def _take_apart(raw: bytes) -> _Letters:
    """Read a TrueType file (OpenType 1.9: `glyf`, `loca`, `hmtx`). Raises _NotPlain for any other."""
    if not is_truetype(raw):
        raise _NotPlain
    tables = read_tables(raw)
    if any(tag not in tables for tag in _MADE):
        raise _NotPlain
    head, hhea, maxp, hmtx = tables["head"], tables["hhea"], tables["maxp"], tables["hmtx"]
    loca = read_loca(tables)
    count = len(loca) - 1
    full = struct.unpack_from(">H", hhea, 34)[0]
    if full < count:
        last = hmtx[4 * full - 4 : 4 * full - 2]
        bearings = hmtx[4 * full :]
        hmtx = hmtx[: 4 * full] + b"".join(last + bearings[at : at + 2] for at in range(0, 2 * (count - full), 2))
    metrics = struct.unpack(f">{count}L", hmtx[: 4 * count])
    # Most numbers are of glyphs the subset lacks: neither outline nor width.
    glyphs = {
        number: (_even(tables["glyf"][loca[number] : loca[number + 1]]), hmtx[4 * number : 4 * number + 4])
        for number, (metric, start, end) in enumerate(zip(metrics, loca, loca[1:], strict=False))
        if metric or start != end
    }
    return _Letters(
        rest={tag: tables[tag] for tag in _KEPT if tag in tables},
        head=head[:8] + bytes(4) + head[12:50] + bytes(2) + head[52:],
        hhea=hhea[:34],
        maxp=maxp[:4] + maxp[6:],
        count=count,
        glyphs=glyphs,
    )


def _even(outline: bytes) -> bytes:
    """The outline with the padding the short form of `loca` needs, so that equal outlines are equal bytes."""
    return outline + bytes(len(outline) % 2)


def _lay_over(union: _Letters, letters: _Letters) -> bool:
    """Add the letters' glyphs to the union; False, and no change, where the two are of different cuts."""
    if (union.rest, union.head, union.hhea, union.maxp) != (
        letters.rest,
        letters.head,
        letters.hhea,
        letters.maxp,
    ):
        return False
    if any(union.glyphs.get(number, glyph) != glyph for number, glyph in letters.glyphs.items()):
        return False
    union.glyphs.update(letters.glyphs)
    union.count = max(union.count, letters.count)
    union.only = None
    return True


def _put_together(union: _Letters) -> bytes:
    """The union as a TrueType file."""
    glyphs = [union.glyphs.get(number, (b"", bytes(4))) for number in range(union.count)]
    tables = {
        **union.rest,
        "glyf": b"".join(outline for outline, _ in glyphs),
        "hmtx": b"".join(metric for _, metric in glyphs),
        "head": union.head,
        "hhea": union.hhea + struct.pack(">H", union.count),
        "maxp": union.maxp[:4] + struct.pack(">H", union.count) + union.maxp[4:],
    }
    offsets = accumulate((len(outline) for outline, _ in glyphs), initial=0)
    return write_tables(with_wide_loca(tables, tuple(offsets)))
