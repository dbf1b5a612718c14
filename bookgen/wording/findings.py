"""What goes around what is found: where it stands, of which key it is said, what was probably meant."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "told": "{words:whole}",
    "in-line": "{title:whole}, line {line}: {says}",
    "in-file": "{title:whole}: {says}",
    "to-obtain": "To obtain: {says}",
    "not-counted": "nothing of this batch is counted in its drops, so today's change nothing.",
    "of-key": "{key}: {says}",
    "clause": "{says}.",
    "mean": " Did you mean {name}?",
    "or-mean": "; did you mean {name}",
}
"""Name → sentence."""
