"""Storage and use: periods and whose they are, where and on whom, and water that can spoil."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # periods, and whose they are
    "assigned": "given by the formula",
    "of-the-rule": "{rule:listed} ({document:listed})",
    "borrowed": "borrowed from the rule for medicines: {rule:listed} ({document:listed})",
    "keepers-own": "the keeper's own period: {kind}",
    "of-intermediate": "{name}: {whose}",
    "period-beyond-rule": "{period} is longer than {limit}: {whose}; shorten it, or write the reason as `because:`.",
    "keepers-water-period": "the keeper's {period} for unpreserved water is longer than the {days} days of the rule, "
    "which are used instead; write the same or less.",
    # what is not written
    "storage-missing": "nothing says where it is kept and how long; write `storage:`, such as cupboard, tight jar, "
    "180 days.",
    "use-missing": "nothing says where and on whom it is used, so that cannot be judged; write `use:`, such as "
    "leave-on, face, adults.",
    "contact-missing": "it is used on {sites:and}: leave-on or rinse-off? Write it in `use:`, as its cautions depend "
    "on it.",
    "water-not-written": "nothing says whether it brings water, so it is not known whether {codes:and 3} can spoil; "
    "write `water: 0 %` or its share.",
    # water that can spoil
    "unpreserved-at-risk": "it holds unpreserved water and is meant for {places:and}, where microbes do most harm: "
    "{asked}",
    "unpreserved-in-cupboard": "it holds unpreserved water and would spoil in a cupboard: {asked}",
    "unpreserved-without-place": "it holds unpreserved water and no place of storage is written; keep it in the "
    "refrigerator.",
    "unpreserved-elsewhere": "it is to be kept in a {place}, but the {period} of unpreserved water hold only in the "
    "refrigerator; keep it there.",
    "unpreserved-anywhere": "no place of storage is written, but the {period} of unpreserved water hold only in the "
    "refrigerator; keep it there.",
    "unpreserved-too-long": "{period} is longer than the {limit} of unpreserved water: {asked}",
    "alcohol-unknown": "how much alcohol it holds is not known, so it counts as unpreserved water ({period} in the "
    "refrigerator); {way}.",
    "write-density-alone": "write `density:`",
    # what preserves it
    "misspelt-in-line": "line {line} has the function {word}, which looks misspelt; correct it, or {otherwise}.",
    "misspelt-in-file": "the file of {name} has the function {word}, which looks misspelt; correct it, or {otherwise}.",
    "which-preserves": "which line preserves it, and until when? Write that line's function and the period, or "
    "{otherwise}.",
    "only-called-so": "{name} in line {line} preserves nothing, whatever it is called; {asked}",
    "one-function": "line {line} does not say that it preserves (`{function}` is one function); {asked}",
    "change-use": "change its use",
    "keep-cold": "keep it in the refrigerator",
    "shorten-period": "shorten the period",
    "preservative-by-intermediate": "its preservative ({names:and 3}) is brought in by {codes:and} alone, "
    "{share:percent} of the product: is that enough?",
    "preservative-of-unknown-share": "its preservative ({names:and 3}) is brought in by {codes:and} alone, how much is "
    "not known: is that enough?",
    # places
    "kept-warmer": "it is to be kept in {place}, but {code} in it, of the same kind, in {colder}; keep it there too, "
    "or write the reason as `because:`.",
    "a-place": "a {place}",
    "the-place": "the {place}",
}
"""Name → sentence."""
