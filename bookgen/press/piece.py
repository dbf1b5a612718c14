"""What the press makes of leaves: pieces, what was lost on the way, and the digest a finished leaf is kept under.

Nothing here reads HTML. Files are read for their bytes only: a digest never depends on a file's time or place.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ..leaf import Held, Leaf, Style

RECIPE = "press 14"
"""Raise the number when the press itself makes other bytes from the same leaf: kept PDFs of the old recipe are
then left alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Something a leaf lost on the way to paper: a picture, a link, a rule of its style."""

    code: str
    """The leaf it happened in."""
    sentence: str
    """What happened, for the keeper of the book."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedLeaf:
    """One leaf as printed, ready to be bound."""

    code: str
    """The leaf's code."""
    title: str
    """The leaf's title."""
    chapter: str
    """The leaf's chapter."""
    divides: bool = False
    """Whether it opens its chapter, see `Leaf.divides`."""
    holds: tuple[Held, ...] = ()
    """What links lead to within it, see `Leaf.holds`."""
    pages: int
    """Its sides, blank ones included; 1 or more."""
    pdf: bytes
    """Its sheets, one PDF."""
    cuts: tuple[bytes, ...] = ()
    """The type it is set in, whole: the binder holds of each what its leaves use."""
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
    """Digest a rendered leaf is kept under. What its bookmark says is the binder's affair
    and leaves the PDF alone."""
    return digest_bytes((style_digest.encode(), leaf.code.encode(), leaf.html.encode()))
