"""What goes around what is found: where it stands, of which key it is said, what was probably meant."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "told": "{words:whole}",
    "in-line": "{title:whole}, line {line}: {says}",
    "in-file": "{title:whole}: {says}",
    "at-line": "Line {line}: {says}",
    "of-key": "{key}: {says}",
    "mean": " Did you mean {name}?",
    "perhaps-mean": "; perhaps {name} is meant",
    "clause": "{says}.",
    "formula": "{title} ({code})",
    # what bars a formula
    "barred-for-others": "It has an error, which its keeper has to put right first.",
    "item-unread": "{item} cannot be read.",
    "based-on-wrong": "It is based on {base}, which has an error.",
    "uses-wrong": "It uses {item}, which has an error.",
    "rests-on-wrong": "It uses {item}, which rests on {root}, and that has an error.",
}
"""Name → sentence."""
