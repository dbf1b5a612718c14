"""Sentences of handing a formula on, and of taking in what was handed on."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "hand-on-barred": "{code} is not handed on. {why:capital}",
    "hand-on-otherwise": "{path:whole} would be read as something else than it is here: hand it on as a page.",
    "hand-on-into-book": "{path:whole} lies in the book itself, which would read it: name another folder.",
    "share-unread": "{path:whole} cannot be read to its end: mend it first.",
    "share-link": "{path:whole} links to {address:typed}, which does not go along: write the link as "
    "`[words](address)`, so that its words can stay.",
    "share-otherwise": "{path:whole} cannot be written so that it says the same: write its links as "
    "`[words](address)`.",
    "share-hidden": "{path:whole} defines the address {address:typed} within a list or a quotation and does not use "
    "it: take it out.",
    # a folder that is brought in
    "folder-no-book": "{folder:whole} has no folder formulas in it, as bookgen hand-on --folder writes one.",
    "folder-unsound": "{place} of {folder:whole} is not in order, so nothing is brought in. {why:capital}",
    "folder-empty": "{folder:whole} holds no formula and no material.",
    "folder-too-large": "{folder:whole} holds {count} files; more than {most} are not brought in at once.",
    "folder-decimal": "{path:whole} of {folder:whole} would say something else with a decimal {sign}: write its "
    "figures so there, and `decimal: {sign}` in its formulas/workroom.yaml.",
    "folder-is-book": "{folder:whole} is this book.",
    "clash": "{name:typed} is {here:whole} here and {there:whole} there, and the two differ.",
    "clash-name": "{name:typed} of {there:whole} is another thing here: {here:whole}.",
    "clash-path": "{path:whole} is there already and holds something else.",
    "clash-meaning": "{name:typed} on a line of {path:whole} would mean something else here.",
    "clash-breaks": "{path:whole} would not be in order any more. {why:capital}",
    "clashes": "Nothing was brought in: rename what is here (bookgen rename), or make the two alike.",
}
