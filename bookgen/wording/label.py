"""The list of ingredients for a label: what makes it incomplete, and what is to be known of its order."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "label-of-none": "only a cosmetic has such a list of ingredients",
    # what makes it incomplete
    "label-nameless": "INCOMPLETE: {names:and} {count:~has/have} no label name; write `label:`",
    "label-partly": "INCOMPLETE: the shares under `label:` of {names:and} do not add up to the whole",
    "label-extracted": "INCOMPLETE: what was drawn from {names:and} is in it, and has neither name nor share",
    "label-allergens-open": "INCOMPLETE: not every fragrance allergen in it is known",
    "label-hydrate": "INCOMPLETE: {name} has no label name; if {label} is meant, without its water, write "
    "`label: {label}`",
    "label-unknown": "The list cannot be made: {why}",
    # its order
    "label-unsure": "{first} and {second}: which comes first is not decided, as one of them is a range",
    "label-perhaps-below": "{names:and} may be below 1 %, where the order is free",
    "label-any-order": "From {name} onwards each is below 1 % and may stand in any order (EU; in the US at 1 % or "
    "less, from memory)",
    "label-at-bound": "{names:and} {count:~is/are} at 1 % exactly: in order in the EU, in any order in the US (from "
    "memory)",
    "label-after-opening": "It keeps for more than 30 months, so a label says how long it keeps once opened instead "
    "of a date (EU)",
    "label-content-named": "A label says how much is in it: {content}.",
    "label-content": "Below 5 g or 5 mL a label need not say how much is in it (EU).",
    "label-grouped": "{names:and} {count:~is/are} listed as {group}, its name in the list of fragrance allergens",
    "label-neutralised": "{acid} and {alkali} are listed as they go in; if {salt}, which they make, is meant, write "
    "that instead",
    # why none is printed
    "no-label": "No label for {code} {title}: {why}",
    "label-no-use-by": "its use-by is not known: {why}.",
    "label-expired": "it was to be used up to and including {day}. Do not hand it on or use it.",
    "label-no-kind": "nobody says what it is for; write its `kind:` or `use:`.",
    "label-no-responsible": "write name and address under `responsible:` in formulas/workroom.yaml, or give "
    "--not-for-handing-on.",
    "label-no-content": 'say how much one container holds, as in --into "50 mL", or give --not-for-handing-on.',
    "label-no-count": 'say how many are in one container, as in --into "12 pieces", or give --not-for-handing-on.',
    "label-no-active": "no line is called active; write `active` as the function of each that works, or give "
    "--not-for-handing-on.",
    "label-active-unknown": "how much of {name} is in it is not known: {why}.",
    "label-list-incomplete": "its list of ingredients is not complete. {why}. Or give --not-for-handing-on.",
    "label-no-opening": "it keeps beyond 30 months, so say how long it keeps once it is open, as in --after-opening "
    '"12 months".',
    "label-too-small": "at {points} pt, the smallest legible type, its text takes {needs} mm of height at "
    "{width} mm of width, and the label is {height} mm high. Take a larger label{leaflet}.",
    "label-far-too-small": "at {points} pt, the smallest legible type, its text does not fit on any label "
    "of {width} mm of width. Take a wider label{leaflet}.",
    "label-or-leaflet": ", or put cautions and ingredients on a leaflet with --leaflet",
    "label-discarded": "it was thrown away.",
    "label-used-up": "the last of it was used on {day}.",
    "label-other-issue": "it was made by issue {made} and the formula is at issue {now}, so what is in it is not known "
    "from this book; or give --not-for-handing-on.",
    "label-record-wrong": "put {path:whole} right first.",
    # how it is asked for
    "label-which-size": "It was filled into {sizes:and}: name the size with --into.",
    "label-no-such-size": "Nothing of it was filled into {size}, but {sizes:and}.",
    "label-none-full": "{left} {unit:listed} came out of it, which fills no container of {size}: name a smaller one "
    "with --into.",
    "label-none-to-fill": "{left} {unit:listed} are to come out of it, which fills no container of {size}: name a "
    "smaller one with --into.",
    "label-of-batch": "{batch} is a batch that was made: leave out --obtain and --made.",
    "label-field": "--from-field {field}: the sheet has {fields:field/fields}.",
    "label-no-sheet": 'There is no `label sheet:` in formulas/workroom.yaml: write one, or give --size "70 x 40 mm".',
    "label-size-wanted": "--size {text:typed}: write width and height in millimetres, as in 70 x 40 mm.",
    "label-size-impossible": "--size {text:typed}: a label is 10 to 300 mm wide and high.",
    "after-opening": "--after-opening: {says}",
    "label-colourants": "{names:and} {count:~colours/colour} it: last, in any order; by CI number, if there is one",
}
"""Name → sentence."""
