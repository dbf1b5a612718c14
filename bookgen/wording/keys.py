"""The keys of the front matter and of the workroom file: which there are, and what form their values have."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # what a key belongs to
    "a-formula": "a formula",
    "a-material": "a material",
    "a-line": "a line",
    "the-workroom": "the workroom",
    "the-key": "`{key}`",
    # keys
    "unknown-key": "`{name:typed}` is not a key of {owner}.{hint}",
    "its-keys": " Its keys are {keys:list}.",
    "key-twice": "`{name:typed}` is written twice: keep one of the two.",
    "key-lacking": "`{name}` is missing from {owner}, which must have one.",
    "value-empty": "`{name}` has no value.",
    "value-too-long": "{key}: this is {length} characters long, and up to {most} are read.",
    "text-too-long": "A text of {length} characters: up to {most} are read up here.",
    "link-up-here": "{key}: a link up here is printed as it is typed: put it in the text below the front matter.",
    "text-as-key": "{key}: `{text:typed}: …` is read as a key: put the whole text in quotes.",
    "remark-behind-title": "What follows the # is a remark and not part of the {key}: put the whole {key} in quotes, "
    "or the remark on its own line.",
    # the form of a value
    "one-value-wanted": "one value is expected here, not a list or keys.",
    "value-or-list-wanted": "one value or a list of values is expected here.",
    "text-wanted": "a text is expected here.",
    "text-or-list-wanted": "a text or a list (`- ` before each) is expected here.",
    "these-keys-wanted": "keys are expected here: {keys:list}.",
    "storage-wanted": "`place, container, period` is expected here.",
    "changes-wanted": "`issue, date: what changed` is expected here, one a line, without dashes.",
    "change-without-issue": "is a date without its issue; write the issue first, as in `2, 2026-03-02: glycerol 6 % to "
    "4 %`.",
    "contents-wanted": "`substance: 80 %` is expected here, one a line.",
    "label-wanted": "a name, or `name: share` for each, is expected here.",
    "share-wanted": "a share such as 80 % is expected here.",
    "drops-wanted": "write a dropper's name and what one drop weighs, `pipette: 0.025 g`, one a line.",
    "drop-wanted": "`0.025 g`, or a list of weighings, `- 20 drops 0.52 g`, is expected here.",
    "weighing-wanted": "a weighing such as 20 drops 0.52 g is expected here.",
    "balance-wanted": "{key}: write one balance a line, `- {{name: {name:typed}, readability: 0.01 g, capacity: 200 "
    "g}}`.",
    "dropper-wanted": "{key}: names alone are expected here, `- {name:typed}`, one a line; what a drop weighs is "
    "written in the material's file under `drops:`.",
    # what its values must come to
    "issue-twice": "{key}: issue {issue} is written twice.",
    "name-twice": "{key}: {name} is written twice.",
    "balance-twice": "{key}: {name} is written twice: give one another name.",
    "share-missing": "{key}: {name} has no share: write `{name}: 80 %`.",
    "shares-beyond-whole": "{key}: the shares add up to more than 100 %.",
    "shares-and-water-beyond-whole": "{key}: the shares together with the water add up to more than 100 %.",
    "three-holes": "holes: three holes are for Letter: for {paper} write {holes:or}, or write `paper: {other}`.",
    "four-holes": "holes: four holes take 240 mm, more than {paper} is high: for {paper} write {holes:or}, or write "
    "`paper: {other}`.",
}
"""Name → sentence."""
