"""What is made in pieces: their number and weight, moulds, and what displaces the base in them."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # how they are written
    "no-piece-count": "{number:stated} is not a number of pieces: write a whole number from 1 to {most}.",
    "other-pieces": "this formula makes {form}, not {said}: write the number alone.",
    "pieces-in-containers": "`{text:typed}` counts containers: write how many {form} there are in all.",
    "count-pieces": "Pieces are counted in whole numbers from 1 to {most}: write their number.",
    "count-form": "`{text:typed}` does not say what is counted: name the pieces, as in 12 + 2 suppositories.",
    "only-these-pieces": "This formula makes {form:listed}: write their number alone.",
    "each-by-volume": "{text:stated} each is a volume: write what one piece weighs, as in to 300 mg each.",
    "each-of-what": "`{amount:whole}` is for one piece, but the formula makes none: write `makes: 12 capsules`, or "
    "leave `each` out.",
    "fill-of-pieces": "`{amount:whole}` does not say what a piece weighs: write it as in `to 300 mg each`, or `q.s.` "
    "with `mould: 2.04 g of hard-fat` or `capsule: size 1`.",
    "mould-without-base": "`{text:typed}` is not what a mould takes: name the base it was weighed with, as in "
    "2.04 g of cocoa-butter.",
    "mould-without-pieces": "a mould is for pieces: write how many, as in `makes: 12 suppositories`.",
    "mould-without-fill": "nothing fills the mould: write `q.s.` as the amount of the base.",
    "capsule-without-capsules": "a capsule is for capsules: write how many, as in `makes: 30 capsules`.",
    "capsule-and-mould": "capsules are filled and moulds are cast: leave `capsule:` or `mould:` out.",
    "mould-and-fill": "the mould says how much {name} there is; write `q.s.` for `{amount:whole}`, or leave "
    "`mould:` out.",
    "no-mass": "{said} is not a weight: write it as in {wanted:such}.",
    "displaces-unreadable": "`{text:typed}` is not understood: write 0.67 g of hard-fat per g (1 g takes the place of "
    "so much base), or 1.5 g per g of hard-fat (so much takes the place of 1 g of base).",
    "displaces-either-way": "{figure:stated} alone has two readings, one the inverse of the other: write "
    "{figure:stated} g of hard-fat per g if 1 g takes the place of so much base, or {figure:stated} g per g of "
    "hard-fat if so much takes the place of 1 g of base.",
    # what is not known of them
    "no-pieces-made": "the formula does not make pieces",
    "other-pieces-made": "the formula makes {form}, not {said}",
    "displaces-unknown": "how much {base} {name} takes the place of in the mould is not known",
    "mould-of-other-base": "the mould is known for {base}, and {name} fills it",
    "pieces-without-weight": "% of what is not known: no line says what a piece weighs",
    "room-unknown": "how much room {name} takes in the capsule is not known",
    "pieces-beyond-capsule": "what goes in takes all the room of the capsule",
    "beyond-capsule": "{takes:least} mL go into each, and {size} holds {holds} mL",
    "to-the-brim": "{takes:least} mL go into each, and {size} holds {least} to {holds} mL, by its maker",
    "just-full": "{takes:least} mL go into each, as much as {size} holds",
    "pieces-beyond-mould": "what goes into the base takes all the room of the mould",
    # the ways out
    "write-displaces": "write it in its file, such as `displaces: 0.67 g of {base} per g`",
    "weigh-mould": "weigh what it takes of the base in use, and write that",
    "write-each": "make one line up, as in `to 300 mg each`, or write `mould:`",
    "write-tapped": "write it in its file, such as `tapped density: 0.8 g/mL`: tap 10 g down in a measuring cylinder, "
    "and divide by the mL (a liquid has its density there)",
    "larger-capsule": "take {size}",
    "more-capsules": "no size holds it: spread it over more capsules",
    "less-in-mould": "take less, or a larger mould",
}
