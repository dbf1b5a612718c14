"""Which paragraph of the page "How the figures are found" stands for which figure.

The one table: a pattern of figure names → the paragraph's anchor.  Column heads, terms and headings of a formula page
lead where the figures under them belong.
"""

from __future__ import annotations

import re
from functools import lru_cache

from markupsafe import Markup

from ..markup import html_of
from ..phrases import Figure, PeriodFigure, Phrase, Prose, pieces_of
from ..shown import Fact

PAGE = "figures.html"
"""The page's file, beside the contents; formulas and materials have folders of their own, so no code can take it."""

TABLE: tuple[tuple[str, str], ...] = (
    (r"line-#\.written|ph\.(low|high)", "as-written"),
    (r"makes|makes-about", "makes"),
    (r"line-#\.percent|percent-total", "percent"),
    (r"part", "parts"),
    (r"line-#\.(ml|one-ml)|density-.+", "volume"),
    (r"obtain\.(g|ml)|start|start\.g|yield|batch-yield", "weigh-in-all"),
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
    (r"composition-.+", "composition"),
    (r"carries-#", "contents"),
    (r"carries-#\.wv", "by-volume"),
    (r"carries-#\.vol", "spirit-strength"),
    (r"preparation", "preparation"),
    (r"water|alcohol", "free-water"),
    (r"period|limit-#", "use-by"),
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


def found(words: str | Phrase | Markup, holder: Fact | str | Phrase | Prose, root: str | None) -> Markup:
    """Return words that lead to how a figure is found; the bare words where they stand for none, or without a root.

    `holder` is what the words stand for: a figure's name, a fact, or a text that holds figures, of which the
    first counts; `root` leads from the page to the site's folder.

    >>> found("g", "line-0.metered", "../")
    Markup('<a class="found" href="../figures.html#weights">g</a>')
    """
    anchor = "" if root is None else anchor_for(_figure_in(holder))
    printed = words if isinstance(words, Markup) else html_of(words)
    return Markup(f'<a class="found" href="{root}{PAGE}#{anchor}">{printed}</a>') if anchor else printed


def _figure_in(holder: Fact | str | Phrase | Prose) -> str:
    """Return the name of the first figure that something holds; empty where it holds none."""
    if isinstance(holder, str):
        return holder
    if isinstance(holder, Fact):
        if holder.figures or holder.stands_for:
            return holder.figures[0].name if holder.figures else holder.stands_for
        holder = holder.text if isinstance(holder.text, Phrase) else Phrase()
    return next((one.name for one in pieces_of(holder) if isinstance(one, Figure | PeriodFigure)), "")
