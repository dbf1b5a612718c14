"""The outer form of a TrueType file: a directory of tables with checksums (OpenType 1.9, "Organization of an
OpenType font")."""

from __future__ import annotations

import struct
from collections.abc import Mapping


def is_truetype(raw: bytes) -> bool:
    """Whether the file is one TrueType font, not packed and not a collection."""
    return raw[:4] in (b"\0\1\0\0", b"true")


def read_tables(raw: bytes) -> dict[str, bytes]:
    """The tables by tag. Raises struct.error for a file that is cut short."""
    tables = {}
    for row in range(struct.unpack_from(">H", raw, 4)[0]):
        tag, _, start, length = struct.unpack_from(">4sLLL", raw, 12 + 16 * row)
        tables[tag.decode("latin-1")] = raw[start : start + length]
    return tables


def write_tables(tables: Mapping[str, bytes]) -> bytes:
    """A TrueType file of the tables, `head` among them, with the checksums set."""
    count = len(tables)
    power = count.bit_length() - 1
    directory = [struct.pack(">LHHHH", 0x10000, count, 16 << power, power, 16 * count - (16 << power))]
    body = []
    at, head_at = 12 + 16 * count, 0
    for tag in sorted(tables):
        table = tables[tag]
        if tag == "head":
            head_at = at
            table = table[:8] + bytes(4) + table[12:]
        directory.append(struct.pack(">4sLLL", tag.encode("latin-1"), _checksum(table), at, len(table)))
        body.append(table + bytes(-len(table) % 4))
        at += len(body[-1])
    made = bytearray(b"".join(directory + body))
    struct.pack_into(">L", made, head_at + 8, (0xB1B0AFBA - _checksum(bytes(made))) % 2**32)
    return bytes(made)


def read_loca(tables: Mapping[str, bytes]) -> tuple[int, ...]:
    """Where each glyph begins in `glyf`, and where the last one ends, in bytes.

    HarfBuzz 6.0 keeps the short form of `loca` for a font that grew past what 16 bits count (131,070 bytes); its
    offsets then start again from 0. As they never decrease in a right table, each fall stands for one such turn.
    """
    count = struct.unpack_from(">H", tables["maxp"], 4)[0]
    if struct.unpack_from(">h", tables["head"], 50)[0]:
        wide: tuple[int, ...] = struct.unpack_from(f">{count + 1}L", tables["loca"])
        return wide
    short = struct.unpack_from(f">{count + 1}H", tables["loca"])
    if len(tables["glyf"]) <= 2 * 0xFFFF:
        return tuple(2 * offset for offset in short)
    found, turns, last = [], 0, 0
    for offset in short:
        turns += offset < last
        last = offset
        found.append(2 * (offset + 65536 * turns))
    return tuple(found)


def with_wide_loca(tables: Mapping[str, bytes], loca: tuple[int, ...]) -> dict[str, bytes]:
    """The tables with offsets of 32 bits."""
    head = tables["head"]
    return {**tables, "head": head[:50] + b"\0\1" + head[52:], "loca": struct.pack(f">{len(loca)}L", *loca)}


def _checksum(table: bytes) -> int:
    """Sum of the table's 32-bit words, the last one filled with zeros."""
    padded = table + bytes(-len(table) % 4)
    words: tuple[int, ...] = struct.unpack(f">{len(padded) // 4}L", padded)
    return sum(words) % 2**32
