"""What is there and what is needed: batches from supplies, and shopping lists."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # a batch from what is there
    "supply-to-make": "{name} is what is to be made",
    "supply-named-twice": "{name} is named twice; write all that there is of it in one figure",
    "supply-not-taken": "{name} is not weighed in anywhere in {title}",
    "supply-not-taken-beside": "{name} is not weighed in anywhere in {title}, as what else is there is not made",
    "supply-too-little": "{amount:stated} of {name} is too little to measure a batch from",
    "supply-needs-density": "a supply in mL needs the density of {name}",
    # a shopping list
    "of-order": "{title}: {why}",
    "supply-uncounted": "what is there of {title} cannot be counted: {why}",
    "made-unknown": "how much {title} is made is not known",
    "weight-unknown": "its weight is not known",
    "drops-of-unknown": "{drops:drop/drops}; {why}",
    "needed-otherwise": "{name} is needed in {unit} too and states no `density:`; say what is there in {unit}",
}
"""Name → sentence."""
