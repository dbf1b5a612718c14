"""Fragrance allergens: which of them a label names, and which material does not say what it contains."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "allergen-named": "{name} {amount:percent beside least}: to be named on a label ({entry}: above {least:percent}, "
    "{contact:listed}, {edition:listed})",
    "allergen-named-up-to": "{name} up to {amount:percent above least}: to be named on a label ({entry}: above "
    "{least:percent}, {contact:listed}, {edition:listed})",
    "allergen-perhaps": "{name} up to {amount:percent above least}: to be named on a label, as it may be above it "
    "({entry}: above {least:percent}, {contact:listed}, {edition:listed})",
    "allergen-below": "{name} {amount:percent beside least}: need not be named ({entry}: above {least:percent}, "
    "{contact:listed}, {edition:listed})",
    "allergen-unknown": "{name}: to be named on a label, as its share is not known ({entry}: above {least:percent}, "
    "{contact:listed}, {edition:listed})",
    "allergens-incomplete": "INCOMPLETE: {names:and} {count:~does/do} not say what {count:~it contains/they contain}",
    "allergen-label-remembered": "{names:and}: a label name from memory",
}
"""Name → sentence."""
