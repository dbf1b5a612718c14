"""What does not go together, and whether emulsifiers suit their oils."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "clash-row": "{firsts:and} with {seconds:and}: {reason:whole} ({known:whole})",
    "clash-word": "{firsts:and} with {seconds:and}: incompatible, as the file of {firsts:and} says{why}",
    "clash-why": ": {why:whole}",
    "clash-itself": "{name}",
    "clash-holds": "{name} ({substance})",
    "clash-found": "{clash}; {todo}.",
    "clash-todo": "{todo:whole}",
    "clash-leave-out": "leave one of them out, or keep them apart",
    "not-in-product": "it is not in the product",
    "incompatible-meant": "`{name:typed}` is nothing of this book or its tables. Did you mean {meant}?",
    "incompatible-formula": "{name} is a formula; write the material in it that is meant.",
}
"""Name → sentence."""
