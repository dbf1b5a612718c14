"""The amount of a line: what cannot be read or meant, and what to write instead."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # the amount itself
    "rest-in-words": "`{text:typed}` is written as `q.s.`, or with the total as in `to 100 g`.",
    "amount-zero": "{said} is not an amount: an amount is above zero; take the line out if nothing goes in.",
    "figure-zero": "{said} is nothing: write a figure above zero.",
    "figures-zero": "{said} is nothing: write figures above zero.",
    "beyond-whole": "{said} is more than the whole.",
    "beyond-line": "{said} is more than all of the line.",
    "time-for-amount": "{said} is a time: write {wanted:such}.",
    "no-quantity": "{said} is neither a weight nor a volume: write it as in {wanted:such}.",
    "no-percentage": "{said} is not a percentage: write it as in {wanted:such}.",
    "half-drop": "{said}: drops are counted whole.",
    "volume-of-drops": "{text} is a volume: the weight of the drops stands in ( ).",
    "loss-unreadable": "`{text:typed}` is not understood: write a weight or a share of the line, 20 g or 25 %.",
    "ratio-either-way": "{first}:{second} can be read as {first} in {second} or as {first} and {second} parts: write "
    "`{first} in {second}` or `{first} + {second}`.",
    # its basis, substance and strength
    "basis-unknown": "`{basis}` is not known: write w/w, w/v or v/v.",
    "basis-astray": "`{basis}` belongs after the %: write `{said} {basis} as …`.",
    "strength-alone": "{said}vol is a strength: write the amount before it, such as `60 g of {said}vol`, or `{said} "
    "v/v` for a share of the volume.",
    "strength-of-count": "`{text:typed}` cannot follow {said}: write a weight, a volume or a share of it, such as "
    "`60 g of 70 %vol`.",
    "strength-either-way": "`of {digits:stated} %` can be by volume or w/w, two strengths: write `{amount:stated} of "
    "{digits:stated} %vol` for ethanol by volume at 20 °C.",
    "strength-not-by-volume": "`of {text:typed}` is not a strength by volume: write it as in `{amount:stated} of 70 "
    "%vol`, ethanol at 20 °C.",
    "substance-and-strength": "`as {substance:typed}` and `{strength}` count two things: write one of them.",
    # the fill, and what is to be reached
    "fill-tail": "`{text:typed}` after q.s. is not understood: write `q.s.`, `q.s. to pH 4.8 (about 1.6 g)` or, of "
    "lye, `q.s. for 5 % superfat`.",
    "percent-for-total": "`{text:typed}` is not a total: write `to 100 %` or the total as in `to 100 g`.",
    "about-without-amount": "`{text:typed}` has `about` without an amount: write it as in `q.s. to pH 4.8 (about 1.6 "
    "g)`.",
    "about-no-amount": "`{text:typed}` is not an amount: write it as in (about 1.6 g).",
    "result-missing": "`{text:typed}` does not say what is to be reached: write `q.s. to pH 4.8 (about 1.6 g)`.",
    "superfat-alone": "`{text:typed}` is not a superfat, which is a share of the fat: write it as in `q.s. for 5 % "
    "superfat`.",
    "superfat-whole": "{said} superfat leaves all of the fat as it is: take the lye out, or write a share below 100 %.",
    # what stands behind it
    "tail": "`{text:typed}` after {said} is not understood: write it as in {wanted:such}.",
    "behind-amount": "`{text:typed}` after {said} {why}",
    "invisible-behind": "holds an invisible character: delete it.",
    "makes-range": "makes it a range: write one amount.",
    "makes-strength": "makes it a strength: write it in % (5 g in 100 g is 5 %, 5 g in 100 mL is 5 % w/v).",
    "total-behind": "stands on the wrong side: write `to {said}`.",
    "amount-alone": "is not understood: write {said} alone.",
    "enough-behind-total": "says something else: write `q.s.`, `to {said}` or {said} alone.",
    "enough-behind": "says something else: write {said} alone.",
    "left-open": "leaves the amount open: write {said} alone (`about` belongs to `makes` and to q.s. to …).",
    "of-each-behind": "(of each) is not read: write the amount for each ingredient.",
    "second-behind": "is a second amount: write one, the sum.",
    "function-behind": "is not read: a function follows a comma, `{said}, {function:typed}`.",
    "dropper-behind": "is not understood: write the dropper as in `{said} of {dropper:typed}`.",
    "behind-function": "is not understood: {may}a function follows a comma, `{said}, {function}`.",
    "may-follow-percent": "a basis w/w, w/v or v/v or a substance, `as lactic acid`, may follow; ",
    "may-follow-weight": "a substance may follow, `as lactic acid`; ",
    "may-follow-drops": "the dropper, `of pipette`, or the weight, `(0.05 g)`, may follow; ",
    "amount-goes-on": "`{text:typed}` after the comma would be a function: write `{amount} {text:typed}` without the "
    "comma.",
    "second-amount": "`{text:typed}` after the comma is a second amount: keep one of the two.",
    "nothing-before-comma": "Nothing comes before the comma: write {wanted:such}, then the function.",
    # the line it stands in
    "lines-wanted": "one ingredient a line is expected here, `material: amount, function`, without dashes.",
    "line-wanted": "an amount is expected here, `5 %, humectant`.",
    "amount-wanted": "an amount is expected here: {wanted:such}.",
    "amount-missing": "{name} has no amount: write {wanted:such}.",
    "amount-key-missing": "{name} has no amount: write `amount: …`, such as {wanted:such}.",
    "amount-unread": "its amount cannot be read",
    "percent-of-volume": "{name}: {amount:stated} of a volume can be read in three ways: write {written:stated}, w/w "
    "or v/v.",
    "nothing-to-add": "{name}: nothing can be added to make up for a line that evaporates completely; write `made "
    "up: yes`.",
    "removed-and-left": "{name}: `removed` takes all of it out again and `left` says what stays: write one of the two.",
    "function-twice": "{name} has its function twice, after the amount and as a key: keep one.",
    "twice-in-phase": "{name} is written twice in phase {letter}: put one in another phase.",
    "twice-here": "{name} is written twice here: add the two, or put them in two phases.",
    # phases
    "phase-twice": "Phase {letter} is written twice: give the second another letter, or put its lines in the first.",
    "phase-empty": "Phase {letter} holds no ingredient: indent its lines below it, or take it out.",
    "phase-in-phase": "`{name:typed}` is a phase inside a phase: align it with the others.",
    "no-phase": "`{name:typed}` is not a phase: a phase is one capital letter, write `{wanted}:`.",
    "letter-for-phase": "A single letter names a phase: indent its lines below `{letter}:`, or write the material's "
    "name.",
    "outside-phases": "`{name:typed}` is outside the phases: put it in one of them.",
}
"""Name → sentence."""
