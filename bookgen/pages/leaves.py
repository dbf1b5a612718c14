"""The binder's leaves: title, contents by code, one leaf for each formula and material, ready for the press.

A leaf is one HTML document that the press sets alone, so that sheets are numbered within their formula.  Links between
leaves are `sheet:CODE`.  Pictures travel inside the leaf, so a leaf needs no folder.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from importlib.util import find_spec
from mimetypes import guess_type
from pathlib import Path
from typing import TYPE_CHECKING

import yaml
from markupsafe import Markup

from ..leaf import Face, Leaf, Style
from ..reckon.figures import Reckoning
from ..reckon.weighing import weigh
from .formula import formula_shown
from .leafing.contents import contents_shown
from .material import material_shown
from .shelf import Shelf, Way, chapter_title, in_natural_order, shelf_of
from .themes import Theme

if TYPE_CHECKING:
    from ..model import Workroom
    from ..review import Review

TITLE = "title"
CONTENTS = "contents"
MATERIALS = "Materials"
MOST_SIDES = 100
"""Sides that the foot of one formula can number as sheets, front and back."""


def leaves(reckoning: Reckoning, review: Review, theme: Theme) -> Iterator[Leaf]:
    """Yield the leaves in the order of the binder."""
    shelf = shelf_of(reckoning, review, sheets=True)
    picture = _picture(shelf)
    contents = contents_shown(shelf, sheets=True)
    room = shelf.book.workroom
    numbering = Markup(_numbering()) if room.duplex else ""  # in the leaf: the engine looks for counter styles there
    yield Leaf(
        code=_free(TITLE, shelf),
        title=room.title,
        chapter="",
        html=theme.template("sheets/title.html").render(page=contents, room=_room(room), numbering=numbering),
    )
    by_code = sorted(
        (one for chapter in contents.chapters for one in chapter.entries),
        key=lambda one: in_natural_order(one.link.code),
    )
    yield Leaf(
        code=_free(CONTENTS, shelf),
        title="Contents by code",
        chapter="",
        html=theme.template("sheets/contents.html").render(page=contents, entries=by_code, numbering=numbering),
    )
    template = theme.template("sheets/formula.html")
    for chapter in shelf.chapters:
        for key in chapter.keys:
            page = formula_shown(reckoning.figures[key], weigh(reckoning, key), shelf, picture)
            yield Leaf(
                code=shelf.stems[key],
                title=f"{page.code} {page.title}",
                chapter=chapter_title(chapter.folder),
                html=template.render(page=page, numbering=numbering),
            )
    template = theme.template("sheets/material.html")
    for key in shelf.materials:
        shown = material_shown(key, shelf, picture)
        yield Leaf(
            code=shelf.stems[key],
            title=shown.name,
            chapter=MATERIALS,
            html=template.render(page=shown, numbering=numbering),
        )


def _free(code: str, shelf: Shelf) -> str:
    """Return a code for front matter that no formula or material has."""
    taken = {stem.casefold() for stem in shelf.stems.values()}
    while code in taken:
        code += "-leaf"
    return code


def _room(room: Workroom) -> dict[str, str]:
    """Return what the title page says of the workroom, as words."""
    return {"keeper": room.keeper, "paper": str(room.paper)}


def _picture(shelf: Shelf) -> Way:
    """Return the way to a picture inside the leaf itself."""

    def way(path: str) -> str:
        content = shelf.book.files.get(path)
        if content is None:
            return ""
        return f"data:{guess_type(path)[0] or 'application/octet-stream'};base64,{b64encode(content).decode()}"

    return way


def sheet_style(theme: Theme, room: Workroom) -> Style:
    """Return the style that all leaves of a book share: the theme's sheet style, paper and sides, cuts of type."""
    paper = str(room.paper).lower()
    back = ("sheets/duplex.css", f"sheets/{paper}-back.css") if room.duplex else ("sheets/single.css",)
    parts = [theme.text(path) for path in ("sheets/sheet.css", f"sheets/{paper}.css", *back)]
    return Style(css="\n".join(parts), faces=faces(theme))


def _numbering() -> str:
    """Return counter styles that print sides as sheets: sides 1 and 2 are sheet 1, front and back."""
    sheets = " ".join(f'"{side // 2 + 1}"' for side in range(MOST_SIDES))
    return (
        f"@counter-style sheet {{ system: fixed 1; symbols: {sheets}; suffix: '' }}\n"
        "@counter-style side { system: cyclic; symbols: 'front' 'back'; suffix: '' }\n"
    )


def faces(theme: Theme) -> tuple[Face, ...]:
    """Return the cuts of type that `fonts/faces.yaml` lists: files of the theme, or of an installed font package."""
    found = []
    for entry in yaml.safe_load(theme.text("fonts/faces.yaml")) or ():
        file = theme.file(f"fonts/{entry['file']}") or _packaged(entry.get("package", ""), entry["file"])
        if file is not None:
            found.append(
                Face(
                    family=entry["family"],
                    file=file,
                    weight=int(entry.get("weight", 400)),
                    slope="italic" if entry.get("slope") == "italic" else "normal",
                )
            )
    return tuple(found)


def _packaged(package: str, name: str) -> Path | None:
    """Return a font file of an installed package, without importing it; None where it is not installed."""
    spec = find_spec(package) if package else None
    if spec is None or not spec.origin:
        return None
    file = Path(spec.origin).parent / "files" / name
    return file if file.is_file() else None
