"""A new book and new files in it: what is asked for and not done."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # a new book
    "title-empty": "The title is empty: write what the book is called.",
    "balance": "Balance: {says}",
    "balance-nameless": "a second one needs a name: write {wanted}.",
    "as-sentence": "{says:capital}",
    # a new formula
    "code-refused": "The code `{name:typed}` {why}",
    "title-missing": 'Give {code} a title: bookgen add {code} "TITLE".',
    "code-given": "{code} is already the code of {title}: {path}.",
    "no-chapter": "`{text:typed}` is not a chapter: name a folder below formulas/, such as waters.",
    "not-for-formulas": "formulas/{folder}/ holds no formulas: name another chapter.",
    # a new material
    "code-for-material": '{code} looks like the code of a formula: write bookgen add {code} "TITLE"; for a material '
    "write more of its name.",
    "material-nameless": 'Give the material a name: bookgen add "NAME".',
    "no-letters": "`{name:typed}` has no letter from a to z for a file name: write it in such letters.",
    "name-of-other": "{name} is a name of {other} already: {path}.",
    "material-there": "{key} is already the material {name}: {path}.",
    # both
    "unread-first": "{path} cannot be read and may hold what is to be added: put that right first.",
    "file-there": "{path} is there already and is left as it is: give it another title.",
    # files for ingredients that have none
    "maybe-slip": "No file for {name}, which may be a slip.{hint}",
    "looks-like-code": 'No file for {name}, which looks like a code: bookgen add {name} "TITLE" makes its formula.',
    "no-file-because": "No file for {name}. {says}",
    "file-of-two": "No file for {name}: it would be {path} as well; give the two names that differ more.",
}
"""Name → sentence."""
