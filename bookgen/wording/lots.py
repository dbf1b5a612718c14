"""Lots of a material: how they are written, what their days and amounts must come to."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "a-lot": "a lot",
    # what is there of them
    "lot-not-read": "what is written of {code} cannot be read",
    "lot-more-taken": "more was taken of {code} than was there",
    # what they cost
    "no-price-written": "no price is written for {name}",
    "price-of-how-much": "the price of {lot} is for all of it, and how much that was is not written",
    "came-out-unwritten": "it is not written how much came out of {batch}",
    "price-of-one": "`{text:typed}` is the price of an amount: write what one container costs, as in 0.85 EUR.",
    "cost-on-record": "{batch} is made already, and costs what its record says: leave out --obtain and --into.",
    "nothing-to-cost": "No batch and no formula of the book is called {name}.{hint}",
    # how they are written
    "lots-wanted": "write one lot a line, its code first: `GL-2211: {{received: 2026-01-10, amount: 1 kg}}`.",
    "lot-wanted": "write what is known of the lot as keys: `{{received: 2026-01-10, amount: 1 kg}}`.",
    "lot-nameless": "lots: this lot has no code: write the one on its jar.",
    "lot-unquoted": "lots: other programs read the code {code:typed} as a number or a date, so put it in quotes: "
    "{quoted:whole}.",
    "lot-twice": "lots: {code} is written twice: keep one of the two.",
    "day-wanted": "write the whole day, as in 2026-11-29, for {text}.",
    "month-wanted": "write the month too, as in 2028-03, for {text}.",
    "no-price": "`{text:typed}` is not a price: write it as in 7.20 EUR/kg, or 12 EUR for all of the lot.",
    "no-recount": "`{text:typed}` lacks its day: write what was there and when, as in 640 g on 2026-11-01.",
    "recount-wanted": "`640 g on 2026-11-01`, or a list of these, is expected here.",
    "nothing-to-trace": "No lot and no batch of the book is called {name}.{hint}",
    # what their days must come to
    "lot-day-early": "lots, {code}: {what} on {day}, before it came on {received}; correct one of the two.",
    "lot-opened": "opened",
    "lot-counted": "counted",
    "lot-used-up": "used up",
    "lot-thrown-away": "thrown away",
    "lot-counted-later": "lots, {code}: counted on {day}, after it was {what} on {gone}; correct one of the two.",
    "lot-old-at-once": "lots, {code}: it {what} on {day}, before it came on {received}; is that the right day?",
    "lot-expired": "expired",
    "lot-to-be-retested": "was due to be tested again",
    "lot-content-of-what": "lots, {code}: the content is given of nothing that {name} lists under `contains:`; write "
    "`content: {{SUBSTANCE: 86.1 %}}`.",
}
"""Name → sentence."""
