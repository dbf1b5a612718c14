"""What is asked at the bench and cannot be answered: a batch, drops weighed today, supplies, a shopping list."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # of which word it is said
    "to-obtain": "To obtain: {says}",
    "to-use-up": "To use up: {says}",
    "into": "Into: {says}",
    "drop": "Drop: {says}",
    "have": "Have: {says}",
    # a batch
    "batch-too-long": "this is {length} characters long: write {wanted:such}.",
    "batch-missing": "nothing is written: write {wanted:such}.",
    "no-batch": "`{text:typed}` is not a batch: write {wanted:such}.",
    "surplus-of-what": "`+ {surplus:typed}` belongs to containers only: write {wanted:such}.",
    "no-surplus": "`+ {text:typed}` is not a surplus: write it as in 12 x 50 mL + 5 %.",
    "no-count": "{number:stated} is not a number of containers: write a whole number of 1 or more.",
    "no-supply": "`{text:typed}` is not a supply: write {wanted:such}.",
    "supply-twice": "{name} is named twice: write all that there is of it in one figure.",
    "batch-for-container": "`{text:typed}` is a batch: write the content of one container, as in 50 mL.",
    "containers-twice": "The batch {batch} names its containers itself: leave out --into, or write the whole.",
    "below-a-step": "{grams} g in all is less than the balance reads ({step} g)",
    # a formula that is not weighed
    "not-weighed": "{code} {title} is not weighed: {why}.",
    "not-weighed-for": "{code} {title} is not weighed: {why}",
    "not-weighed-barred": "{code} {title} is not weighed: barred.",
    "barred": "barred: {why}",
    "withdrawn": "withdrawn, so it is no longer weighed",
    "workroom-first": "put {path} right first; balances and decimal sign are not known",
    # names of the book
    "no-formula": "{name} is not a formula of this book.{hint}",
    "material-for-formula": "{name} is a material, not a formula.",
    "no-material": "{name} is not a material of this book.{hint}",
    "no-item": "{name} is neither a material nor a formula of the book.{hint}",
    "no-dropper": "No dropper is called {name}.{hint}",
    "file-unread": " {path} cannot be read.",
    "name-is": " {name} {what}.",
    "nothing-so-called": "{name} is neither a material nor a formula of the book{hint}",
    "and-name-is": "; {name} {what}",
    "is-now": "is {codes:or} now{called}; write {codes:or}",
    "is-title-of": "is the title of {codes:and}{called}; write {codes:or}",
    "is-file-of": "is the file of {codes:and}{called}; write {codes:or}",
    "so-called": " ({name})",
    # a name, a colon, an amount
    "colon-missing": "`{text:typed}` lacks a colon after the name: write it as in {wanted:such}.",
    "name-missing": "`{text:typed}` lacks the name before the colon: write it as in {wanted:such}.",
    "nothing-after-name": "Nothing is written after {name}: write it as in {wanted:such}.",
    "two-units": "{name} is given in g and in mL: write all of it in one unit.",
    # a shopping list
    "colon-after-code": "`{text:typed}` lacks a colon after {code}: write it as in {code}: 40 g.",
    "supply-for-batch": "{code}: write what must come out, such as 250 g; what is there is given with --have.",
    # drops
    "weighing-missing": "Nothing is written: write a weighing as in 20 drops 0.52 g.",
    "no-weighing-given": "No weighing is given: write one, such as 20 drops 0.52 g.",
    "weighings-unwritable": "These weighings cannot be written into a file as they are: shorten the figures or the "
    "name.",
    "weight-before-drops": "`{text:typed}`: the drops come first, write {drops} {weight}.",
    "drops-missing": "{text} does not say of how many drops: count at least ten and write them, as in 20 drops 0.52 g.",
    "drops-of-formula": "{name} is a formula; what a drop weighs is written in the materials' files.",
    "drop-mass-twice": "{name} is given twice: write one drop mass, or weighings that belong together.",
    "not-counted": "nothing of this batch is counted in its drops, so today's change nothing.",
    # a balance
    "no-balance": "`{text:typed}` is not understood: write its name, its smallest step and the most it holds, such "
    "as {wanted:such}.",
    "step-above-capacity": "the smallest step, {step}, is not below the most that {name} holds, {most}: write the "
    "step first, such as {wanted:such}.",
}
"""Name → sentence."""
