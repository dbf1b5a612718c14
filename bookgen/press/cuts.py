"""Cuts of type: a variable font at one weight and optical size, whole for setting and in part for the binder.

Left to itself WeasyPrint cuts each variable font again for every leaf, which takes several times as long as setting
the leaf (measured with Source Serif 4 and Source Sans 3: 0.45 s of 0.55 s a page).  HarfBuzz cuts a whole font in
0.01 s, once for all leaves.  Each cut carries a mark that stays with it in WeasyPrint's subsetting: by it a leaf's
subset tells which cut it is part of, so the binder can hold that once.
"""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Iterable, Mapping
from importlib import import_module
from io import BytesIO

from ..fraction import Fraction
from ..leaf import Face


def cut(face: Face) -> bytes:
    """The face's font at its weight and optical size, every glyph with its own number, and marked.

    An axis that the face does not name stays at its default.  Raises OSError for a file that cannot be read and
    ValueError for one that is no font or not a whole one: the engine would take another type in its place and not say
    so.
    """
    raw = _unpacked(face.file.read_bytes(), face.file.name)
    harfbuzz = import_module("uharfbuzz")
    font = harfbuzz.Face(raw)
    place = {"wght": face.weight, "opsz": face.optical}
    if font.axis_infos:
        order = harfbuzz.SubsetInput()
        order.keep_everything()
        order.flags = harfbuzz.SubsetFlags.RETAIN_GIDS | harfbuzz.SubsetFlags.NOTDEF_OUTLINE
        for axis in font.axis_infos:
            at = min(max(place.get(axis.tag, axis.default_value), axis.min_value), axis.max_value)
            order.pin_axis_location(font, axis.tag, at)
        raw = harfbuzz.subset(font, order).blob.data
    return _marked(raw)


def x_height(face: Face) -> Fraction:
    """Return how high the letter x of a face is, as a part of the type's size; what it has no x for counts as half.

    Raises as `cut` does.
    """
    harfbuzz = import_module("uharfbuzz")
    whole = harfbuzz.Face(cut(face))
    font = harfbuzz.Font(whole)
    glyph = font.get_nominal_glyph(ord("x"))
    extents = None if glyph is None else font.get_glyph_extents(glyph)
    return Fraction(1, 2) if extents is None else Fraction(int(extents.y_bearing), int(whole.upem))


def part(whole: bytes, glyphs: Iterable[int]) -> bytes:
    """The cut with the outlines of these glyphs alone, under their own numbers: what a PDF reads of a font."""
    harfbuzz = import_module("uharfbuzz")
    order = harfbuzz.SubsetInput()
    flags = harfbuzz.SubsetFlags
    order.flags = flags.RETAIN_GIDS | flags.NOTDEF_OUTLINE | flags.NO_HINTING | flags.NO_LAYOUT_CLOSURE
    order.glyph_set.update(glyphs)
    order.drop_table_tag_set.update(int.from_bytes(tag.encode(), "big") for tag in _UNREAD)
    made: bytes = harfbuzz.subset(harfbuzz.Face(whole), order).blob.data
    return made


_UNREAD = ("BASE", "DSIG", "GDEF", "GPOS", "GSUB", "JSTF", "OS/2", "STAT", "gasp", "name", "post")
"""Tables that no reader of a PDF looks into (ISO 32000-1, 9.9)."""


def mark_of(font: bytes) -> str:
    """The mark of the cut a font file was made from; any other has a day there, which is no cut's mark.

    Raises KeyError and struct.error for what is no whole font.
    """
    return font[_made_at(font) :][:8].hex()


def _marked(raw: bytes) -> bytes:
    """The font with 29 bits of its digest in place of the day it was made.

    That is then from 1972 to 1989, and no such font is as old.  Subsetting copies the day and no reader asks for it;
    fontTools, which may subset too, takes none before 1970 for what it is.
    """
    at = _made_at(raw)
    mark = 0x80000000 | int.from_bytes(hashlib.sha256(raw).digest()[:4], "big") >> 3
    return raw[:at] + mark.to_bytes(8, "big") + raw[at + 8 :]


def _made_at(raw: bytes) -> int:
    """Where a font says when it was made (OpenType 1.9, `head`)."""
    return _directory(raw)["head"][0] + 20


def _unpacked(raw: bytes, name: str) -> bytes:
    """The font in its plain form. Raises ValueError with a sentence that names the file."""
    form = raw[:4]
    if form == b"ttcf":
        raise ValueError(f"{name} holds several fonts; name a file that holds one.")
    if form not in (b"\0\1\0\0", b"OTTO", b"true", b"wOFF", b"wOF2"):
        raise ValueError(f"{name} is not a font file.")
    try:
        if form in (b"wOFF", b"wOF2"):
            font = import_module("fontTools.ttLib").TTFont(BytesIO(raw), recalcTimestamp=False)
            font.flavor = None
            plain = BytesIO()
            font.save(plain, reorderTables=False)
            raw = plain.getvalue()
        sound = _is_whole(raw)
    except Exception as reason:  # fontTools raises whatever it stumbles over
        raise ValueError(f"{name} is damaged or cut short.") from reason
    if not sound:
        raise ValueError(f"{name} is damaged or cut short.")
    return raw


_NEEDED = {"cmap", "head", "hhea", "hmtx", "maxp"}
"""Tables without which letters cannot be set; outlines come beside them."""


def _is_whole(raw: bytes) -> bool:
    """Whether all tables are there that are needed, each to its end (OpenType 1.9). Raises struct.error."""
    tables = _directory(raw)
    if any(start + length > len(raw) for start, length in tables.values()):
        return False
    outlines = {"glyf", "loca"} <= tables.keys() or "CFF " in tables or "CFF2" in tables
    return tables.keys() >= _NEEDED and outlines and raw[tables["head"][0] + 12 :][:4] == b"\x5f\x0f\x3c\xf5"


def _directory(raw: bytes) -> Mapping[str, tuple[int, int]]:
    """Start and length of each table by its tag (OpenType 1.9, "Organization of an OpenType font").

    Raises struct.error for a file that ends before.
    """
    rows = (struct.unpack_from(">4s4xLL", raw, 12 + 16 * row) for row in range(struct.unpack_from(">H", raw, 4)[0]))
    return {tag.decode("latin-1"): (start, length) for tag, start, length in rows}
