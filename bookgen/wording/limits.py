"""Limits of the law for cosmetics: what was judged by which entry, and how it stands."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # why nothing is judged
    "limits-off": "the workroom says `limits: none`, so no limit of cosmetics law is judged",
    "limits-not-of-intermediates": "an intermediate has no limits of its own; what is made with it is judged",
    "limits-not-of-kind": "limits for cosmetics are not judged where `kind:` is {kind}",
    "limits-not-of-unknown": "neither `kind:` nor `use:` is written, so limits for cosmetics are not judged",
    "limits-not-inside": "limits for cosmetics are not judged for what is swallowed or goes into the body",
    "limits-not-off-skin": "limits for cosmetics are not judged for what is not used on skin",
    # what was assumed
    "contact-assumed": "`use:` does not say leave-on or rinse-off, so the stricter limit is taken",
    "sites-assumed": "`use:` does not say where it is used, so the strictest limit is taken",
    "age-assumed": "`use:` says children and not their age, so what holds for children under three is taken",
    # what is not known
    "not-counted-as": "the table does not say how much {form:listed} {name:substance} counts as",
    "no-file": "{name} has no file yet, so its share is not known",
    # how it stands
    "limit-found": "{judged}; {todo}.",
    "limit-use-less": "use less, or write the reason as `because:` in its line",
    "limit-take-out": "take it out",
    "limit-take-out-or-reason": "take it out, or write the reason as `because:` in its line",
    "limit-lower-ph": "bring the pH down, or write the reason as `because:` in its line",
    "limit-write-product": "if it is one of these, say so in `purpose:`; otherwise take it out, or write the reason "
    "as `because:` in its line",
    "limit-write-age": "write `children over three` in `use:` if none of them is younger; otherwise {todo}",
    "limit-reason": "the reason written: {reason:whole}",
    "use-told": "{words:commas}",
    "uses-told": "{uses:either}",
    "limit-below": "{names:substances} {amount:percent}{form}: below {entry} "
    "({less}{most:percent}{form}{where}{edition})",
    "limit-at": "{names:substances} {amount:percent}{form}: at {entry} ({less}{most:percent}{form}{where}{edition})",
    "limit-beyond": "{names:substances} {amount:percent beside most}{form}: beyond {entry} "
    "({less}{most:percent}{form}{where}{edition})",
    "limit-crosses": "{names:substances} up to {amount:percent above most}{form}: perhaps beyond {entry} "
    "({less}{most:percent}{form}{where}{edition})",
    "limit-unknown": "{names:substances}: how much is not known, so {entry} "
    "({less}{most:percent}{form}{where}{edition}) is not judged",
    "limit-ph-beyond": "{names:substances} at pH {ph}: beyond {entry} (at most pH {most}{where}{edition})",
    "limit-ph-crosses": "{names:substances} up to pH {ph}: perhaps beyond {entry} (at most pH {most}{where}{edition})",
    "limit-never": "{names:substances}: {entry} rules it out{where}{edition}",
    "limit-only": "{names:substances}: {entry} lists it only for {uses}{edition}",
    "limit-prohibited": "{names:substances}: prohibited in cosmetics by {entry}{edition}",
    "limit-less": "less than ",
    "limit-form": " as {form:listed}",
    "limit-where": ", {use}",
    "limit-for": " for {use}",
    "limit-edition": ", {edition:listed}",
    "limit-summaries": ", {edition:listed}, as summaries of it say",
    # words for a label
    "label-words-from": "Words that {entry} asks for on a label{use}{when}{perhaps} ({edition:listed})",
    "label-words-when": ", {when:listed}",
    "label-words-perhaps": ", as it may be beyond {most:percent}",
    # materials
    "two-substances": "its names stand for more than one substance ({substances:and}, by {names:and}); write which "
    "one it is as `known as:`, or `known as: nothing listed`.",
    "strength-of-what": "{name} says how strong it is, but not what it contains",
    "strength-in-name": "its name says {share:percent}, but its file does not say of what; write "
    "`contains: {{{substance}: {share:percent}}}` if that is meant, so that it is judged by its strength.",
    "strength-in-name-by-volume": "its name says {share:percent}, but its file does not say of what; write "
    "`contains: {{{substance}: {share:percent}vol}}` if that is meant, so that it is judged by its strength.",
    "known-as-nothing": "no table here lists {name}; write another of its names, or `nothing listed`.",
}
"""Name → sentence."""
