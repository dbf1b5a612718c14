"""Diluted ethanol in words and figures: what to weigh of the strong one and of the water, and how strong it becomes.

Enters: a line with its blend, as it is metered.  Leaves: the note below its row, and its part of the JSON.
"""

from __future__ import annotations

from typing import Any

from .. import show
from ..fraction import Fraction
from ..language import noted
from ..reckon.amounts import LineFigure
from ..reckon.batchline import BatchLine
from ..reckon.blends import Blend, shrinking
from ..reckon.known import ZERO
from ..reckon.measure import half_up
from .figures import percent, weight
from .phrases import NOTHING, Figure, Inline, Phrase, phrase
from .sentences import SENTENCES
from .shelf import Shelf

_KNOWN = noted("{want} ({mass} at 20\u00a0°C) from {have} and {name}")
_UNKNOWN = noted(
    "Dilute it first. For 100 g of it from {have}: {strong}, and {water} of {name} ({mass}, {want} at 20\u00a0°C)."
)
HUNDREDTH = Fraction(1, 100)
"""Grams to which the two are given for 100 g."""
TENTH = Fraction(1, 10)
"""Millilitres of shrinking below which nothing is said of it (own choice, no source)."""


def blend_note(line: BatchLine, shelf: Shelf) -> list[Phrase]:
    """Return how a line of diluted ethanol is made up; nothing for any other line.

    Where its weight is not known, the two weights for 100 g stand there: nobody may fill up with the strong one.
    """
    both, taken, blend = blend_notes(line.figure, shelf), line.blended, line.figure.blend
    if both is None:
        return []
    if taken is None:
        return [both[1]]
    said = both[0]
    shrinks = shrinking(blend) * (taken.strong_g + taken.water_g) if isinstance(blend, Blend) else ZERO
    if shrinks >= TENTH:
        text, value = show.significant(shrinks, show.Fine.ERROR, shelf.signs), show.exact(shrinks)
        figure = Figure(text=text, value=value, name=f"line-{line.index}.blend.shrinks", unit="mL")
        said += phrase(SENTENCES["shrinks"], shrinks=figure)
    return [said + "."]


def blend_notes(line: LineFigure, shelf: Shelf) -> tuple[Phrase, Phrase] | None:
    """Return what is said of a line of diluted ethanol whose weight is known, without the full stop, and of one whose
    weight is not; None for any other line."""
    blend, signs, name = line.blend, shelf.signs, f"line-{line.index}.blend"
    if not isinstance(blend, Blend):
        return None
    figures = {
        "have": _strength(f"{name}.have", blend.have_volume, signs),
        "want": _strength(f"{name}.want", blend.want_volume, signs),
        "mass": percent(f"{name}.mass", blend.want, signs, unit="% w/w"),
    }
    if not blend.water:
        has = phrase("It has {want} already ({mass} at 20\u00a0°C)", want=figures["want"], mass=figures["mass"])
        return has, has + "."
    strong, water, step = _of_100(blend)
    figures["strong"] = weight(f"{name}.strong", strong, step, signs)
    figures["water"] = weight(f"{name}.water", water, step, signs)
    words: dict[str, Inline] = {**figures, "name": shelf.book.materials[blend.water].name}
    return phrase(_KNOWN, **words), phrase(_UNKNOWN, **words)


def blend_weights(line: BatchLine, signs: show.Signs) -> Phrase:
    """Return the two weights of a line of diluted ethanol, for the row itself; empty for any other line."""
    both, name = line.blended, f"line-{line.index}.blend"
    if both is None or not both.water_g:
        return NOTHING
    return phrase(
        SENTENCES["blend"],
        strong=weight(f"{name}.strong", both.strong_g, line.step, signs),
        water=weight(f"{name}.water", both.water_g, line.step, signs),
    )


def _strength(name: str, share: Fraction, signs: show.Signs) -> Figure:
    return Figure(text=show.plain(share * 100, signs), value=show.exact(share * 100), name=name, unit="%vol")


def _of_100(blend: Blend) -> tuple[Fraction, Fraction, Fraction]:
    """Return the two weights for 100 g in hundredths of a gram, and that step."""
    strong = half_up(100 * blend.strong, HUNDREDTH)
    return strong, 100 - strong, HUNDREDTH


def blend_json(line: BatchLine) -> dict[str, Any] | None:
    """Return how a line of diluted ethanol is made up; null for any other line."""
    blend, both = line.figure.blend, line.blended
    if not isinstance(blend, Blend):
        return None
    return {
        "strong_g": None if both is None else show.metered(both.strong_g, line.step),
        "water_material": blend.water or None,
        "water_g": None if both is None else show.metered(both.water_g, line.step),
        "want_percent_vol": show.exact(blend.want_volume * 100),
        "want_percent_mass": show.exact(blend.want * 100),
        "have_percent_vol": show.exact(blend.have_volume * 100),
        "at_c": 20,
    }
