"""Measuring: what balances and droppers cannot give of a batch, and the ways out."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "no-balance-written": "no balance is written, so weights are not rounded to what yours reads; write `balances:` "
    "with name, readability and capacity.",
    "balance-capacity": "the balance {name} holds no more than its smallest step; are readability and capacity "
    "swapped?",
    # lines that are measured coarsely
    "coarse": "measured only coarsely: {coarse:and} ({least}); {ways:either}.",
    "hidden": "{hidden:and} {count:~is/are} less than the balance shows ({least}); {ways:either}.",
    "coarse-and-hidden": "measured only coarsely: {coarse:and}; {hidden:and} {count:~is/are} less than the balance "
    "shows ({least}); {ways:either}.",
    "own-errors": "each has its accepted error",
    "error-accepted": "{error:percent} is accepted",
    "finest-weighs": "the finest balance weighs {least} g or more within the accepted {error:percent}",
    "grams-of": "{grams} g of {name}",
    "in-drops": "{amount} in {drops:drop/drops}",
    "drops-of": "{drops:drop/drops} of {name}",
    "too-many-drops": "{amount}, too many to count surely",
    "to-within": "{amount} to within {worst:within}",
    "many-to-within": "{amount}, to within {worst:within}",
    "drops-over": "{amount}, {off:rough} over",
    "drops-under": "{amount}, {off:rough} under",
    # the ways out
    "count-first": "count drops: weigh {count} of them once with `bookgen drops`{finer} (until then {grams} g is "
    "about {few} to {drops:drop/drops} at {light} to {heavy} g a drop; common practice, no source)",
    "count-first-about": "count drops: weigh {count} of them once with `bookgen drops`{finer} (until then {grams} g "
    "is about {drops:drop/drops} at {light} to {heavy} g a drop; common practice, no source)",
    "on-finer-balance": ", on a finer balance as they weigh about {grams} g",
    "say-liquid": "if {names:or} is a liquid, write `kind: liquid` in its {count:~file/own file}, to be told of drops",
    "make-more": "make {batch} {unit} ({how})",
    "make-enough": "make {batch} {unit}",
    "make-enough-for": "make {batch} {unit} for {names:and}",
    "say-soluble": "write what {names:and} {count:~dissolves/dissolve} in (`soluble:`), for a stock dilution to be "
    "planned",
    "measure-elsewhere": "take what is too little from a stock or a trituration made on a finer balance",
    "accept-error": "write on the line that you accept as much (`error: {worst:within}`)",
    # how a line is measured in a larger batch
    "in-count": "{drops:drop/drops}",
    "weighed": "weighed",
    "diluted": "diluted",
    "triturated": "triturated",
}
"""Name → sentence."""
