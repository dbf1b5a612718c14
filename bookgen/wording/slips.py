"""Slips of the pen: figures of materials, losses, the change log and the workroom that do not go with others."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # materials and chapters
    "implausible-density": "a density of {density:stated} is outside {low} to {high} g/mL; is the decimal sign in "
    "the right place?",
    "label-shares": "the shares of its label names come to {share} % instead of 100 %; correct a share.",
    "content-beyond-form": "{share} % {name}, but pure {form} holds {most:percent 1 decimals}; is {share} % {form} "
    "meant?",
    "no-such-chapter": "no formula lies in the chapter {name}.{hint}",
    "empty-chapters": "no formula lies in {count:~the chapter/these chapters} yet: {names:list}.",
    "no-formulas": "the book has no formula; write one as a Markdown file with `code`, `title` and `ingredients`, or "
    "is this another folder?",
    # lines
    "drop-weight-beside-file": "{drops:stated} is {each} g a drop, and {name} gives {grams} g for {dropper}; is the "
    "decimal sign in the right place?",
    "drop-weight-of-none": "{drops:stated} is {each} g a drop, which is outside {low} to {high} g; is the decimal "
    "sign in the right place?",
    "adjusted-beside-ph": "{name} brings it to {result}, but `pH:` of the formula is {ph:stated}; correct one of them.",
    "adjusted-beyond-ph": "{name} brings it to {result}, but `pH:` of the formula is {low:stated} to {high:stated}; "
    "correct one of them.",
    "accepted-error": "with an accepted error of {error} a balance is trusted with next to nothing; 5 % is usual, "
    "and a smaller amount is better weighed from a stock dilution.",
    # losses
    "tiny-yield": "at a yield of {share:stated} {times} times what comes out is weighed in; is the figure right?",
    "fill-evaporates": "{name} is made up to the total and evaporates; write `made up: yes`, or give it an amount.",
    "evaporates-beyond-line": "{lost:stated} cannot evaporate from {taken} g of {name}; write what is lost, at most "
    "all of it.",
    "evaporates-beyond-all": "{lost:stated} cannot evaporate from {name}; write what is lost, at most all of it.",
    "added-without-evaporates": "{name} is `added: yes` but nothing says how much evaporates; write `evaporates:`, "
    "such as 8 %.",
    "added-and-made-up": "the loss of {name} is both `added` and `made up`, so it would be replaced twice; keep one.",
    "nothing-remains": "everything that goes in evaporates, so nothing comes out; correct `evaporates:`, or write "
    "`made up: yes`.",
    # the change log
    "change-beyond-issue": "the change log has issue {logged}, but the formula is issue {issue}; raise `issue:`.",
    "issue-without-change": "it is issue {issue}, but the change log ends with issue {logged}; write what changed "
    "and when.",
    "change-dates": "issue {later} of {on} is dated before issue {earlier} of {before}; correct one of the dates.",
    "issue-below-record": "issue {issue} of {code} is lower than issue {filed}, which is on record; count on from "
    "there.",
    "figures-without-issue": "the figures printed on {code} changed since issue {issue} was filed, and two sheets "
    "{code} issue {issue} would differ; put the file back as it was filed, begin issue {next} with "
    '`bookgen issue {code} "WHAT CHANGES"` and make the change again, or write `issue: {next}` and say under '
    "`changes:` why.",
    # trials
    "base-missing": "there is no formula {code} to base a trial on; write the code of one that is here.{hint}",
    "base-not-kept": "issue {issue} of {code} is not kept, so nothing can be based on it; write `based on: {code}`.",
    "trial-of-itself": "{code} is based on itself; write the code of another formula.",
    "trials-in-circle": "{codes:and} are based on one another in a circle; base one of them on a formula outside it.",
    "key-of-base": "in a trial `{key}` follows {base}; leave it out here.",
    "line-not-there": "{base} has no line {name}; name one that it has.{hint}",
    "line-in-phases": "{base} has {name} in the phases {letters:and}; write this line below its phase.",
    "trial-without-base": "{name} is out or stands instead of another, but this formula is based on none; write "
    "`based on:`, or an amount.",
    "link-out-in-trial": "the method of {base} names {name}, which this trial has out; write a `## Method` of its own "
    "in {code}.",
    "earlier-name": "this is issue {issue} of {code}; call the file {name}.",
}
"""Name → sentence."""
