"""Letters made of other letters, drawn out: each glyph then stands for itself.

A subset that keeps the numbers of its glyphs still gives those that only others are made of, such as the dot of an i,
the numbers behind its last one (HarfBuzz). So subsets of one cut would disagree about the i, and could not be laid
over each other.

Only Latin letters are drawn out, which takes a tenth of a second for each cut; where a leaf prints others that are made
of parts, the binder holds one more file of that cut.
"""

from __future__ import annotations

from collections.abc import Container
from importlib import import_module
from io import BytesIO
from typing import Any

LATIN: tuple[Container[int], ...] = (range(0x250), range(0xFB00, 0xFB07))
"""Code points of Latin letters and of their ligatures."""


def flat(raw: bytes) -> bytes:
    """The TrueType font with its Latin letters as one outline each (OpenType 1.9, `glyf`), all else kept."""
    font = import_module("fontTools.ttLib").TTFont(BytesIO(raw), recalcBBoxes=False, recalcTimestamp=False)
    glyphs = font["glyf"]
    letters = {name for code, name in font.getBestCmap().items() if any(code in some for some in LATIN)}
    drawn = {name: _drawn(glyphs, name) for name in sorted(letters) if glyphs[name].isComposite()}
    if not drawn:
        return raw
    for name, glyph in drawn.items():
        glyphs[name] = glyph
    made = BytesIO()
    font.save(made, reorderTables=False)
    return made.getvalue()


def _drawn(glyphs: Any, name: str) -> Any:
    """A composite glyph as a simple one; its hints spoke of its parts and go with them."""
    glyf = import_module("fontTools.ttLib.tables._g_l_y_f")
    coordinates, ends, flags = glyphs[name].getCoordinates(glyphs)
    glyph = glyf.Glyph()
    glyph.numberOfContours = len(ends)
    if ends:
        glyph.coordinates, glyph.endPtsOfContours, glyph.flags = coordinates.copy(), list(ends), flags
        glyph.coordinates.toInt()
        glyph.program = import_module("fontTools.ttLib.tables.ttProgram").Program()
        glyph.program.fromBytecode(b"")
        glyph.recalcBounds(glyphs)
    return glyph
