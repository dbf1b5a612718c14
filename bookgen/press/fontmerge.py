"""One font file for all leaves of a binder.

Each leaf brings its own subset of each cut. Glyphs keep their numbers in a subset (WeasyPrint asks HarfBuzz for
that), so subsets of one cut can be laid over each other: the union takes a glyph from whichever subset has it. Widths
and text maps stay the leaf's own and small. Where two subsets disagree about a glyph or a table they are of different
cuts, and both are kept. Files and maps that are equal byte for byte become one in any case.
"""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import accumulate, pairwise
from typing import Any

from pikepdf import Dictionary, Object, Pdf

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
    users: list[Object] = field(default_factory=list)
    """The font descriptors that use it."""


def merge_fonts(pdf: Pdf) -> None:
    """Let the fonts of a joined document share files and text maps."""
    unions: dict[str, list[_Letters]] = {}
    once: dict[bytes, Object] = {}
    for font in _fonts(pdf):
        if "/ToUnicode" in font:
            font.ToUnicode = _same(once, font.ToUnicode)
        for below in font.get("/DescendantFonts", ()):
            descriptor = below.get("/FontDescriptor")
            if descriptor is None or "/FontFile2" not in descriptor:
                continue
            try:
                letters = _take_apart(descriptor.FontFile2.read_bytes())
            except (_NotPlain, struct.error):
                descriptor.FontFile2 = _same(once, descriptor.FontFile2)
                continue
            letters.users.append(descriptor)
            of_name = unions.setdefault(str(descriptor.FontName), [])
            if not any(_lay_over(union, letters) for union in of_name):
                of_name.append(letters)
    for of_name in unions.values():
        for union in of_name:
            if len(union.users) > 1:
                made = _put_together(union)
                stream = pdf.make_stream(made)
                stream.Length1 = len(made)
                for descriptor in union.users:
                    descriptor.FontFile2 = stream


def _fonts(pdf: Pdf) -> Iterator[Object]:
    """Every composite font of the document, once, in the order of its pages."""
    seen: set[tuple[int, int]] = set()
    for page in pdf.pages:
        fonts: Any = page.obj.get("/Resources", Dictionary()).get("/Font", Dictionary())
        for name in sorted(fonts.keys()):
            font = fonts[name]
            if font.objgen not in seen:
                seen.add(font.objgen)
                yield font


def _same(once: dict[bytes, Object], stream: Object) -> Object:
    """The first stream met with these bytes."""
    raw = stream.read_raw_bytes()
    return once.setdefault(hashlib.sha256(raw).digest(), stream)


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
    last = hmtx[4 * full - 4 : 4 * full - 2]
    # Most numbers are of glyphs the subset lacks: neither outline nor width.
    bare = bytes(4)
    glyphs = {}
    for number, (start, end) in enumerate(pairwise(loca)):
        metric = hmtx[4 * number : 4 * number + 4] if number < full else last + hmtx[2 * full + 2 * number :][:2]
        if start != end or metric != bare:
            glyphs[number] = (_even(tables["glyf"][start:end]), metric)
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
    union.users.extend(letters.users)
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
