"""The amounts of a formula together: fills, totals, parts, and what a line lacks."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # the fill
    "two-fills": "{first} in line {line} is already made up to the total; write how much {second} is taken.",
    "removed-fill": "{name} is {removed} out again and does not count to the total; write how much of it is taken.",
    "fill-and-makes-differ": "{name} is made up to {to:stated}, but the formula makes {makes:stated}; write the same "
    "in both, or leave `makes:` out.",
    "about-beside-fill": "`makes: about {whole:stated}` stands beside a fill ({name} in line {line}), which makes it "
    "exact; write `makes: {whole:stated}`.",
    "fill-beside-parts": "{name} is made up to the total, and the lines in parts would share the same rest; write "
    "`part: 1 g` (or what a part weighs), or give this line parts too.",
    "fill-beyond-total": "the other lines are {over} g over the {total} g that {name} should make up; correct a line "
    "or the total.",
    "nothing-for-the-fill": "the other lines are the whole total and leave no {name} to make it up; correct a line, "
    "or take this one out.",
    # the total
    "total-short": "the total is {total:beside wanted} g{share}, {short} g short of {wanted:beside total} g; correct "
    'a line, or make one up with "to {wanted} g".',
    "total-over": "the total is {total:beside wanted} g{share}, {over} g over {wanted:beside total} g; correct a "
    'line, or write "makes: about {wanted} g".',
    "of-the-total": " ({share:percent beside all})",
    "sum-above-about": "the lines add up to {total:beside about} {unit}, which is {share:rough} more than about "
    "{about:beside total} {unit}; {total:beside about} {unit} is what the formula makes.",
    "sum-below-about": "the lines add up to {total:beside about} {unit}, which is {share:rough} less than about "
    "{about:beside total} {unit}; {total:beside about} {unit} is what the formula makes.",
    "volumes-beyond-whole": "the lines by volume come to {total} mL, {over} mL beyond the {whole} mL that the "
    "formula makes; correct a line or what it makes.",
    "nothing-left-for-parts": "the other lines take {others} g and leave nothing for the lines in parts; correct a "
    "line or what the formula makes.",
    "others-beyond-whole": "the other lines take {others} g, {over} g over the {whole} g that the formula makes and "
    "leave nothing for the lines in parts; correct a line or what the formula makes.",
    "left-beyond-amount": "{left:stated} left in the product is {stays:beside taken} {unit} of {name}, more than the "
    "{taken:beside stays} {unit} that goes in; correct `left:` or the amount.",
    "no-ingredient": "it has no ingredient, so it makes nothing; write what goes in, a line for each.",
    "all-removed": "every line is taken out again, so it makes nothing; write what stays in the product.",
    # what a line lacks, and the way out
    "lacking": "{why}; {way}.",
    "write-density": "write `density:` in its file, or the amount in grams",
    "write-product-density": "write it, or the amount so that none is needed",
    "write-it": "write it",
    "count-drops": "count {drops} drops onto {onto} and write `drops:` in its file, or the weight as `2 drops (0.05 "
    "g)`",
    "count-drops-of-formula": "count {drops} drops onto {onto} and write the weight after them, as in `2 drops (0.05 "
    "g)`",
    "the-balance": "the balance",
    "a-finer-balance": "a finer balance",
    "write-content": "write it under `contains:` in its file, or the amount of the raw material",
    "write-part": "write what one part weighs, such as `part: 1 g`",
    "usual-amount-missing": "how much {name} is usually needed is not written, so the total is not known; write it "
    "after that, such as `(about 1.6 g)`.",
    "amount-unknown": "how much {name} is taken is not known: {why}.",
}
"""Name → sentence."""
