"""How sheets look: style, paper and sides, cuts of type, and the counters that number sides as sheets."""

from __future__ import annotations

import re
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import yaml

from ..findings import nearest
from ..language import word
from ..leaf import Face, Style
from ..look.templates import ThemeFault
from ..look.themes import Theme
from ..model import Paper
from ..wording.saying import says
from .paper import holes_of, punch_marks

if TYPE_CHECKING:
    from ..model import Workroom

SIDES = 100
"""Sides that the foot of one formula or material can number as sheets, front and back."""
MANY_SIDES = 1200
"""The same for lists and indexes, which grow with the book."""

HEADLINE = 80
"""Letters of a title that two lines of the running head hold on A5."""


def headline(words: str) -> str:
    """Return what the running head prints of a title: all of it, or its beginning with dots.

    >>> headline("Cold cream"), headline("cream " * 20)[-12:], len(headline("Q" * 300))
    ('Cold cream', 'cream cream…', 80)
    """
    if len(words) <= HEADLINE:
        return words
    cut = words[: HEADLINE - 1]
    at = cut.rfind(" ")
    return f"{cut[:at] if at > HEADLINE // 2 else cut}…"


def sheet_style(theme: Theme, room: Workroom, *also: str) -> Style:
    """Return the style that all leaves of a book share: the theme's sheet style, paper and sides, cuts of type.

    `also` names further style sheets, for what is no leaf of the binder and must not share in the look of those that
    are.  `own.css` comes last, so that a book changes one rule with a file of one rule.
    """
    paper = str(room.paper).lower()
    back = ("duplex", f"{paper}-back") if room.duplex else ("single",)
    width = "narrow" if room.paper is Paper.A5 else "wide"
    names = ("page", "sheet", width, "front", paper, *back, *also)
    texts = [theme.style(name) for name in names]
    return Style(css="\n".join((*texts, punch_marks(room), theme.text("sheets/own.css"))), faces=faces(theme))


def look_words(theme: Theme, room: Workroom, style: Style, engine: str) -> str:
    """Return the look that all leaves share, in words: what a keeper can tell it by.

    What sheets must have in common to stand in one binder comes first, up to the semicolon: see `paper_in`.
    """
    words = [str(room.paper), "both sides" if room.duplex else "one side", f"{holes_of(room)} holes"]
    sizes = _TYPE.findall(_COMMENT.sub("", style.css))
    words += [f"type {sizes[-1]} pt"] if sizes else []
    words += [_MARKS] if room.punch_marks else []
    own = " with files of the book's own" if len(theme.layers) > 1 else ""
    return f"{', '.join(words)}; {room.language}; theme {theme.name}{own}; {engine}"


_MARKS = "punch marks"
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_TYPE = re.compile(r"(?:^|\})\s*html\s*\{[^}]*?\bfont(?:-size)?:\s*([\d.]+)pt")
"""The size of the type of all sheets, as their style says it of the whole document."""


def paper_in(look: str) -> tuple[str, ...]:
    """Return paper, sides, holes and size of type of a look in words; a look on record may be without the size.

    >>> paper_in("A5, both sides, 2 holes, type 9 pt, punch marks; en; theme workroom")
    ('A5', 'both sides', '2 holes', 'type 9 pt')
    """
    return tuple(word for word in look.partition(";")[0].split(", ") if word != _MARKS)


def numbering(sides: int) -> str:
    """Return counter styles that print sides as sheets: sides 1 and 2 are sheet 1, front and back.

    `sheets` numbers all sides of a leaf: two for each sheet, and the one behind the end that the press takes off.
    """
    round_ = " ".join(f'"{side // 2 + 1}"' for side in range(sides))
    return (
        f"@counter-style sheet {{ system: fixed 1; symbols: {round_}; suffix: '' }}\n"
        f"@counter-style sheets {{ system: fixed 2; symbols: {round_}; suffix: '' }}\n"
        f"@counter-style side {{ system: cyclic; symbols: '{word('front')}' '{word('back')}'; suffix: '' }}\n"
    )


FACES = "fonts/faces.yaml"
_KEYS = ("family", "weight", "slope", "file", "package", "packaged")
_SLOPES = ("normal", "italic")
_PLAIN = re.compile(r"[\w .,\[\]-]+")
"""Signs of the name of a file or a package: nothing that leads elsewhere."""


def faces(theme: Theme) -> tuple[Face, ...]:
    """Return the cuts of type that `fonts/faces.yaml` lists, each from a file of the theme or of a font package.

    Raises ThemeFault, with the line, for a list that cannot be read.
    """
    path = theme.shown(FACES)
    try:
        listed = yaml.compose(theme.text(FACES), yaml.SafeLoader)
    except yaml.MarkedYAMLError as reason:
        mark = reason.problem_mark or reason.context_mark
        words = "the list cannot be read; one cut a line, as in `- {family: Workroom Sans, weight: 400, file: sans}`"
        raise ThemeFault(path, mark.line + 1 if mark else 0, words) from reason
    except (yaml.YAMLError, RecursionError) as reason:
        raise ThemeFault(path, 0, "the list cannot be read; it holds characters that are not text") from reason
    if listed is None:
        return ()
    if not isinstance(listed, yaml.SequenceNode):
        raise ThemeFault(path, 1, "this is not a list; begin each cut of type with `- `")
    return tuple(_face(theme, path, entry) for entry in listed.value)


def _face(theme: Theme, path: str, entry: yaml.Node) -> Face:
    """Return one cut of the list.  Raises ThemeFault."""
    line = entry.start_mark.line + 1
    found: dict[str, str] = {}
    for key, value in entry.value if isinstance(entry, yaml.MappingNode) else ():
        at = key.start_mark.line + 1
        if not (isinstance(key, yaml.ScalarNode) and isinstance(value, yaml.ScalarNode)):
            raise ThemeFault(path, at, "a cut of type has words after each key and nothing below it")
        if key.value not in _KEYS:
            meant = nearest(key.value, _KEYS)
            near = says("perhaps-mean", name=meant) if meant else ""
            raise ThemeFault(path, at, f"a cut of type has no key `{key.value}`{near}")
        found[key.value] = value.value
    for name in ("family", "file"):
        if not found.get(name):
            raise ThemeFault(path, line, f"a cut of type lacks its `{name}`")
    weight, slope = found.get("weight", "400"), found.get("slope", "normal")
    if not (weight.isascii() and weight.isdigit() and len(weight) <= 4 and 1 <= int(weight) <= 1000):
        raise ThemeFault(path, line, f"a weight of `{weight[:20]}`; write a whole number from 1 to 1000, such as 400")
    if slope not in _SLOPES:
        raise ThemeFault(path, line, f"a slope of `{slope[:20]}`; write normal or italic")
    for name in ("family", "file", "package", "packaged"):
        if not _PLAIN.fullmatch(found.get(name, "a")):
            raise ThemeFault(path, line, f"the `{name}` holds signs other than letters, digits, spaces and hyphens")
    return Face(
        family=found["family"],
        file=_font_file(theme, found),
        weight=int(weight),
        slope="italic" if slope == "italic" else "normal",
    )


def _font_file(theme: Theme, entry: dict[str, str]) -> Path:
    """Return where the letters of a cut come from.

    A file that is nowhere is named all the same: the press says that it is missing, and no other type stands in for it
    unnoticed.
    """
    own = (theme.file(f"fonts/{entry['file']}{ending}") for ending in (".ttf", ".otf"))
    packaged = _packaged(entry.get("package", ""), entry.get("packaged", ""))
    return next((file for file in own if file), packaged or theme.layers[0] / "fonts" / f"{entry['file']}.ttf")


def _packaged(package: str, name: str) -> Path | None:
    """Return a font file of an installed package, without importing it; None where it is not installed."""
    spec = find_spec(package) if package.isidentifier() else None  # a name with a stop in it would be imported
    if spec is None or not spec.origin:
        return None
    file = Path(spec.origin).parent / "files" / name
    return file if file.is_file() else None
