"""Cut the theme's web fonts from the font packages; run by hand when a package or the characters change.

    python .ci/cut_web_fonts.py

Source Serif 4 and Source Sans 3 are under the SIL Open Font License with the reserved name "Source", so what is cut
here carries a name of its own.  Kept: the Latin letters of Europe, small Greek letters, figures, fractions, the
signs of the trade.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import fontpkg_source_sans_3
import fontpkg_source_serif_4
from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.varLib.instancer import instantiateVariableFont

FONTS = Path(__file__).parent.parent / "themes" / "workroom" / "fonts"
SERIF = Path(fontpkg_source_serif_4.__file__).parent
SANS = Path(fontpkg_source_sans_3.__file__).parent

CHARACTERS = [
    *range(0x20, 0x7F),
    *range(0xA0, 0x180),
    *range(0x218, 0x21C),
    0x2C6,
    0x2DA,
    0x2DC,
    0x394,
    0x3A9,
    *range(0x3B1, 0x3CA),
    0x1E9E,
    0x2007,
    0x2008,
    0x2009,
    0x202F,
    *range(0x2010, 0x2016),
    *range(0x2018, 0x201F),
    0x2020,
    0x2021,
    0x2022,
    0x2026,
    0x2030,
    0x2032,
    0x2033,
    0x2039,
    0x203A,
    0x2044,
    *range(0x2070, 0x208F),
    0x20AC,
    0x2116,
    0x2122,
    *range(0x2150, 0x215F),
    *range(0x2190, 0x2194),
    0x2192,
    0x2206,
    0x2212,
    0x221A,
    0x221E,
    0x2248,
    0x2260,
    0x2264,
    0x2265,
    0x25AA,
    0x25CF,
]

FEATURES = ["kern", "liga", "lnum", "tnum", "frac", "sups", "subs", "case", "ccmp", "locl", "mark", "mkmk"]

CUTS = (
    (
        "serif.woff2",
        SERIF / "files" / "SourceSerif4[opsz,wght].ttf",
        "Workroom Serif",
        {"opsz": 14, "wght": (400, 700)},
    ),
    (
        "serif-italic.woff2",
        SERIF / "files" / "SourceSerif4-Italic[opsz,wght].ttf",
        "Workroom Serif",
        {"opsz": 14, "wght": 400},
    ),
    ("sans.woff2", SANS / "files" / "SourceSans3[wght].ttf", "Workroom Sans", {"wght": (400, 700)}),
)


def cut(source: Path, family: str, axes: dict[str, object], target: Path) -> None:
    """Write one web font: fewer characters, fewer axes, a name of its own."""
    font = TTFont(source, recalcTimestamp=False)
    options = subset.Options(layout_features=FEATURES, hinting=False, notdef_outline=True, name_IDs=["*"])
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=CHARACTERS)
    cutter.subset(font)
    font = instantiateVariableFont(font, axes)
    for record in list(font["name"].names):
        if record.nameID in (1, 4, 16):
            record.string = family
        elif record.nameID == 6 or record.nameID == 25:
            record.string = family.replace(" ", "")
        elif record.nameID == 3:
            record.string = f"{family}, cut for the web"
    font.flavor = "woff2"
    font.save(target)
    print(f"{target.name}: {target.stat().st_size} bytes")


if __name__ == "__main__":
    for name, source, family, axes in CUTS:
        cut(source, family, axes, FONTS / name)
    shutil.copyfile(SERIF / "LICENSE", FONTS / "OFL-serif.txt")
    shutil.copyfile(SANS / "LICENSE", FONTS / "OFL-sans.txt")
