"""The list of ingredients for a label: what makes it incomplete, and what is to be known of its order."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "label-of-none": "only a cosmetic has such a list of ingredients",
    # what makes it incomplete
    "label-nameless": "INCOMPLETE: {names:and} {count:~has/have} no label name; write `label:`",
    "label-partly": "INCOMPLETE: the shares under `label:` of {names:and} leave a rest without a name",
    "label-extracted": "INCOMPLETE: what was drawn from {names:and} is in it without a name or a share",
    "label-allergens-open": "INCOMPLETE: not every fragrance allergen in it is known",
    "label-hydrate": "INCOMPLETE: {name} has no label name; if {label} is meant, without its water, write "
    "`label: {label}`",
    "label-unknown": "The list cannot be made: {why}",
    # its order
    "label-unsure": "{first} and {second}: which comes first is not decided, as one of them is a range",
    "label-perhaps-below": "{names:and} may be below 1 %, where the order is free",
    "label-any-order": "From {name} on each is below 1 %, in any order (EU; in the US at 1 % or less, from memory)",
    "label-at-bound": "{names:and} {count:~is/are} at 1 % exactly: in order in the EU, in any order in the US (from "
    "memory)",
    "label-after-opening": "It keeps beyond 30 months: in place of that date a label says how long it keeps once it is "
    "open (EU)",
    "label-content-named": "A label says how much is in it: {content}.",
    "label-content": "Below 5 g or 5 mL a label need not say how much is in it (EU).",
    "label-grouped": "{names:and} {count:~stands/stand} as {group}, the name that the list of fragrance allergens has",
    "label-neutralised": "{acid} and {alkali} stand as they are put in; if {salt}, which they make, is meant, write it "
    "in their place",
    "label-colourants": "{names:and} {count:~colours/colour} it: last, in any order; by CI number, if there is one",
}
"""Name → sentence."""
