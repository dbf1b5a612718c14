"""Which formulas a material goes into, and how: listed, through an intermediate, to dilute another, taken out again.

Everything that is weighed in on the way counts, because a material that turns out to be bad is recalled by this list.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ...language import noted
from ...reckon.figures import Reckoning

LISTED = ""
"""It is among the ingredients, and stays in."""
DILUTING = noted("to dilute another in")
"""It is water that diluted ethanol is made with."""
THROUGH = noted("through")
"""An intermediate holds it."""
TAKEN_OUT = noted("taken out again in")
"""It is only a processing aid there."""
MADE_WITH = noted("made with it through")
"""An intermediate was made with it and holds it no longer, or the intermediate itself is taken out again."""

ORDER = (LISTED, DILUTING, THROUGH, TAKEN_OUT, MADE_WITH)

Reason = tuple[str, tuple[str, ...]]
"""How a formula comes to a material, and the keys of the intermediates that bring it."""
Holding = Mapping[str, Mapping[Reason, Sequence[str]]]
"""Material → how formulas come to it → keys of those formulas."""


def held(reckoning: Reckoning, codes: Sequence[str]) -> Holding:
    """Return what each material goes into; the formulas in the order given, each once below a material.

    One walk over what the reckoning says each formula holds and handles: the work grows with what is listed and no
    faster.
    """
    book, figures, graph = reckoning.book, reckoning.figures, reckoning.graph
    found: dict[str, dict[Reason, list[str]]] = {}
    for key in codes:
        listed: dict[str, bool] = {}
        for line in book.formulas[key].lines:
            target = book.key_of(line.material)
            listed[target] = listed.get(target, False) or line.removed is None
        inner = [(use, figures[use].composition.materials) for use in graph.uses[key] if listed[use]]
        reasons: dict[str, Reason] = {}
        for material in figures[key].composition.materials:
            through = tuple(name for name, materials in inner if material in materials)
            reasons[material] = (THROUGH if through else DILUTING, through)
        for ingredient, stays in listed.items():
            if ingredient in book.materials and (stays or ingredient not in reasons):
                reasons[ingredient] = (LISTED if stays else TAKEN_OUT, ())
        for ingredient in figures[key].composition.handled - reasons.keys():
            through = tuple(name for name in graph.uses[key] if ingredient in figures[name].composition.handled)
            reasons[ingredient] = (MADE_WITH, through)
        for ingredient, reason in reasons.items():
            found.setdefault(ingredient, {}).setdefault(reason, []).append(key)
    rank = {code: number for number, code in enumerate(codes)}
    return {
        key: {name: reasons[name] for name in sorted(reasons, key=lambda name: _rank(name, rank))}
        for key, reasons in found.items()
    }


def _rank(reason: Reason, rank: Mapping[str, int]) -> tuple[int, list[int]]:
    how, through = reason
    # One that was withdrawn has no place on the shelf of sheets: what still goes through it comes last.
    return ORDER.index(how), [rank.get(key, len(rank)) for key in through]
