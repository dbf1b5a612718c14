"""What does not go together, and whether emulsifiers suit their oils."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "clash-row": "{firsts:and} with {seconds:and}: {reason:listed} ({known:listed})",
    "clash-word": "{firsts:and} with {seconds:and}: incompatible, as the file of {firsts:and} says{why}",
    "clash-why": ": {why:whole}",
    "clash-itself": "{name}",
    "clash-holds": "{name} ({substance:substance})",
    "clash-found": "{clash}; {todo}.",
    "clash-todo": "{todo:whole}",
    "clash-leave-out": "leave one of them out, or keep them apart",
    "not-in-product": "it is not in the product",
    "incompatible-meant": "`{name:typed}` is nothing of this book or its tables. Did you mean {meant}?",
    "incompatible-formula": "{name} is a formula; write the material in it that is meant.",
    # HLB
    "hlb-oil": "{name}, {share:percent} of the oils: requires HLB {value} ({known})",
    "hlb-emulsifier": "{name}, {share:percent} of the emulsifiers: HLB {value} ({known})",
    "hlb-left-out": "left out as traces: {names:and}",
    "hlb-suits": "HLB {how}: required {required:1 decimals}, offered {offered:1 decimals}, no more than {most} "
    "apart; a starting point",
    "hlb-apart": "HLB {how}: required {required:1 decimals}, offered {offered:1 decimals}, more than {most} apart; a "
    "starting point",
    "hlb-blend": "{share:percent} {high} and {rest:percent} {low} of the two would offer what is required",
    "hlb-no-blend": "no mixture of {high} and {low} offers what is required",
    "hlb-unjudged": "HLB is not judged: {why:list}",
    "hlb-ionic": "{name} is ionic ({substance:substance}), and HLB holds for nonionic emulsifiers alone",
    "hlb-soap": "{acid} and {alkali} make a soap, which is ionic, and HLB holds for nonionic emulsifiers alone",
    "hlb-not-written": "{name}: no HLB written or tabled",
    "hlb-not-required": "{name}: no required HLB {how} written or tabled",
    "hlb-no-emulsifier": "nothing in it is known as an emulsifier",
    "hlb-no-oil": "nothing in it is known as an oil",
    "hlb-unjudged-found": "HLB is not judged: {why:list}; write that in the files, or take `emulsion:` out.",
    "hlb-too-far": "the oils require an HLB of {required:1 decimals} ({how}) and the emulsifiers offer "
    "{offered:1 decimals}, more than {most} apart: {todo}, as a starting point for a trial.",
    "hlb-higher": "take more of an emulsifier with a higher HLB",
    "hlb-lower": "take more of an emulsifier with a lower HLB",
}
"""Name → sentence."""
