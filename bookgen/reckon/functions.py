"""What a line does, read from its `function`: closed lists of exact words, never a fragment of a sentence.

A function is one or several items between commas or semicolons (`solvent, preservative`).  An item counts as a whole,
in any case: `not a preservative`, `preservative-free base` and `preservatives none` are no preservative.
"""

from __future__ import annotations

from functools import lru_cache

PRESERVATIVE = "preservative"
"""The item that says that a line preserves."""
AROMATIC = frozenset({"aroma", "fragrance", "perfume", "scent"})
"""The items that say that a material is aromatic (common practice, no source)."""
COLOURANT = frozenset({"color", "colorant", "colour", "colourant"})
"""The items that say that a material is there for its colour (common practice, no source)."""

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
    """Return the items of a function, in lower case and with single spaces.

    >>> items_of("Solvent;  Preservative, of the old kind")
    ('solvent', 'preservative', 'of the old kind')
    """
    whole = (" ".join(item.split()).casefold() for item in function.replace(";", ",").split(","))
    return tuple(item for item in whole if item)


def is_filter_aid(function: str, usual: str) -> bool:
    """Tell whether what is taken out again is a filter aid: by its line's function, else by its material's usual one.

    >>> is_filter_aid("", "filter aid"), is_filter_aid("extracted", "filter aid"), is_filter_aid("drug", "")
    (True, False, False)
    """
    return not FILTER_AIDS.isdisjoint(items_of(function) or items_of(usual))


def preserves(*functions: str) -> bool:
    """Tell whether one of the functions, a line's or its material's, has the item `preservative`.

    >>> preserves("humectant, preservative"), preserves("not a preservative")
    (True, False)
    """
    return any(PRESERVATIVE in items_of(function) for function in functions)
