"""The method beside the table: amount links that lead nowhere, portions, quantities typed as words."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "amount-link": "amount:{name}",
    "amount-link-in-phase": "amount:{name}@{phase}",
    "link-without-phase": "{link} leads to phase {phase}, and there is no such phase.",
    "link-in-other-phase": "{link} leads nowhere: {name} is in phase {phases:and}.",
    "link-without-line": "{link} leads nowhere: no line is called {name}.{hint}",
    "name-ingredient": " Name an ingredient of this formula.",
    "whole-phase": "phase {letter}",
    "portions-beyond-whole": "the portions of {name} come to {share:percent} of it here; write *rest for what is "
    "left, or smaller portions.",
    "portion-of-nothing": "earlier portions have used all of {name}, nothing is left for this one; write smaller "
    "portions.",
    "method-forgets": "the method names other ingredients, but not {names:and}; link each where it is let in, such as "
    "`[{name}]({link})`.",
    "typed-share": "{text:stated} of {name} is typed as words and will be wrong when the formula changes; make it a "
    "link, [{name}](amount:{name}), which prints the amount after the name.",
    "typed-amount": "{text:stated} of {name} is typed as words and will be wrong at the next batch size; make it a "
    "link, [{name}](amount:{name}), which prints the amount after the name.",
    "typed-otherwise": "{text:stated} stands beside {name} and is not one of its amounts; is it still right?",
}
"""Name → sentence."""
