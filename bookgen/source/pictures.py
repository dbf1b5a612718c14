"""Pictures beside the formulas: whether one is whole, and not larger than a sheet can show, told from its bytes.

Enters: a file's content.  Leaves: why it cannot be used, or nothing.  No pixel is unpacked: what is looked at
is the frame of each form, its marks, lengths and check sums, which a cut or a bad copy breaks.

Sources: PNG (ISO/IEC 15948:2004, 5 and 11.2), JPEG (ITU-T T.81, annex B), GIF 89a (17 to 27), WebP (RFC 9649, 2).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Callable
from zlib import crc32

from ..wording.saying import Saying, says

MOST_PIXELS = 50_000_000
"""Pixels of the largest picture: half as many again as A4 has at 600 dots an inch, and what the largest cameras of
telephones take.  The press needs nine bytes for each, so that this one takes 450 MB."""

DAMAGED = says("picture-damaged")
NO_PICTURE = says("no-picture")

_Size = tuple[int, int]


class _Damaged(Exception):
    """The file does not go on as its form has it."""


def flaw_of(content: bytes) -> Saying | None:
    """Return why a picture cannot be used; None where it can.

    >>> print(flaw_of(b"words"))
    it holds no PNG, JPEG, GIF or WebP picture
    """
    read = next((kind for start, kind in _FORMS if start.match(content)), None)
    if read is None:
        return NO_PICTURE
    try:
        width, height = read(content)
    except (_Damaged, struct.error, IndexError):
        return DAMAGED
    if not width or not height:
        return DAMAGED
    if width * height > MOST_PIXELS:
        millions, most = _millions(width * height), MOST_PIXELS // 1_000_000
        return says("too-many-pixels", width=width, height=height, millions=millions, most=most)
    return None


def _millions(pixels: int) -> int:
    """Return millions, rounded up: what is refused is never told as what would be taken."""
    return -(-pixels // 1_000_000)


def _png(content: bytes) -> _Size:
    at, size, seen = 8, (0, 0), False
    while True:
        length, kind = struct.unpack_from(">L4s", content, at)
        end = at + 8 + length
        if (
            end + 4 > len(content)
            or crc32(memoryview(content)[at + 4 : end]) != struct.unpack_from(">L", content, end)[0]
        ):
            raise _Damaged
        if kind == b"IHDR":
            size = struct.unpack_from(">LL", content, at + 8)
        seen = seen or kind == b"IDAT"
        if kind == b"IEND":
            if not seen:
                raise _Damaged
            return size
        at = end + 4


_FRAMES = {0xC0, 0xC1, 0xC2, 0xC3, 0xC5, 0xC6, 0xC7, 0xC9, 0xCA, 0xCB, 0xCD, 0xCE, 0xCF}
"""Marks of a frame's head, which holds the size (T.81, table B.1)."""
_MARK = re.compile(rb"\xff+([^\x00\xd0-\xd7\xff])")
"""A mark among the packed pixels: neither a byte FF of theirs nor a point to begin anew."""


def _jpeg(content: bytes) -> _Size:
    at, size, scanned = 2, (0, 0), False
    while True:
        found = _MARK.match(content, at)
        if found is None:
            raise _Damaged
        mark = found[1][0]
        if mark == 0xD9:
            if not scanned:
                raise _Damaged
            return size
        length = struct.unpack_from(">H", content, found.end())[0]
        if mark in _FRAMES:
            height, width = struct.unpack_from(">HH", content, found.end() + 3)
            size = (width, height)
        if length < 2 or mark < 0xC0:
            raise _Damaged
        at = found.end() + length
        if mark == 0xDA:
            scanned = True
            further = _MARK.search(content, at)
            if further is None:
                raise _Damaged
            at = further.start()


def _gif(content: bytes) -> _Size:
    width, height, packed = struct.unpack_from("<HHB", content, 6)
    at, seen = 13 + _colours(packed), False

    def past_blocks(at: int) -> int:
        while content[at]:
            at += content[at] + 1
        return at + 1

    while content[at] != 0x3B:
        if content[at] == 0x21:
            at = past_blocks(at + 2)
        elif content[at] == 0x2C:
            at = past_blocks(at + 11 + _colours(content[at + 9]))
            seen = True
        else:
            raise _Damaged
    if not seen:
        raise _Damaged
    return width, height


def _colours(packed: int) -> int:
    """Return the bytes of a table of colours, by the byte that tells of it."""
    return 3 << (packed & 7) + 1 if packed & 0x80 else 0


def _webp(content: bytes) -> _Size:
    length, kind = struct.unpack_from("<L4x4s", content, 4)
    if length + 8 > len(content):
        raise _Damaged
    if kind == b"VP8X":
        low = struct.unpack_from("<HBHB", content, 24)
        return (low[0] | low[1] << 16) + 1, (low[2] | low[3] << 16) + 1
    if kind == b"VP8L":
        bits = struct.unpack_from("<L", content, 21)[0]
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    if kind == b"VP8 ":
        width, height = struct.unpack_from("<HH", content, 26)
        return width & 0x3FFF, height & 0x3FFF
    raise _Damaged


_FORMS: tuple[tuple[re.Pattern[bytes], Callable[[bytes], _Size]], ...] = (
    (re.compile(rb"\x89PNG\r\n\x1a\n"), _png),
    (re.compile(rb"\xff\xd8\xff"), _jpeg),
    (re.compile(rb"GIF8[79]a"), _gif),
    (re.compile(rb"RIFF....WEBP", re.DOTALL), _webp),
)
"""How a file of each form begins → what reads its size."""
