"""What is not known of a formula's figures, as the clause that can follow "not known: "."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # what a formula makes, its parts and its fill
    "no-product-density": "the density of the finished product is not written",
    "not-at-twenty": "the density of the finished product is not given at 20 °C",
    "sum-not-made": "the sum is not made yet",
    "parts-beside-fill": "parts share what is left, and so would the fill",
    "parts-taken-out": "only lines that are taken out again are in parts; write `part:`",
    "parts-by-volume": "parts need `part:` or `density:` in a formula by volume",
    "no-rest-for-parts": "the other lines leave nothing for the parts",
    "filled-twice": "two lines are made up to the total",
    "filled-to-volume": "made up to a volume; the density of the finished product is not written",
    "others-beyond-total": "the other lines go beyond the total",
    "to-a-volume": "made up to a volume",
    "taken-out": "taken out again",
    # what a line stands for
    "usual-amount-unknown": "as much as {result} needs; no usual amount is written",
    "share-needs-density": "% {basis} needs `density:` of the finished product here",
    "no-density": "no density is written for {name}",
    "volume-without-density": "measured by volume: no density is written for {name}",
    "only-named": "only the name of {name} is written",
    "unfiled": "no file yet for {names:and}",
    "lot-in-pieces": "what came out of {code} is counted in pieces and not weighed",
    "lot-amount-unwritten": "it is not written how much there was of the lot {code}",
    "not-reckoned": "{name} is not reckoned",
    # drops
    "no-drop-mass": "no drop mass is known for {name}",
    "no-drop-mass-of-it": "no drop mass is known for it",
    "lists-no-drop-mass": "{name} lists no drop mass",
    "no-mass-from-dropper": "{name} lists no drop mass from the dropper {dropper}{hint}",
    "no-mass-from-named": "{name} lists no drop mass from the {dropper}{hint}",
    "perhaps-dropper": " (did you mean {name}?)",
    "drop-mass-unread": "the drop mass of {dropper} could not be read",
    "blend-not-counted": "diluted ethanol is not counted in drops",
    # strengths, and what dilutes a line
    "carried-as-range": "{name} is a range",
    "content-of-range": "{name} gives {substance} as a range, {text:stated}; write the one figure of what you have",
    "content-of-dried": "{name} gives {substance} of the dried material; write `drying:`",
    "content-of-which": "{name} lists {substance}, which can be {meant:or}; write which",
    "content-unwritten": "{name} does not say how much {substance} it contains{which}",
    "can-be-these": " ({name} can be {meant:or})",
    "can-be": "{name} can be {meant:or}",
    "formula-undiluted": "{name} is a formula, and only a raw material is diluted on the spot",
    "water-unread": "the water of {name} cannot be read",
    "which-water": "which water dilutes it is not clear ({names:list})",
    "no-water": "no material of the book is all water",
    # losses and composition
    "nothing-comes-out": "nothing is left after yield and evaporation",
    "nothing-made": "the formula makes nothing",
    "evaporation-needs-density": "evaporation needs `density:` of the finished product in a formula by volume",
    "left-not-whole": "every line says what is left of it, and together that is not the whole product",
    "nothing-left": "nothing is left of the ingredients",
    "left-by-volume": "what is left is written by volume; the density of the finished product is not written",
    "left-without-density": "what is left is written by volume; no density is written for {name}",
    "composition-unknown": "the composition of {name} is not known: {why}",
    "in-a-circle": "the intermediates go in a circle",
    # storage
    "no-period": "no period is assigned and no rule applies",
    "no-period-for-use": "no period is assigned, and the published ones are not for this use",
    "beyond-calendar": "the period goes beyond the calendar",
    "no-day": "the day of making is not given",
    "water-unknown": "nothing says whether these bring water: {names:and}",
    # one batch
    "too-little": "it is less than the balance shows",
    "too-small": "what is left for it is less than the balance shows",
    "nothing-shows": "all of it is less than the balance shows",
    "no-ingredient-linked": "the link does not lead to an ingredient",
    "no-conversion": "{given} cannot be turned into {wanted}: {name} states no `density:`",
    "batch-unknown": "its batch is not known",
    "no-balance-stated": "no balance is stated",
    "made-by-weight": "the formula is made by weight",
}
"""Name → sentence."""
