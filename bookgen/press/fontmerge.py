"""One font file for all leaves of a binder.

Each leaf brings its own subset of each cut. Glyphs keep their numbers in a subset (WeasyPrint asks HarfBuzz for that), so
subsets of one cut can be laid over each other: the union takes a glyph from whichever subset has it. Widths and text
maps stay the leaf's own and small. Where two subsets disagree about a glyph or a table they are of different cuts,
and both are kept. Files and maps that are equal byte for byte become one in any case.
"""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from pikepdf import Dictionary, Object, Pdf

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
    """`head`, with its checksum and the format of `loca` set to what the union writes."""
    hhea: bytes
    """`hhea` without the count of metrics."""
    maxp: bytes
    """`maxp` without the count of glyphs."""
    glyphs: list[bytes]
    """The outline of each glyph by its number; empty where the subset lacks it or there is nothing to draw."""
    metrics: list[bytes]
    """Width and left bearing of each glyph, 4 bytes; zero where the subset lacks it."""
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
    if raw[:4] not in (b"\0\1\0\0", b"true"):
        raise _NotPlain
    tables = {}
    for row in range(struct.unpack_from(">H", raw, 4)[0]):
        tag, _, start, length = struct.unpack_from(">4sLLL", raw, 12 + 16 * row)
        tables[tag.decode("latin-1")] = raw[start : start + length]
    if any(tag not in tables for tag in _MADE):
        raise _NotPlain
    head, hhea, maxp, hmtx = tables["head"], tables["hhea"], tables["maxp"], tables["hmtx"]
    count = struct.unpack_from(">H", maxp, 4)[0]
    wide = struct.unpack_from(">h", head, 50)[0]
    loca = struct.unpack_from(f">{count + 1}{'L' if wide else 'H'}", tables["loca"])
    step = 1 if wide else 2
    full = struct.unpack_from(">H", hhea, 34)[0]
    metrics = [hmtx[4 * n : 4 * n + 4] for n in range(full)]
    last = hmtx[4 * full - 4 : 4 * full - 2]
    metrics += [last + hmtx[4 * full + 2 * n :][:2] for n in range(count - full)]
    return _Letters(
        rest={tag: tables[tag] for tag in _KEPT if tag in tables},
        head=head[:8] + bytes(4) + head[12:50] + b"\0\1" + head[52:],
        hhea=hhea[:34],
        maxp=maxp[:4] + maxp[6:],
        glyphs=[_even(tables["glyf"][a * step : b * step]) for a, b in zip(loca, loca[1:], strict=False)],
        metrics=metrics,
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
    both = zip(union.glyphs, union.metrics, letters.glyphs, letters.metrics, strict=False)
    nothing = bytes(4)
    for outline, metric, other_outline, other_metric in both:
        here, there = outline or metric != nothing, other_outline or other_metric != nothing
        if here and there and (outline, metric) != (other_outline, other_metric):
            return False
    for number, (outline, metric) in enumerate(zip(letters.glyphs, letters.metrics, strict=True)):
        if number >= len(union.glyphs):
            union.glyphs.append(outline)
            union.metrics.append(metric)
        elif not union.glyphs[number] and union.metrics[number] == nothing:
            union.glyphs[number], union.metrics[number] = outline, metric
    union.users.extend(letters.users)
    return True


def _put_together(union: _Letters) -> bytes:
    """The union as a TrueType file, with the checksums OpenType asks for."""
    offsets = [0]
    for outline in union.glyphs:
        offsets.append(offsets[-1] + len(outline))
    tables = {
        **union.rest,
        "glyf": b"".join(union.glyphs),
        "loca": struct.pack(f">{len(offsets)}L", *offsets),
        "hmtx": b"".join(union.metrics),
        "head": union.head,
        "hhea": union.hhea + struct.pack(">H", len(union.metrics)),
        "maxp": union.maxp[:4] + struct.pack(">H", len(union.glyphs)) + union.maxp[4:],
    }
    count = len(tables)
    power = count.bit_length() - 1
    directory = [struct.pack(">LHHHH", 0x10000, count, 16 << power, power, 16 * count - (16 << power))]
    body = []
    at = 12 + 16 * count
    for tag in sorted(tables):
        table = tables[tag] + bytes(-len(tables[tag]) % 4)
        directory.append(struct.pack(">4sLLL", tag.encode("latin-1"), _checksum(table), at, len(tables[tag])))
        if tag == "head":
            adjustment = at + 8
        body.append(table)
        at += len(table)
    made = bytearray(b"".join(directory + body))
    struct.pack_into(">L", made, adjustment, (0xB1B0AFBA - _checksum(bytes(made))) % 2**32)
    return bytes(made)


def _checksum(table: bytes) -> int:
    """Sum of the table's 32-bit words."""
    words: tuple[int, ...] = struct.unpack(f">{len(table) // 4}L", table)
    return sum(words) % 2**32
