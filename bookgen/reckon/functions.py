"""What a line does, read from its `function`: closed lists of exact words, never a fragment of a sentence.

A function is one or several items between commas or semicolons (`solvent, preservative`).  An item counts as a whole,
in any case: `not a preservative`, `preservative-free base` and `preservatives none` are no preservative.
"""

from __future__ import annotations

from functools import lru_cache

from ..language.items import items_read

PRESERVATIVE = "preservative"
"""The item that says that a line preserves."""
AROMATIC = frozenset({"aroma", "fragrance", "perfume", "scent"})
"""The items that say that a material is aromatic (common practice, no source)."""
COLOURANT = frozenset({"color", "colorant", "colour", "colourant"})
"""The items that say that a material is there for its colour (common practice, no source)."""
ACTIVE = frozenset({"active", "active ingredient", "active substance", "drug"})
"""The items that say that a medicine works by a line (common practice, no source)."""
CARRIERS = frozenset(
    {
        *("emulsifier", "co-emulsifier", "coemulsifier", "emulsifying agent", "emulsifying wax", "emulsifying base"),
        *("o/w emulsifier", "w/o emulsifier", "emulsifier o/w", "emulsifier w/o", "self-emulsifying base"),
        *("cream base", "lotion base", "emulsion base", "absorption base"),
        *("solubiliser", "solubilizer", "solubilising agent", "solubilizing agent"),
        *("surfactant", "co-surfactant", "cosurfactant", "detergent", "cleanser", "cleansing agent", "soap"),
        *("dispersing agent", "dispersant", "wetting agent"),
    }
)
"""The items that say that a material carries oil into water, or water into oil (common practice, no source)."""
GELLING = frozenset(
    {
        *("thickener", "thickening agent", "gelling agent", "gel former", "gellant", "suspending agent"),
        *("stabiliser", "stabilizer", "viscosity modifier", "rheology modifier"),
    }
)
"""The items that say that a material thickens, so that drops stay where they are (common practice, no source)."""
UNDISSOLVED = frozenset(
    {
        *("pigment", "opacifier", "pearliser", "pearlizer", "filler", "powder base", "absorbent", "abrasive"),
        *("exfoliant", "exfoliator", "scrub", "scrubbing agent", "polishing agent", "suspended", "effervescent"),
        *COLOURANT,
    }
)
"""The items that say that a material is not there to dissolve (common practice, no source)."""
UV_FILTERS = frozenset({"uv filter", "uv absorber", "sunscreen", "sunscreen agent", "sun filter"})
"""The items that say that a line keeps out ultraviolet light (common practice, no source)."""
SHAKEN = frozenset({"two-phase", "two-phase product", "shake before use", "shaken before use"})
"""The items of a purpose that say that oil and water are to part and are shaken before use."""

FILTER_AIDS = frozenset(
    {
        "adsorbent",
        "clarifier",
        "clarifying agent",
        "clearing agent",
        "desiccant",
        "dispersing agent",
        "dispersing aid",
        "drying agent",
        "filter aid",
        "filtering aid",
        "filtration aid",
    }
)
"""The items that say that what is taken out again was there for the working alone and gives the product nothing.

Anything else that is taken out, such as a drug or a flower, was extracted (common practice, no source)."""


@lru_cache(maxsize=4096)
def items_of(function: str) -> tuple[str, ...]:
    """Return the items of a function, in lower case and with single spaces; a German one that is listed in English.

    >>> items_of("Solvent;  Preservative, of the old kind"), items_of("Konservierung, Feuchthaltemittel")
    (('solvent', 'preservative', 'of the old kind'), ('preservative', 'feuchthaltemittel'))
    """
    whole = (" ".join(item.split()).casefold() for item in function.replace(";", ",").split(","))
    read = items_read()
    return tuple(read.get(item, item) for item in whole if item)


def items_among(*functions: str) -> frozenset[str]:
    """Return the items of several functions, such as a line's and its material's, together."""
    return frozenset(item for function in functions for item in items_of(function))


def is_filter_aid(function: str, usual: str) -> bool:
    """Tell whether what is taken out again is a filter aid: by its line's function, else by its material's usual one.

    >>> is_filter_aid("", "filter aid"), is_filter_aid("extracted", "filter aid"), is_filter_aid("drug", "")
    (True, False, False)
    """
    return not FILTER_AIDS.isdisjoint(items_of(function) or items_of(usual))


@lru_cache(maxsize=4096)
def preserves(*functions: str) -> bool:
    """Tell whether one of the functions, a line's or its material's, has the item `preservative`.

    >>> preserves("humectant, preservative"), preserves("not a preservative")
    (True, False)
    """
    return any(PRESERVATIVE in items_of(function) for function in functions)
