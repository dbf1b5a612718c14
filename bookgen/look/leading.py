"""Words that lead to how the figures they stand for are found."""

from __future__ import annotations

from markupsafe import Markup

from ..shown.accounts.anchors import PAGE as FIGURES
from ..shown.accounts.anchors import anchor_for
from ..shown.phrases import Figure, PeriodFigure, Phrase, Prose, pieces_of
from ..shown.records import Fact
from .light import quoted
from .markup import PAGE, Printer, marked


def found(
    words: str | Phrase | Markup, holder: Fact | str | Phrase | Prose, root: str | None, printer: Printer = PAGE
) -> Markup:
    """Return words that lead to how a figure is found; the bare words where they stand for none, or without a root.

    `holder` is what the words stand for: a figure's name, a fact, or a text that holds figures, of which the
    first counts; `root` leads from the page to the site's folder.

    >>> found("g", "line-0.metered", "../")
    Markup('<a href="../figures.html#weights">g</a>')
    """
    anchor = "" if root is None else anchor_for(_figure_in(holder))
    printed = words if isinstance(words, Markup) else printer.html(words)
    if not anchor:
        return printed
    if printer.light:
        return marked(f"<a href={quoted(f'{root}{FIGURES}#{anchor}')}>{printed}</a>")
    return marked(f'<a href="{root}{FIGURES}#{anchor}">{printed}</a>')


def _figure_in(holder: Fact | str | Phrase | Prose) -> str:
    """Return the name of the first figure that something holds; empty where it holds none."""
    if isinstance(holder, str):
        return holder
    if isinstance(holder, Fact):
        if holder.figures or holder.stands_for:
            return holder.figures[0].name if holder.figures else holder.stands_for
        holder = holder.text if isinstance(holder.text, Phrase) else Phrase()
    return next((piece.name for piece in pieces_of(holder) if isinstance(piece, Figure | PeriodFigure)), "")
