"""Shown records of contents, indexes and what uses what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from ..records import Frame, LineagePicture, Link

E = TypeVar("E")
"""An entry of an index."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContentsEntry:
    """One line of the contents."""

    link: Link
    """Title and code."""
    note: str
    """What it is for, else what sort of preparation it is and how it is used; of a material, what it does."""
    stamp: str
    """`draft`, `trial`, `withdrawn`, `barred`, or empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChapterShown:
    """One chapter of the contents."""

    title: str
    """Its name."""
    anchor: str
    """Its name in an address."""
    entries: tuple[ContentsEntry, ...]
    """Its formulas."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MatterShown:
    """A page of the front or back matter, as the contents list it."""

    link: Link
    """Its heading."""
    says: str
    """What stands in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContentsShown:
    """The contents of the book."""

    frame: Frame
    """What surrounds it."""
    keeper: str
    """Who keeps the book."""
    matter: tuple[MatterShown, ...]
    """The other pages at the root; none in the binder."""
    chapters: tuple[ChapterShown, ...]
    """The formulas, by chapter."""
    materials: tuple[ContentsEntry, ...]
    """The materials, by name."""
    counts: str
    """How many formulas and materials."""
    findings: str
    """How many findings, in words; empty in the edition for others."""
    stamps: str
    """What the stamps mean that stand at its entries; empty in the binder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cited:
    """Formulas that an entry of an index leads to, for one reason."""

    how: str
    """Why they stand apart, in words: `through`, `taken out again in`, `made with it through`; of a substance `in` or
    `made with`; empty where they list it and keep it."""
    through: tuple[Link, ...]
    """The intermediates through which they hold it; none where they list it themselves."""
    formulas: tuple[Link, ...]
    """The formulas, by code."""
    of: Link | None = None
    """The material that contains it, where the entry is a substance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialEntry:
    """One name in the index of materials: a material with its formulas, a substance with what contains it, or a name
    that leads to others."""

    anchor: str
    """Its name in an address; empty for a name that only leads to others."""
    link: Link
    """The material; bare words for a name that only leads to others."""
    cited: tuple[Cited, ...]
    """Where it is used, then through which other material it comes; none for a material that no formula uses."""
    see: tuple[Link, ...]
    """The entries of the materials that bear this name as a synonym or on labels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaEntry:
    """One formula in an index; in that of functions a material too."""

    link: Link
    """Title and code; of a material the name."""
    stamp: str
    """`draft`, `trial`, `withdrawn`, `barred`, or empty."""
    note: str
    """Its chapter, or why it stands here; may be empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexHeading:
    """One purpose, or one period, with its formulas; without words where the part is not divided."""

    words: str
    """The purpose as written, the period in words."""
    entries: tuple[FormulaEntry, ...]
    """Its formulas, by code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexPart(Generic[E]):
    """The entries below one letter, or of one place."""

    title: str
    """The letter, or the place."""
    anchor: str
    """Its name in an address."""
    entries: tuple[E, ...]
    """What stands below it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexShown(Generic[E]):
    """One index."""

    frame: Frame
    """What surrounds it."""
    title: str
    """Its heading."""
    says: str
    """How it is to be read."""
    empty: str
    """What is said where it has nothing to list."""
    parts: tuple[IndexPart[E], ...]
    """By letter, or by place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UsesEntry:
    """One intermediate."""

    anchor: str
    """Its name in an address."""
    link: Link
    """Title and code."""
    made_of: tuple[Link, ...]
    """Its ingredients, in the order of its lines; formulas with their codes."""
    used_in: tuple[Link, ...]
    """The formulas that list it, by code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UsesShown:
    """What uses what."""

    frame: Frame
    """What surrounds it."""
    title: str
    """Its heading."""
    picture: LineagePicture
    """How the formulas go into each other; false where none does."""
    intermediates: tuple[UsesEntry, ...]
    """The formulas that others use, or that say they are for that; by code."""
