"""Soap: what fats take up, what a lye holds, what of the fat stays, and lye that nothing takes up."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # how it is written
    "saponification-unread": "`{text:typed}` does not say how much alkali it takes up: write mg of potassium hydroxide "
    "for 1 g, as in {wanted:such}.",
    "saponification-beyond": "{number} mg KOH/g is more than any fat takes up: write a figure up to {most}.",
    "lye-in-mould": "`{amount:whole}` does not go with `mould:`, which is for a base that is melted and cast: leave "
    "`mould:` out, and write the fats in grams or in %.",
    # what is not known
    "lye-twice": "another line of lye stands before it",
    "lye-strength-unknown": "how much sodium or potassium hydroxide {name} holds is not known",
    "other-lye-enough": "the other lye is all that the fats may take up",
    "no-fat-for-lye": "nothing in the formula takes the lye up",
    "takes-up-unknown": "how much lye {name} takes up is not known",
    # the ways out
    "less-other-lye": "write less of the other",
    "write-lye-strength": "write it in its file, such as `contains: {{sodium hydroxide: 98 %}}`",
    "write-saponification": "write it in its file, such as `saponification: 188 to 194 mg KOH/g`, or `0 mg KOH/g` if "
    "it takes up none",
    "write-fat-or-amount": "write the fats, each with its `saponification:`, or the lye as an amount",
    # what is wrong
    "two-lyes": "{first} and {second} are both to follow the fats, and only one can: write how much of {second} there "
    "is, such as `20 g`, and {first} makes up the rest.",
    "fat-evaporates": "{name} is fat and does not dry away: write what evaporates on a line of water.",
    "lye-evaporates": "only the water of {name} dries away, and the alkali stays: write what evaporates on a line "
    "of water.",
    "caustic": "{lye} makes it caustic: it is {share:percent} more than the fats are sure to take up, and what they "
    "leave burns skin; write `q.s. for 5 % superfat`.",
    "caustic-unless": "{lye} is {share:percent} more than the fats are sure to take up; does {acids:and} take up "
    "the rest?",
    "soap-not-judged": "{lye} makes soap of the fats, and whether they take up all of it is not known; write "
    "`saponification:` in the file of {names:and}, and `q.s. for 5 % superfat` for the lye.",
    # what comes of it
    "soap-superfat": "superfat {low} to {high} %, by the ranges of the fats and of the lye, before the balance rounds",
    "soap-superfat-exactly": "superfat {low:percent}, by the figures of the fats and of the lye, before the balance "
    "rounds",
    "soap-superfat-open": "superfat {low:percent} or more, before the balance rounds; how much more is not "
    "known, because of {names:and}",
    "soap-before": "what goes in: {fat} of fat, {alkali} of {alkalis:and}, {water} of water, {rest} of all else",
    "soap-after": "what comes of it: {soap} of soap, {glycerol} of glycerol, {fat} of fat, {water} of water, {rest} of "
    "all else; reckoned as if the fats were neutral and reacted alike{but}",
    "soap-but": ", and as if {names:and} took up none",
    "share-of": "{share:percent}",
    "share-between": "{low} to {high} %",
    "label-soap": "name the soap on it, under `label:` of the formula, such as `Sodium Olivate: 60 %`, with water, "
    "glycerin and what else is in it",
}
"""Name → sentence."""
