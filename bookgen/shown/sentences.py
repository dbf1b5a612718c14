"""The sentences that follow the batch: written once, for the pages made here and for the script that follows the batch.

`{name}` stands for a figure or a word.  Pages, sheets and terminal fill them in Python; a formula's page carries those
that its script needs, so that both print the same.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..language import word
from ..wording.table import SENTENCES as WORDS

SENTENCES: Mapping[str, str] = {
    # why there is no weight
    "too-little": WORDS["too-little"],
    "too-small": WORDS["too-small"],
    "nothing-shows": WORDS["nothing-shows"],
    "no-ingredient": WORDS["no-ingredient-linked"],
    # how much a container holds
    "content": WORDS["label-content-named"],
    "content-small": WORDS["label-content"],
    # the table of ingredients
    "total": "no total: {reason}",
    "over": "over",
    "under": "under",
    "exact": "exact",
    "unknown": "not known",
    "up-to": "make up to",
    "volume": "by volume",
    "none": "cannot be measured",
    "unshown": "less than the balance shows",
    "coarse": "to within {within}",
    "left-out": "leaves out {left} of {names}",
    "no-balance": "exact; no balance stated",
    "all-on": "All on the {balance}.",
    "most-on": "On the {balance} where a line does not say otherwise.",
    "way-out": "Way out: a batch of {batch}; {way}.",
    "way-drops": "{way} then",
    "way-unsure": "{way} then, no surer than the drops themselves",
    "way-else": "it can be {way} then",
    "weigh-drops": "weigh {count} of them once with `bookgen drops`",
    "weigh-drops-finer": "weigh {count} of them once with `bookgen drops`, on a finer balance as they weigh about "
    "{grams}",
    "drips": "Count drops: {weigh}. Until then it is about {many}, at "
    "{light} to {heavy} g a drop (common practice, no source).",
    "some": "{few} to {many}",
    "weight-unknown": "Weight not known: {reason}.",
    "spared": "{spared} more of it comes with what is thinned with it.",
    "blend": "{strong} of it and {water} of water",
    "shrinks": "; the two shrink by {shrinks}",
    # a stock, and what is taken of it
    "dilute": "stock",
    "triturate": "trituration",
    "ratio": "1\u00a0in\u00a0{factor}",
    "that": "that {stock}",
    "plan": "Too little to weigh. Make its {stock} {ratio} first, and take {aliquot} of that.",
    "stage-dilute": "Weigh {weigh} of {what} and {more} of {diluent}, stir until clear: {makes}, {thin}.",
    "stage-triturate": "Rub {weigh} of {what} with {diluent}, added in these portions, each until the powder is even: "
    "{listed}. That is {more} of {diluent} and makes {makes}, {thin}.",
    "taking": "Weigh {aliquot} of it into the batch. It brings {brings} of {name}, and {comes} of {diluent}; the "
    "weight of the {diluent} is already that much less.",
    "off-dilute": "At most {figure} off, with every weighing one step of the balance wrong, and only if the stock is "
    "clear: what stays cloudy or settles has not dissolved, and no part of it is right.",
    "off-triturate": "At most {figure} off, with every weighing one step of the balance wrong.",
    "left": "{rest} of it is left over: discard it, or keep it labelled with name, strength and date only where "
    "nothing can spoil it.",
    "direct": "A batch of {figure} needs none.",
    # how sure the batch is
    "within": "within {accepted}",
    "own-error": " (or what its line asks for)",
    "sure": "Every line is measured {words} at this batch.",
    "none-sure": "No line is measured {words} at this batch.",
    "likewise": " The same is true of {names}.",
    "doubtful": "Every line is measured {words} at this batch but for: {names}.",
    "inside": "{name} in {title}",
    "smallest": " A batch of {smallest} measures every line of its own within that.",
    "partly": " A batch of {smallest} measures {names} within that.",
    "enough": " Made in a batch of {first}, {title} is within that throughout.",
    "finer": " Take what is too little from a stock or a trituration made on a finer balance.",
    "open": " Nobody can say how much of {names} really goes in, so no percentage has a range here.",
    "between": "It may really be {low} to {high}.",
    # what is made first, and the amounts in the text
    "obtain": "obtain",
    "weigh-in": "weigh in all",
    "of-stock": " of its {stock} {ratio}",
    "both": " ({strong} strong, {water} water)",
    "fill-to": "up to {volume}",
    "no-amount": "(no amount: {reason})",
}
"""Name → sentence."""


def said(name: str, /, **words: object) -> str:
    """Return a sentence of plain words.

    >>> said("ratio", factor=10).replace("\\u00a0", " ")
    '1 in 10'
    """
    return word(SENTENCES[name]).format(**words)
