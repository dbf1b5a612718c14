"""Batch records: how they are written, and what cannot have been."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "a-batch": "a batch record",
    # how they are written
    "no-batch-number": "`{text:typed}` is not a batch number: write the code and the day, as in S-02-2026-11-29, with "
    "-b behind it for a second batch of that day.",
    "batch-file-differs": "the batch is {batch} and its file is {name}.md; give both one name.",
    "batch-code-differs": "the batch {batch} is of {code}; correct one of the two.",
    "batch-day-differs": "the batch {batch} was made on {day}; correct one of the two.",
    "batch-taken": "{batch} is also the number of the batch in {path:whole}; a second batch of a day ends in -b.",
    "no-issue-of": "`{text:typed}` does not say which issue: write it as in S-02, issue 3.",
    "one-ph-wanted": "write the one value that was measured.",
    "filling-wanted": "`12 x 50 mL`, or a list of these, is expected here.",
    "observed-wanted": "`2026-12-06: what was seen` is expected here, one day a line, without dashes.",
    "observed-twice": "observed: {day} is written twice: put all that was seen that day in one line.",
    "bench-lines-wanted": "`glycerol-85: 25.2 g` is expected here, one ingredient a line, without dashes.",
    "bench-line-wanted": "`25.2 g, lot GL-2211`, or a list of these, is expected here.",
    "weighed-twice": "{key}: {name} is written twice here: write a list, each amount with its lot, or put them in two "
    "phases.",
    "not-measured": "`{text:typed}` is not what was weighed: write it as in {wanted:such}.",
    "lot-word": "if {lot} is the lot, write `{amount}, lot {lot}`; why something was weighed so belongs in the notes.",
    "stock-how": "`{text:typed}` does not say what was weighed of a stock: write its weight, how it was thinned and "
    "with what, as in {name}: 1.00 g of 1 in 20 with kaolin.",
    # what it came to
    "not-planned": "it is not written what was to come out",
    "lot-expires": "the lot {lot} expires",
    "lot-after-opening": "the lot {lot} was opened and is good no longer",
    "batch-until": "the batch {batch} in it is good no longer",
    "lot-expired-then": "the lot {lot} expired on {day}, before this batch was made; decide what becomes of the batch, "
    "and write it in the notes.",
    "lot-opened-too-long": "the lot {lot} was good until {day} after it was opened, and this batch was made later; "
    "decide what becomes of the batch, and write it in the notes.",
    "batch-too-old": "the batch {batch} was to be used until {day}, and this one was made later; decide what becomes "
    "of it, and write it in the notes.",
    "lot-retest-due": "the lot {lot} was to be tested again by {day}, before this batch was made; if it was, enter the "
    "new date as `retest:`.",
    "lot-carries-otherwise": "the lot {lot} carries {actual:percent} {substance} and the formula counts on "
    "{nominal:percent}: {instead:3 figures} g instead of {planned} g carry what was planned, and {weighed} g were "
    "weighed; write in the notes what came of it.",
    "batch-caustic": "{share:percent} more of {lye} was weighed than the fats are sure to take up, and what "
    "they leave burns skin; do not use the batch, and write `outcome: discarded`, or `reworked`.",
    "weighed-more": "{weighed} g of {name} were weighed and {planned} g planned, {share:percent} more; write in the "
    "notes why.",
    "weighed-less": "{weighed} g of {name} were weighed and {planned} g planned, {share:percent} less; write in the "
    "notes why.",
    "pieces-off": "{out:stated} came out of the {planned} that were planned, {share:percent}; write in the notes why.",
    "yield-off": "{out} g came out of the {planned} g that were planned, {share:percent}{loss}; write in the notes "
    "where it went.",
    "loss-none": " ({share:percent} of what was weighed, so nothing was lost)",
    "loss-of-yield": " ({share:percent} of what was weighed, as the formula's yield has it)",
    "loss-of-evaporation": " ({share:percent} of what was weighed, as its evaporation has it)",
    "loss-of-both": " ({share:percent} of what was weighed, as its yield and evaporation have it)",
    "loss-other": " ({share:percent} of what was weighed, which none of the formula's losses explains)",
    "ph-off": "pH {ph:stated} was measured and {low:stated} to {high:stated} is expected; write in the notes what was "
    "done.",
    "ph-off-one": "pH {ph:stated} was measured and {expected:stated} is expected; write in the notes what was done.",
    # putting one on record
    "weighed-how": "`{text:typed}` does not say what was weighed: write it as in glycerol-85: 25.2 g, lot GL-2211.",
    "weighed-in-which": "{name} stands in the phases {phases:and}: write which one, as in {name}@{first}: 25.2 g.",
    "no-record-handed": "This is no batch record, or its batch number cannot be read.",
    "on-record-already": "This batch is on record already: {batch}.",
    "not-on-record": "{batch} is not put on record.",
    "day-is-full": "{batch} and every number behind it, from -b to -z, is taken.",
    # what cannot have been
    "batch-of-nothing": "the book has no formula {code}, so what was made is not known.{hint}",
    "batch-of-later-issue": "{code} is at issue {current}, so issue {issue} cannot have been followed; correct one of "
    "the two.",
    "batch-before-issue": "issue {issue} of {code} is of {day}, after this batch was made; which issue was followed?",
    "bench-line-of-nothing": "the book has no material or formula called {name}, so it cannot be told what was "
    "{what}.{hint}",
    "what-planned": "planned",
    "what-weighed": "weighed",
    "bench-line-besides": "issue {issue} of {code} has no line {name}; write in the notes why it was used.",
    "bench-line-forgotten": "{names:and 3} {count:~was/were} planned and nothing is written as weighed.",
    "bench-line-unwritten": "issue {issue} of {code} has {names:and 3}, of which nothing is written as weighed; write "
    "{count:~it/each} with its lot, also where a stock was made of it first, or write in the notes why none went in.",
    "lot-unknown": "{name} has no lot {lot}; enter it under `lots:` in {path:whole}.{hint}",
    "lot-of-no-batch": "the book has no batch {lot} of {name}; write its record, or correct the lot.{hint}",
    "lot-of-other-batch": "the batch {lot} is of {other}, not of {name}.",
    "lot-missing": "no lot is written for {names:and 3}, of which the book lists lots; without it a bad lot is not "
    "found again.",
    "lot-came-later": "the lot {lot} came on {day}, after this batch was made.",
    "lot-made-later": "the batch {lot} was made on {day}, after this one.",
    "lot-of-itself": "the batch {lot} went into itself{through}; correct one of the lots.",
    "lot-through": " by way of {batches:and}",
    "lot-gone": "the lot {lot} was {what} on {day}, before this batch was made.",
    "lot-overdrawn": "{used} {unit} of the lot {lot} {used:~is/are} used up to here, and {there} {unit} were there; "
    "correct the amounts, or weigh what is left and enter it as `counted:`.",
    "pieces-too-light": "{out} as written weigh {grams} g, and {went_in} g went in, so each holds less than is "
    "written; correct the count or a weight, or write in the notes what became of them.",
    "more-than-went-in": "{out} g came out of {went_in} g that went in; correct one of the weights.",
    "filled-beyond": "{filled} {unit:listed} were filled or kept, and {out} {unit:listed} came out; correct one of the "
    "two.",
    "counts-other-pieces": "{said:listed} are counted, and {code} makes {form:listed}; correct the word.",
    "counts-no-pieces": "{said:listed} are counted, and {code} makes no pieces; write a weight or a volume.",
    "weighed-far-off": "{weighed} g of {name} were weighed and {planned} g planned; is a decimal sign misplaced?",
    "observed-early": "observed on {day}, before the batch was made on {made}; correct one of the two.",
    "batch-day-early": "{what} on {day}, before the batch was made on {made}; correct one of the two.",
}
"""Name → sentence."""
