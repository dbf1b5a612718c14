"""References: what a formula calls, and why it cannot be used."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "own-ingredient": "{code} is an ingredient of itself; take the line out.",
    "cycle": "the formulas use each other in a circle ({steps:list}); take one of these lines out.",
    "uses": "{one} uses {other}",
    "and-so-on": "and so on through {count} formulas",
    "no-such-item": "the book has no material or formula called {name}.{hint}",
    "mean-called": " Did you mean {name} ({called})?",
    "renamed": "{name} {what}.",
    "title-for-name": "no file yet for {name}, and {name} {what} if that is meant, or a material file for {name}.",
    "ambiguous-name": "{name} can be {names:or}; write which one.",
    "former-name": "{name} is called {now} now; write {now}.",
    "no-file-yet": "no file yet for {name}, so its water, density, content and hazards are not known; write one "
    "(bookgen add --missing does), or correct the name.",
    "no-files-yet": "no file yet for {names:and}, so their water, density, content and hazards are not known; write "
    "them (bookgen add --missing does), or correct the names.",
    "only-a-name": "only its name is written, so its water, density, content and hazards are not known; write what you "
    "know of it, and `hazards: none known` where that is so.",
    "withdrawn-ingredient": "{code} ({title}) is withdrawn; put another ingredient in its place.",
    "draft-ingredient": "{code} ({title}) is still a draft, and this formula is approved; approve it first, or is "
    "this one on trial too?",
    "trial-ingredient": "{code} ({title}) is still on trial, and this formula is approved; approve it first, or is "
    "this one on trial too?",
    "weighed-by-volume": "it is made by volume and weighed into {users:and 3}, so how much of it to make and what it "
    "brings cannot be reckoned; write its `density:`.",
}
"""Name → sentence."""
