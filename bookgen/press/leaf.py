"""What is printed: leaves, the style they share, and the digest a finished leaf is kept under.

A leaf enters as one HTML document; nothing here reads HTML. Files are read for their bytes only: a digest never
depends on a file's time or place.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

SCHEME = "sheet:"
"""`<a href="sheet:S-02">` in a leaf is a link to the first page of the leaf with that code."""

RECIPE = "press 1"
"""Raise the number when the press itself makes other bytes from the same leaf: kept PDFs of the old recipe are
then left alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """One cut of type: a family name in the style sheet, and where its letters come from."""

    family: str
    """The name `font-family` uses."""
    file: Path
    """The font file, static or variable (TrueType outlines)."""
    weight: int = 400
    """`font-weight` of this cut, 1 to 1000; also the position on a variable font's weight axis."""
    slope: Literal["normal", "italic"] = "normal"
    """`font-style` of this cut."""
    optical: int = 10
    """Position on the optical-size axis in points, for a variable font that has one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """What all leaves of one book share."""

    css: str = ""
    """Style sheet text for every leaf, page rules included."""
    faces: tuple[Face, ...] = ()
    """The cuts of type; the press writes the `@font-face` rules itself."""
    folders: tuple[Path, ...] = ()
    """Folders whose files a leaf may show; everything else on disk, and all that is remote, is refused."""
    base: Path | None = None
    """The folder relative addresses in `css` start from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """One HTML document that is rendered alone: the sheets of one formula, a title page, the contents."""

    code: str
    """What links call it, as in `sheet:S-02`; unique in a binder."""
    title: str
    """The words of its bookmark."""
    chapter: str
    """The bookmark it stands under; empty for a leaf that stands by itself."""
    html: str
    """The whole document, with its language on the `html` element."""
    base: Path | None = None
    """The folder relative addresses in `html` start from; without it they are refused."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Something a leaf lost on the way to paper: a picture, a link, a rule of its style."""

    code: str
    """The leaf it happened in."""
    sentence: str
    """What happened, for the keeper of the book."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One leaf as printed, ready to be bound."""

    code: str
    """The leaf's code."""
    title: str
    """The leaf's title."""
    chapter: str
    """The leaf's chapter."""
    pdf: bytes
    """Its sheets, one PDF."""
    problems: tuple[Problem, ...] = ()
    """What was lost in rendering it, whether just now or when the kept PDF was made."""


def digest_bytes(parts: Iterable[bytes]) -> str:
    """SHA-256 over the parts, each preceded by its length so that no two lists of parts read the same."""
    total = hashlib.sha256()
    for part in parts:
        total.update(len(part).to_bytes(8, "big"))
        total.update(part)
    return total.hexdigest()


def digest_file(path: Path) -> str:
    """SHA-256 of the file's bytes; raises OSError when it cannot be read."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def digest_style(style: Style, engine: Iterable[str]) -> str:
    """Digest of style sheet, type and engine versions: what a change of any leaf's look goes through.

    `engine` names the versions at work, see `render.engine`. Raises OSError when a font file cannot be read.
    """
    parts = [RECIPE.encode(), *(version.encode() for version in engine), b"", style.css.encode()]
    for face in style.faces:
        cut = f"{face.family}\n{face.weight}\n{face.slope}\n{face.optical}\n{digest_file(face.file)}"
        parts.append(cut.encode())
    return digest_bytes(parts)


def digest_leaf(leaf: Leaf, style_digest: str) -> str:
    """Digest a rendered leaf is kept under. Title and chapter are the binder's affair and leave the PDF alone.

    Pictures are not in it: which ones a leaf shows is known once it is rendered, so `cache` keeps their digests with
    the PDF.
    """
    return digest_bytes((style_digest.encode(), leaf.code.encode(), leaf.html.encode()))
