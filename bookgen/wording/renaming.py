"""Sentences of renaming."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "nothing-to-rename": "Nothing is called {name:typed}.{hint}",
    "new-name-refused": "The name `{name:typed}` {why}",
    "new-name-reserved": "A single letter is the name of a phase: `{name}` cannot be that of anything else.",
    "called-so-already": "{name} is its name already.",
    "new-name-taken": "{name} is taken: it is the name of {what:whole}.",
    "new-name-on-line": "{name} is taken: {path:whole}, line {line}, means something else by it.",
    "name-may-hide": "{path:whole} cannot be read to its end, and {name} may stand in it: mend it first.",
    "formerly-on-one-line": "Write `formerly` of {path:whole} on one line, such as `formerly: [C-01]`, "
    "and run this again.",
    "rename-would-break": "{path:whole} could not be read as before under the new name; nothing was changed.",
    # a change of several files
    "change-unfinished": "A change of several files was cut off, and cannot be brought to its end: {why}.",
}
