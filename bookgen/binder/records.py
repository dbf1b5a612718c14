"""Shown records of the binder: leaves with what identifies them, and what its front matter prints."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..leaf import Leaf
from ..shown.matter.records import ContentsEntry, ContentsShown, IndexHeading, IndexPart, IndexShown
from ..shown.records import Frame, MaterialShown


class LeafKind(StrEnum):
    """What a leaf is."""

    FRONT = "front"
    DIVIDER = "divider"
    FORMULA = "formula"
    MATERIALS = "materials"
    BATCH = "batch"


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """Head and foot of all sides of a leaf.  The head is content; the foot is outside both digests."""

    left: str
    """Head, inner words: the chapter."""
    right: str
    """Head, outer words: the title."""
    foot: str = ""
    """Foot, before the number of the sheet: `S-02 · issue 3`."""
    mark: str = ""
    """Foot, at the other end: date of the issue and check code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A leaf ready for the press, with what tells its states apart."""

    leaf: Leaf
    """What is printed, under the code that the foot prints."""
    kind: LeafKind
    """What it is."""
    title: str
    """Title of the formula, name of the material, heading of the front matter; the bookmark adds a formula's code."""
    issue: str
    """Number of the issue; empty for what has none: front matter, dividers, materials."""
    issued: str
    """Date of the issue, where the change log tells it."""
    content: str
    """Digest of what is printed, in letters; the first ones are the check code."""
    template: str
    """Digest of the template's text with all it takes in, and of the language."""
    figures: str = ""
    """Digest of the figures printed on a formula's leaf; empty for any other, and where it is barred."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectiveRow:
    """One leaf in the list of effective sheets: what belongs in the binder."""

    code: str
    """Its code."""
    title: str
    """Its title."""
    chapter: str
    """The chapter it stands in; empty for front matter."""
    kind: LeafKind
    """What it is."""
    issue: str
    """Number of the issue, or empty."""
    issued: str
    """Date of the issue, or empty."""
    sheets: int
    """Pieces of paper."""
    check: str
    """The check code in its foot; empty for the list itself."""
    content: str
    """Digest of what is printed on it."""
    look: str
    """Digest of how it is printed: template, style, type, paper, language, engine."""
    figures: str = ""
    """Digest of the figures printed on a formula's leaf."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectiveGroup:
    """The leaves of one chapter, or of the front matter."""

    title: str
    """The chapter."""
    rows: tuple[EffectiveRow, ...]
    """Its leaves, in the order of the binder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gone:
    """A formula that is kept for the record but no longer in the binder."""

    code: str
    """Its code."""
    title: str
    """Its title."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectiveShown:
    """One sheet of the list of effective sheets."""

    frame: Frame
    """What surrounds it."""
    title: str
    """Its heading, from the second sheet on with the number of the sheet."""
    groups: tuple[EffectiveGroup, ...]
    """By chapter, in the order of the binder."""
    withdrawn: tuple[Gone, ...]
    """Formulas whose sheets belong in the binder no longer, by code."""
    counts: str
    """How many leaves it lists."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleShown:
    """The title; it counts nothing, so that it lasts."""

    frame: Frame
    """What surrounds it."""
    title: str
    """Title of the book."""
    keeper: str
    """Who keeps it."""
    law: str
    """The sentences that defer to law and licensed practice."""
    guide: GuideShown
    """How the binder is used; stands on its back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideShown:
    """How to use this binder."""

    paper: str
    """Format of the sheets."""
    duplex: bool
    """True when sheets are printed on both sides."""
    holes: str
    """How the sheets are punched, in words."""
    marks: bool
    """True when crosses on the sheets show where."""
    strip: bool
    """True when the sheets have a strip for the pencil at the outer edge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContentsSheet:
    """The contents, and every formula under its code."""

    frame: Frame
    """What surrounds them."""
    contents: ContentsShown
    """The contents; without the materials where their divider lists them."""
    behind: str
    """Where the materials are listed instead; empty where they stand here, and where there are none."""
    by_code: str
    """Heading of the index by code."""
    codes: tuple[IndexPart[IndexHeading], ...]
    """Its parts; none in a book without a formula."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoIndexes:
    """Two indexes of the formulas on one leaf, so that neither leaves a side blank."""

    frame: Frame
    """What surrounds them."""
    title: str
    """Its heading in head and list."""
    indexes: tuple[IndexShown[IndexHeading], ...]
    """One below the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldMaterial:
    """One material of a sheet."""

    code: str
    """What links call it."""
    material: MaterialShown
    """What is printed of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialsShown:
    """Materials that stand together on one sheet."""

    frame: Frame
    """What surrounds them."""
    title: str
    """Which ones, by their first letters: `Materials D to F`."""
    materials: tuple[HeldMaterial, ...]
    """By name."""
    points: str
    """Size of the type that the sheet has room for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DividerShown:
    """What opens a chapter."""

    frame: Frame
    """What surrounds it."""
    title: str
    """The chapter."""
    entries: tuple[ContentsEntry, ...]
    """What stands behind it, for its back; none where that is printed on one side, or has no room for all."""
    place: int
    """The tab's place down the fore-edge, from 0."""
    foot_mm: str
    """Where the tab ends, mm from the upper edge of the paper."""
    length_mm: str
    """How long it is, mm."""
