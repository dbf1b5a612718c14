"""Droppers: weighings that cannot be trusted, and drops that no dropper gives."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "unknown-dropper": "the workroom has no dropper called {name}.{hint}",
    "write-dropper": " Write it under `droppers:` in workroom.yaml.",
    "implausible-drop": "a drop of {grams} g is outside {low} to {high} g; is the decimal sign in the right place?",
    "few-weighings": "{count:weighing/weighings} cannot show a slip; weigh drops of {dropper} {more:~once/twice} more.",
    "drop-spread": "{drops:drop/drops} {grams} g lies {off:percent apart limit} from the mean of {dropper}, more "
    "than the {limit:percent apart off} that a calibrated dropper may be off; count and weigh again.",
    "few-drops": "{counts:and} {most:~drop/drops} in a weighing: one miscounted would be too much; count {fewest} or "
    "more.",
    "light-drops": "{drops:drop/drops} {drops:~weighs/together weigh} {grams} g, less than the {least:least} g that "
    "the {balance} weighs within {error} %; {way}.",
    "count-more": "count {count} or more",
    "weigh-finer": "weigh them on a finer balance",
}
"""Name → sentence."""
