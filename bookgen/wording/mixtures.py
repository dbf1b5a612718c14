"""Diluting and mixing: why a wish cannot be, and what is not known of a mixture."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # why a wish cannot be
    "all-given": "all amounts are given, so they say what results: leave `to {wanted:stated}` out, or one of the "
    "amounts",
    "amount-unsaid": "how much of {strength:stated} is not said: write it as in 120 g of {strength:stated}, or `to` "
    "and the strength wanted",
    "amounts-say": "the amounts say what comes out: leave --obtain out",
    "use-up-says": "the amount to use up and the strength wanted say what comes out: leave --obtain or them out",
    "given-say": "the amounts that are given and the strength wanted say what comes out: leave --obtain or them out",
    "two-unsaid": "how much of {strengths:and} is not said: one amount can be found and no more; give the others, or "
    "none and what to obtain",
    "strength-said": "{strength:stated}",
    "no-need-to-add": "nothing to do: what there is already is {wanted:stated}",
    "added-is-wanted": "{added:stated} itself is what is wanted, and no amount of it brings the rest to "
    "{wanted:stated}",
    "both-weaker": "what you have is weaker than {wanted:stated}, and so is {added:stated}: take something stronger "
    "than {wanted:stated}",
    "both-stronger": "what you have is stronger than {wanted:stated}, and so is {added:stated}: take something "
    "weaker than {wanted:stated}",
    "already-is": "nothing to do: it already is {wanted:stated}",
    "weaker-than-wanted": "{have:stated} is weaker than {wanted:stated}, and diluting never makes stronger: start "
    "from something stronger, or turn them round if you have {wanted:stated} and want {have:stated}",
    "never-so-weak": "no amount of {diluent:stated} makes {wanted:stated} of {have:stated}: something of it always "
    "stays",
    "diluent-is-wanted": "the diluent itself is {wanted:stated}: no amount of it brings {have:stated} down that far",
    "diluent-too-strong": "the diluent, {diluent:stated}, is stronger than {wanted:stated}: take a weaker one, such "
    "as water",
    "all-are-wanted": "nothing to mix: all of them already are {strength:stated}",
    "all-are-one": "all of them are {strength:stated}, and so is every mixture of them; {wanted:stated} is wanted",
    "one-is-wanted": "{strength:stated} already is what is wanted: take it alone, or give how much of it goes in",
    "stronger-than-all": "{wanted:stated} is stronger than the strongest of them, {strongest:stated}: mixing never "
    "gets there",
    "weaker-than-all": "{wanted:stated} is weaker than the weakest of them, {weakest:stated}: add something weaker, "
    "or water",
    "beyond-tables": "the alcohol tables reach from {low} to {high} °C, not to {at} °C",
    # the rules of diluting and mixing themselves
    "has-strength": "it already has the strength that is wanted",
    "never-stronger": "diluting makes weaker, never stronger",
    "below-diluent": "nothing gets weaker than the diluent itself",
    "diluent-alone": "the diluent alone has the strength that is wanted",
    "one-strength": "both have one strength, and so has every mixture of them",
    "first-is-weaker": "the first is the weaker of the two",
    "not-between-two": "a mixture is always weaker than the stronger of the two and stronger than the weaker",
    "one-has-strength": "one of them already has the strength that is wanted",
    "none-stronger": "none of them is stronger, and mixing never makes stronger",
    "none-weaker": "none of them is weaker, and mixing never makes weaker",
    "they-have-strength": "they already have the strength that is wanted",
    "added-brings-nothing": "what is added has the strength that is wanted and never brings the others to it",
    "add-stronger": "what is added would have to be stronger than what is wanted",
    "add-weaker": "what is added would have to be weaker than what is wanted",
    # what is not known of a mixture
    "by-volume": "measured by volume; the density is not known",
    "by-weight": "weighed; the density is not known",
    "to-the-mark": "made up to the mark",
    "may-shrink": "made up to the mark, because by how much the volumes shrink is not known",
    "taken-to-add-up": "the volumes are taken to add up",
    "nothing-weighed": "nothing of it can be weighed",
    "no-mark": "nothing is made up to a mark",
}
"""Name → sentence."""
