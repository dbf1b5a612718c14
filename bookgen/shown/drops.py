"""What one drop weighs, in words: the mean, its range and where both come from."""

from __future__ import annotations

from dataclasses import replace

from .. import show
from ..language import word
from ..model import DropperLine
from ..reckon.droppers import DropMass
from ..show import Fine
from .phrases import Figure, phrase
from .records import Fact


def one_drop(term: str, name: str, drop: DropMass, line: DropperLine | None, signs: show.Signs, by: str = "") -> Fact:
    """Return one drop as a fact; `by` names the dropper where the term does not.

    A range that was weighed or stated stands behind the mass; one that is taken, because a single mass is stated, is
    called so (`reckon/droppers.py` names the rule), and so is that of one weighing.
    """
    mean, low, high = (
        Figure(
            text=max(
                (show.fixed(value, Fine.DROP, signs, side), show.plain(value, signs, Fine.ERROR, side)),
                key=len,
            ),
            value=show.exact(value),
            name=f"{name}.{word}",
            unit="g",
        )
        for word, value, side in (
            ("drop", drop.grams, show.NEAREST),
            ("low", drop.low, show.DOWN),
            ("high", drop.high, show.UP),
        )
    )
    ends = {"mean": mean, "low": replace(low, unit=""), "high": high}
    through = f", {by}" if by else ""
    if not drop.weighings and (line is None or line.low_g is None or line.high_g is None):
        taken = phrase(", stated; taken as {low} to {high}, one third either way.", **ends)
        return Fact(term=term, text=phrase("{mean}", **ends) + through + taken)
    if drop.weighings == 1:
        alone = phrase(", from 1 weighing; taken as {low} to {high}, as one alone shows no spread.", **ends)
        return Fact(term=term, text=phrase("{mean}", **ends) + through + alone)
    origin = (
        word(", from {count}.", count=show.counted(drop.weighings, "weighing")) if drop.weighings else word(", stated.")
    )
    return Fact(term=term, text=phrase("{mean} ({low} to {high})", **ends) + through + origin)
