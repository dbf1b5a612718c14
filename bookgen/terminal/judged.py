"""What was judged, as text for the terminal: what keeps it, and the limits for cosmetics."""

from __future__ import annotations

from collections.abc import Iterator

from ..shown.judged import NOTHING_IS_LISTED
from ..shown.judged_records import JudgedShown
from ..shown.plain import in_one_line
from .columns import WIDEST, wrapped


def judged_text(shown: JudgedShown, width: int = WIDEST) -> str:
    """Return what keeps it, each entry with how the product stands to it, then what was not judged and assumed."""
    return "\n".join(line for text, indent in _texts(shown) for line in wrapped(" " * indent + text, indent + 2, width))


def _texts(shown: JudgedShown) -> Iterator[tuple[str, int]]:
    """Yield each sentence and how far it is set in."""
    for reason in shown.keeping:
        yield in_one_line(reason), 0
    if shown.not_judged:
        yield f"Not judged: {in_one_line(shown.not_judged)}.", 0
    for entry in shown.entries:
        yield in_one_line(entry.words), 0
        for asks in entry.asks:
            yield asks, 2
    if shown.allergens:
        yield "Fragrance allergens:", 0
        for told in shown.allergens:
            yield f"{in_one_line(told)}.", 2
    for danger in shown.dangers:
        yield in_one_line(danger), 0
    for assumption in shown.assumed:
        yield f"{in_one_line(assumption)}.", 0
    if shown.guide:
        yield shown.guide, 0
    elif not shown.not_judged:
        yield NOTHING_IS_LISTED, 0
