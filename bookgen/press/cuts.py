"""Type ready for setting: a variable font cut at one weight and optical size.

Left to itself WeasyPrint cuts each variable font again for every leaf, which takes several times as long as setting
the leaf (measured with Source Serif 4 and Source Sans 3: 0.45 s of 0.55 s a page). HarfBuzz cuts a whole font in
0.03 s, once for all leaves. Its library is the one WeasyPrint subsets with; where it is missing or older than 6.0 the
variable font goes to WeasyPrint as it is: slower, and as good to look at.
"""

from __future__ import annotations

import ctypes
import struct
from contextlib import ExitStack
from dataclasses import dataclass
from functools import cache as remember
from importlib import import_module
from io import BytesIO

from ..leaf import Face
from .flat import flat
from .sfnt import is_truetype, read_loca, read_tables, with_wide_loca, write_tables

HARFBUZZ = ("libharfbuzz.so.0", "libharfbuzz.0.dylib", "libharfbuzz-0.dll")
HARFBUZZ_SUBSET = ("libharfbuzz-subset.so.0", "libharfbuzz-subset.0.dylib", "libharfbuzz-subset-0.dll")

_POINTER = ctypes.c_void_p
_FIXED = (_POINTER, _POINTER, ctypes.c_uint32, ctypes.c_float)
_RETAIN_GLYPH_NUMBERS = 0x2
_NOTDEF_OUTLINE = 0x40
_WHOLE_SETS = (0, 1, 4, 5, 6)
"""hb_subset_sets_t: glyphs, characters, name identifiers, name languages, layout features: all of each is kept."""


def load_library(names: tuple[str, ...]) -> ctypes.CDLL | None:
    """The first of the shared libraries that is there."""
    for name in names:
        try:
            return ctypes.CDLL(name)
        except OSError:
            continue
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class _HarfBuzz:
    """The two libraries, with the signatures of what is called in them."""

    core: ctypes.CDLL
    """libharfbuzz."""
    subset: ctypes.CDLL
    """libharfbuzz-subset."""


_SIGNATURES = (
    ("core", "hb_blob_create", _POINTER, (ctypes.c_char_p, ctypes.c_uint, ctypes.c_int, _POINTER, _POINTER)),
    ("core", "hb_blob_destroy", None, (_POINTER,)),
    ("core", "hb_blob_get_data", _POINTER, (_POINTER, ctypes.POINTER(ctypes.c_uint))),
    ("core", "hb_face_create", _POINTER, (_POINTER, ctypes.c_uint)),
    ("core", "hb_face_destroy", None, (_POINTER,)),
    ("core", "hb_face_reference_blob", _POINTER, (_POINTER,)),
    ("core", "hb_set_clear", None, (_POINTER,)),
    ("core", "hb_set_invert", None, (_POINTER,)),
    ("subset", "hb_subset_input_create_or_fail", _POINTER, ()),
    ("subset", "hb_subset_input_destroy", None, (_POINTER,)),
    ("subset", "hb_subset_input_set", _POINTER, (_POINTER, ctypes.c_int)),
    ("subset", "hb_subset_input_set_flags", None, (_POINTER, ctypes.c_uint)),
    ("subset", "hb_subset_input_pin_axis_location", ctypes.c_int, _FIXED),
    ("subset", "hb_subset_or_fail", _POINTER, (_POINTER, _POINTER)),
)  # fmt: skip


@remember
def _harfbuzz() -> _HarfBuzz | None:
    """HarfBuzz with all we call, or None."""
    core, subset = load_library(HARFBUZZ), load_library(HARFBUZZ_SUBSET)
    if core is None or subset is None:
        return None
    for library, name, result, arguments in _SIGNATURES:
        try:
            function = getattr(core if library == "core" else subset, name)
        except AttributeError:
            return None
        function.restype, function.argtypes = result, arguments
    return _HarfBuzz(core=core, subset=subset)


def cut(face: Face) -> bytes:
    """The face's font at its weight and optical size, every glyph with its own number and outline.

    A font without axes, and any font where HarfBuzz cannot cut, is returned as it is. Raises OSError for a file that
    cannot be read and ValueError for one that is no font or not a whole one: the engine would take another type in its
    place and not say so.
    """
    raw = _unpacked(face.file.read_bytes(), face.file.name)
    harfbuzz = _harfbuzz()
    if harfbuzz is None or not _has_axes(raw):
        return raw
    with ExitStack() as rest:
        made = _instance(harfbuzz, rest, raw, {"wght": face.weight, "opsz": face.optical})
    if made is None:
        return raw
    if not is_truetype(made):
        return made
    tables = read_tables(made)
    tables = read_tables(flat(write_tables(with_wide_loca(tables, read_loca(tables)))))
    return write_tables(with_wide_loca(tables, read_loca(tables)))


def _unpacked(raw: bytes, name: str) -> bytes:
    """The font in its plain form. Raises ValueError with a sentence that names the file."""
    form = raw[:4]
    if form == b"ttcf":
        raise ValueError(f"{name} holds several fonts; name a file that holds one.")
    if form not in (b"\0\1\0\0", b"OTTO", b"true", b"wOFF", b"wOF2"):
        raise ValueError(f"{name} is not a font file.")
    try:
        if form in (b"wOFF", b"wOF2"):
            font = import_module("fontTools.ttLib").TTFont(BytesIO(raw))
            font.flavor = None
            font.recalcTimestamp = False
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
    for row in range(struct.unpack_from(">H", raw, 4)[0]):
        start, length = struct.unpack_from(">LL", raw, 12 + 16 * row + 8)
        if start + length > len(raw):
            return False
    tables = read_tables(raw)
    outlines = {"glyf", "loca"} <= tables.keys() or "CFF " in tables or "CFF2" in tables
    return tables.keys() >= _NEEDED and outlines and tables["head"][12:16] == b"\x5f\x0f\x3c\xf5"


def _has_axes(raw: bytes) -> bool:
    """Whether the font is one that can be cut: a single OpenType font with an `fvar` table."""
    return (is_truetype(raw) or raw[:4] == b"OTTO") and "fvar" in read_tables(raw)


def _instance(harfbuzz: _HarfBuzz, rest: ExitStack, raw: bytes, place: dict[str, int]) -> bytes | None:
    """The font pinned at the place on its axes, an axis not named at its default; None where HarfBuzz declines.

    `rest` frees what C allocated.
    """
    core, subset = harfbuzz.core, harfbuzz.subset

    def owned(made: int | None, destroy: str) -> int | None:
        if made:
            rest.callback(getattr(subset if destroy.startswith("hb_subset") else core, destroy), made)
        return made

    blob = owned(core.hb_blob_create(raw, len(raw), 1, None, None), "hb_blob_destroy")
    font = owned(core.hb_face_create(blob, 0), "hb_face_destroy")
    order = owned(subset.hb_subset_input_create_or_fail(), "hb_subset_input_destroy")
    if not order:
        return None
    for kind in _WHOLE_SETS:
        kept = subset.hb_subset_input_set(order, kind)
        core.hb_set_clear(kept)
        core.hb_set_invert(kept)
    subset.hb_subset_input_set_flags(order, _RETAIN_GLYPH_NUMBERS | _NOTDEF_OUTLINE)
    for tag, start, low, high in _axes(raw):
        at = min(max(float(place.get(tag, start)), low), high)
        subset.hb_subset_input_pin_axis_location(order, font, int.from_bytes(tag.encode(), "big"), at)
    made = owned(subset.hb_subset_or_fail(font, order), "hb_face_destroy")
    if not made:
        return None
    written = owned(core.hb_face_reference_blob(made), "hb_blob_destroy")
    length = ctypes.c_uint()
    start_of = core.hb_blob_get_data(written, ctypes.byref(length))
    return ctypes.string_at(start_of, length.value) if length.value else None


def _axes(raw: bytes) -> list[tuple[str, float, float, float]]:
    """Tag, default, lowest and highest place of each axis (OpenType, table `fvar`; 16.16 fixed-point numbers)."""
    table = read_tables(raw)["fvar"]
    first, _, count, size = struct.unpack_from(">4H", table, 4)
    found = []
    for at in range(first, first + count * size, size):
        tag, low, default, high = struct.unpack_from(">4s3l", table, at)
        found.append((tag.decode("latin-1"), default / 65536, low / 65536, high / 65536))
    return found
