"""What is there on one day, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..findings import Finding
from ..language import word
from ..shown.on_shelf import HOW_NOT_WRITTEN, RetestShown, ThrowAwayShown, WhatIsThere
from ..shown.plain import in_one_line
from ..shown.shelf import LAW_SHORT
from .columns import WIDEST, doubted, side_by_side, wrapped


def shelf_text(there: WhatIsThere, doubts: Sequence[Finding], width: int = WIDEST) -> str:
    """Return what is there, what is to be thrown away and how, what is to be tested again, what is not sure."""
    parts = [
        _there(there),
        _to_throw_away(there.throw_away, width),
        _to_be_tested(there.test_again),
        _doubts(doubts, width),
        wrapped(LAW_SHORT, 0, width),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _there(there: WhatIsThere) -> list[str]:
    if not there.items:
        return [f"By the records nothing is there on {there.day}."]
    rows: list[tuple[str, ...] | str] = []
    for item in there.items:
        rows.append(f"  {in_one_line(item.name)}")
        rows += ((f"  {in_one_line(lot.lot)}", lot.left, lot.until, lot.remark) for lot in item.lots)
    return [f"On the shelf on {there.day}", *side_by_side(rows, (0, 2, 3))]


def _to_throw_away(lots: Sequence[ThrowAwayShown], width: int) -> list[str]:
    """Return the lots that are past their date, and how each is thrown away."""

    def told() -> Iterator[str]:
        for lot in lots:
            much = f", {lot.much}" if lot.much else ""
            yield from wrapped(f"  {in_one_line(lot.lot.lot)} of {in_one_line(lot.lot.of)}{much}", 6, width)
            for how in lot.ways or (word(HOW_NOT_WRITTEN),):
                yield from wrapped(f"      {how}", 6, width)

    return ["To be thrown away, being past its date; then write `discarded:` at the lot", *told()] if lots else []


def _to_be_tested(lots: Sequence[RetestShown]) -> list[str]:
    """Return the lots of which the day of retest is past."""
    rows = [(in_one_line(lot.lot.lot), in_one_line(lot.lot.of), lot.lot.left, lot.by) for lot in lots]
    return (
        ["To be tested again before use: this date is no expiry date", *side_by_side(rows, (0, 1, 3))] if rows else []
    )


def _doubts(doubts: Sequence[Finding], width: int) -> list[str]:
    """Return the errors in lots and records."""
    if not doubts:
        return []
    return ["What lots and records have wrong, so that this may not be right", *doubted(doubts, width)]
