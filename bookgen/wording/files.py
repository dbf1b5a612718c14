"""Files and their names: what cannot be read, what is called alike, and the record of what is in the binder."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # the disk
    "no-book": "There is no folder `formulas` here: a book holds its formulas in it.",
    "folder-closed": "The folder cannot be opened: {why}.",
    "file-closed": "The file cannot be opened: {why}.",
    "file-too-large": "The file is {size} kB long; more than {most} kB is not read.",
    "no-ordinary-file": "This is not an ordinary file: put a file here, or rename it.",
    "folder-linked": "The folder is a link and is not read: put the folder itself here.",
    "link-leads-out": "The file is a link that leads out of the book: put the file itself here.",
    "link-leads-nowhere": "The file is a link that leads nowhere: put the file itself here.",
    "link-leads-back": "The file is a link that leads back to itself: put the file itself here.",
    "disk-full": "the disk is full",
    "quota-used-up": "the disk quota is used up",
    "no-permission": "there is no permission to write there",
    "read-only": "the disk is read-only",
    "not-written": "Cannot write {path:whole}: {why}; nothing was written.",
    "already-there": "{path:whole} is there already and is left as it is.",
    "book-there": "{path:whole} holds a book already, which is left as it is.",
    # what is in it
    "utf-16": "The file is UTF-16: save it as UTF-8.",
    "not-utf-8": "The file is not UTF-8: save it as UTF-8.",
    "older-encoding": "The file is not UTF-8 (perhaps {sign} from an older encoding): save it as UTF-8.",
    "nul": "The file holds a NUL: it is not text, or was damaged.",
    "file-empty": "The file is empty.",
    # names
    "wrong-file-name": "The file is not read under this name: call it {name}.",
    "file-name-not-utf-8": "The file name holds characters that are not UTF-8: rename the file.",
    "bad-file-name": "The file name `{name:typed}` {why}",
    "code-taken": "{name} is already the code of {path}: give one of the two another name.",
    "name-taken": "{name} is already the name of {path}: give one of the two another name.",
    "name-shared": "{name} is already the name of {other}: say in the name how the two differ.",
    # the record of what is in the binder
    "record-way-out": "put back a good copy of the record, or delete it and file the whole binder anew",
    "changed-meanwhile": "{path} was written by another run meanwhile; look at it and run this again.",
    "record-not-written": "Cannot write {path:whole}: {why}; what was on record stays as it was.",
    "printed-not-kept": "The list of what was printed cannot be kept in {path:whole}: {why}.",
    "the-record": "the record",
    "a-leaf": "a leaf",
    "day-lacking": "The record lacks the day, `filed: 2026-03-02`.",
    "record-key-twice": "{where}: {key:typed} is written twice; {way}.",
    "record-key-unknown": "`{name:typed}` is not a key of {owner}.{hint} This file is not written by hand: {way}.",
    "record-value-wanted": "One value is expected here; {way}.",
    "record-value-empty": "Nothing is written here; {way}.",
    "record-value-wrong": "`{text:typed}`: {wanted} is expected here; {way}.",
    "record-looks-wanted": "`look: words` is expected here; {way}.",
    "record-leaves-wanted": "`leaves:` and one line a leaf are expected here; {way}.",
    "record-leaf-wanted": "One leaf in braces, `{{code: S-02, title: …}}`, is expected here; {way}.",
    "record-leaf-twice": "{code} is listed twice among the leaves; {way}.",
    "record-leaf-lacks": "The leaf lacks {keys:and}; {way}.",
    "record-look-unknown": "No look of that name is under `looks:`; {way}.",
    "count-wanted": "a whole number of 1 or more",
    "date-wanted": "a date such as 2026-03-02",
    "digest-wanted": "a digest of 16 characters",
    "letters-wanted": "a digest of {number} letters",
}
"""Name → sentence."""
