"""Ethanol by volume: what its bottle says, the water beside it, and lines that want it diluted."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "spirit-beyond-whole": "what it contains is {held:percent 2 decimals} by weight ({name} of {vol} %vol at 20 °C), "
    "more than the whole; a strength by volume is of all of it.",
    "spirit-and-water": "what it contains is {held:percent 2 decimals} by weight ({name} of {vol} %vol at 20 °C), "
    "which does not go with {water} % of water; the rest is {rest:percent 2 decimals}.",
    "ethanol-by-weight": "{figure} % of {name} is taken by weight, which is {vol:3 figures} %vol; bottles state it "
    "by volume: write {figure} %vol, or {figure} % w/w if it is by weight.",
    "diluted-formula": "{name} is a formula, and only a raw material is diluted on the spot; write the amount alone, "
    "or the strength in the formula of its own.",
    "write-ethanol": "write it in its file, such as `contains: ethanol: 96 %vol`",
    "strength-too-weak": "{name} has {vol} %vol and cannot be diluted to {wanted} %vol; take a stronger one, or "
    "write what it can give.",
    "no-strength-to-dilute": "{name} cannot be diluted to {wanted} %vol; take a stronger one, or write what it can "
    "give.",
    "water-for-strength": "{name} is to be diluted, and {why}; write a material with `water: 100 %` into the "
    "formula, or have one in the book.",
}
"""Name → sentence."""
