"""Issues of a formula: beginning one, and asking for one."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # beginning a new one
    "issue-change-empty": 'Say what changes: bookgen issue {code} "glycerol 6 % to 4 %".',
    "issue-change-long": "What changes has {length} characters: say it in up to {most}, on one line.",
    "issue-unread": "{path} cannot be read to its end: put it right first.",
    "issue-by-hand": "{path} is left as it is, as something in it would be lost: write `issue: {issue}` and the change "
    "by hand.",
    "issue-edited": "The figures of {code} changed since issue {issue} was filed, so the file no longer holds that "
    "issue. Put it back as it was, begin the new issue, then make the change.",
    "issue-too-early": "Issue {issue} of {code} is of {of}, later than {day}: give the day of the new one with "
    "--today, or correct the date under `changes:`.",
    "issue-kept-other": "{path} is there already and holds something else: nothing was written.",
    "issue-changed-meanwhile": "{path} was changed while it was read: nothing was written.",
    "issue-not-written": "Cannot write {path}: {why}. The present issue stands as it was.",
    # keeping a trial
    "keep-no-trial": "{code} is no trial, as it is based on no formula. A new issue of it is begun by "
    '`bookgen issue {code} "WHAT CHANGES"`.',
    "keep-kept": "{code} was kept already, as issue {issue} of {base}.",
    "keep-barred": "{code} has an error, or its base has: put that right first (bookgen check).",
    "keep-of-trial": "{code} is based on {base}, which is a trial itself. Write all lines that differ from {below} in "
    "{code}, with `based on: {below}`, then keep it.",
    "keep-of-kept": "{code} is based on {base}, which was kept as issue {issue} of {now}. Write `based on: {now}` in "
    "{code}, then keep it.",
    "keep-old-base": "{code} is based on issue {issue} of {base}, which is at issue {present} now: what changed since "
    "would be lost. Write `based on: {base}`, try it again with that, then keep it.",
    "keep-preserved": "{base} says what preserves it, and that was said of other lines. Write `preserved by:` in "
    "{code}, or take it out of {base}.",
    "keep-nothing": "{code} differs from {base} in nothing that could be kept.",
    "keep-by-hand": "What {code} changes cannot be set into {path} surely, so nothing was written. Begin the issue "
    "with `bookgen issue` and make the change by hand.",
    "keep-would-break": "With {code} kept there would be an error in {path}: {why}",
    # asking for one
    "earlier-not-made": "{name} is an earlier issue, which is shown and compared but no longer made: write {code}.",
    "issue-not-kept": "Issue {issue} of {code} is not kept. {kept}",
    "issues-kept": "Kept {count:~is/are} {issues:list}.",
    "issues-none": "No earlier issue of it is.",
    "bases-differ": "the two are shares of different things, by weight and by volume",
    "issue-number": "`{name:typed}` is not an issue: write it as in {code}@2.",
}
"""Name → sentence."""
