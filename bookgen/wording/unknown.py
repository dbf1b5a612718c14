"""What is not known of a formula's figures, as the clause that can follow "not known: "."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # storage
    "no-period": "no period is assigned and no rule applies",
    "no-period-for-use": "no period is assigned, and the published ones are not for this use",
    "beyond-calendar": "the period goes beyond the calendar",
    "no-day": "the day of making is not given",
    "water-unknown": "nothing says whether these bring water: {names:and}",
    "unfiled": "no file yet for {names:and}",
}
"""Name → sentence."""
