"""Shown records of the pages to find by: what is searched, what narrows a search, what each formula takes."""

from __future__ import annotations

from dataclasses import dataclass

from ..matter.inherited import Inherited
from ..records import Frame, Link


@dataclass(frozen=True, slots=True, kw_only=True)
class Facet:
    """One thing by which a search can be narrowed."""

    name: str
    """Its name in the page's address: `kept`."""
    title: str
    """What is read beside its field: `Kept in`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchEntry:
    """One formula or material with all that it can be found by."""

    key: str
    """Its key in the book."""
    title: str
    """Title of the formula, name of the material."""
    code: str
    """The formula's code; empty for a material."""
    stem: str
    """Name of its page's file without ending."""
    also: tuple[str, ...]
    """Its synonyms and label names, each once; none that is its title."""
    holds: tuple[Inherited, ...]
    """The materials and formulas that it is made with, on any way, each once."""
    contains: tuple[str, ...]
    """Substances and fragrance allergens that a material is known to contain, by each name; none that it is called."""
    hazards: tuple[str, ...]
    """Dangers in making or handling it, its own."""
    cautions: tuple[str, ...]
    """Cautions for use, its own."""
    functions: tuple[str, ...]
    """What its ingredients do, each once; what a material does."""
    facets: tuple[tuple[str, ...], ...]
    """By which values a search finds it, in the order of `FACETS`; purposes come first."""
    text: str
    """What the keeper wrote about it besides, a line for each paragraph, as read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchShown:
    """The page to search with."""

    frame: Frame
    """What surrounds it."""
    facets: tuple[Facet, ...]
    """What narrows a search."""
    terms: str
    """The file of what can be found, beside the page."""
    counts: str
    """How many formulas and materials are searched, in words."""
    incomplete: str
    """Which materials do not say what they contain; empty where none has to."""
    silent_in: tuple[Link, ...]
    """The formulas that hold one of them, by code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyGroup:
    """Supplies under one letter."""

    letter: str
    """The letter, or the word that stands for what is made here."""
    supplies: tuple[Link, ...]
    """Materials by name, intermediates by code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taking:
    """One formula and what it takes off the shelf."""

    link: Link
    """Its title and code."""
    takes: tuple[Link, ...]
    """Materials and intermediates that are weighed for it, processing aids with them, each once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PossibleShown:
    """The page that says what can be made of what is at hand."""

    frame: Frame
    """What surrounds it."""
    groups: tuple[SupplyGroup, ...]
    """What can be ticked, by letter; intermediates last."""
    formulas: tuple[Taking, ...]
    """The formulas, by code."""
    left_out: str
    """How many formulas are left out and why, as a sentence; empty when none is."""
