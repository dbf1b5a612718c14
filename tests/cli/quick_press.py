"""A stand-in for the layout engine: each leaf on one or two sheets with a word on each side, in no time."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from bookgen.leaf import Leaf, Style
from bookgen.press.piece import PrintedLeaf
from bookgen.press.render import Press

ENGINE = Press.print


@cache
def _sheets(sides: int) -> bytes:
    """Return so many sides of the engine's own, with nothing on them but a word each."""
    words = '<p style="break-after: page">x</p>' * (sides - 1) + "<p>x</p>"
    html = f'<html lang="en"><head><title>x</title></head><body>{words}</body></html>'
    with Press(Style(), workers=1) as press:
        return ENGINE(press, [Leaf(code="x", title="x", chapter="", html=html)])[0].pdf


def print_quickly(press: Press, leaves: Sequence[Leaf], progress: object = None) -> tuple[PrintedLeaf, ...]:
    """Print each leaf on one or two blank sheets, by the length of what stands on it."""
    sides = [2 if len(one.html) % 3 else 4 for one in leaves]
    return tuple(
        PrintedLeaf(
            code=one.code,
            title=one.title,
            chapter=one.chapter,
            divides=one.divides,
            holds=one.holds,
            pages=many,
            pdf=_sheets(many),
        )
        for one, many in zip(leaves, sides, strict=True)
    )
