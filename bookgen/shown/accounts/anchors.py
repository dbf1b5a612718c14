"""Which paragraph of the page "How the figures are found" stands for which figure.

The one table: a pattern of figure names → the paragraph's anchor.  Column heads, terms and headings of a formula page
lead where the figures under them belong.
"""

from __future__ import annotations

import re
from functools import lru_cache

PAGE = "figures.html"
"""The page's file, beside the contents; formulas and materials have folders of their own, so no code can take it."""

TABLE: tuple[tuple[str, str], ...] = (
    (r"line-#\.written|ph\.(low|high)", "as-written"),
    (r"makes|makes-about", "makes"),
    (r"line-#\.percent|percent-total", "percent"),
    (r"part", "parts"),
    (r"line-#\.(ml|one-ml)|density-.+", "volume"),
    (r"obtain\.(g|ml)|start|start\.g|yield|batch-yield", "weigh-in-all"),
    (r"pieces|piece(-#)?", "one-piece"),
    (r"capsule\.(ml|takes|more)", "capsules"),
    (r"dose-#", "one-dose"),
    (r"evaporated|line-#\.loss", "evaporation"),
    (r"line-#\.metered", "weights"),
    (r"printed-total|left-out", "printed-total"),
    (r"line-#\.(drops|error|portions|to|few|many|within)", "measured"),
    (r"line-#\.plan\.(?!error).+|line-#\.spared", "thinned"),
    (r"line-#\.plan\.error", "aliquot-off"),
    (r"line-#\.percent-(low|high)", "interval"),
    (r"accepted-error|(smallest|enough)-batch|first-.+\.enough", "verdict"),
    (r"line-#\.blend\..+", "spirit-wanted"),
    (r"line-#\.form-#\.(factor|have|want)", "forms"),
    (r"line-#\.grams", "least"),
    (r"line-#\.next", "larger-batch"),
    (r"line-#\.(drop|low|high)", "drop"),
    (r"link-#\.(metered|drops|ml|to|strong|water|within)", "amounts-in-text"),
    (r"first-.+\.(obtain|obtain_ml|start|start_ml)", "make-first"),
    (r"composition-.+|share-#", "composition"),
    (r"carries-#(\.low)?", "contents"),
    (r"carries-#\.wv", "by-volume"),
    (r"carries-#\.vol", "spirit-strength"),
    (r"preparation", "preparation"),
    (r"water|alcohol", "free-water"),
    (r"period|limit-#", "use-by"),
    (r"made-#\.(off|share|share-if-water)|went-in", "achieved"),
    (r"of-plan|of-what-went-in", "came-out"),
    (r"last-day", "last-day"),
    (r"left", "left"),
    (r"cost\.(total|gram|each-#)-#", "cost"),
)
"""`#` stands for a number."""

_PATTERNS = tuple((re.compile(pattern.replace("#", r"\d+")), anchor) for pattern, anchor in TABLE)


def anchors_for(figure: str) -> tuple[str, ...]:
    """Return every anchor whose pattern fits a figure's name: exactly one, if the table is right."""
    return tuple(anchor for pattern, anchor in _PATTERNS if pattern.fullmatch(figure))


@lru_cache(maxsize=4096)
def anchor_for(figure: str) -> str:
    """Return the anchor of the paragraph that a figure belongs to, by its name; empty for a name without an account.

    >>> anchor_for("line-3.metered"), anchor_for("first-w-01.start")
    ('weights', 'make-first')
    """
    return next(iter(anchors_for(figure)), "")
