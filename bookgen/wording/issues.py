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
    # asking for one
    "earlier-not-made": "{name} is an earlier issue, which is shown and compared but no longer made: write {code}.",
    "issue-not-kept": "Issue {issue} of {code} is not kept. {kept}",
    "issues-kept": "Kept {count:~is/are} {issues:list}.",
    "issues-none": "No earlier issue of it is.",
    "bases-differ": "the two are shares of different things, by weight and by volume",
    "issue-number": "`{name:typed}` is not an issue: write it as in {code}@2.",
}
"""Name → sentence."""
