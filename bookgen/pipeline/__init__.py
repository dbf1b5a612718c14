"""The stages in order: text → book → figures → findings → pages → press.  Decides nothing.

The first room to open: `checking` goes as far as the findings, `printing` from there to the binder, `publishing` does
both and writes the output folder.
"""

from __future__ import annotations

from .checking import (
    Checked,
    NoBook,
    NotForOthers,
    Unreadable,
    check_again,
    check_book,
    check_with,
    edition_for_others,
    must_be_book,
    no_book,
    without_collector,
    workroom_of,
)  # fmt: skip
from .handing import CannotHandOn, Handed, files_of, hand_on_files, hand_on_page, hand_on_sheets, handed, read_otherwise
from .loose import LabelJob, LabelTooSmall, PrintedAlone, print_abreast, print_labels, print_worksheet
from .printing import LIST, Printing, Progress, in_order, printing_for
from .publishing import (
    BINDER,
    CHANGES,
    FILES,
    SITE,
    CannotPublish,
    FaultyTheme,
    Published,
    digest_of,
    in_sentences,
    make_room,
    publish,
    set_aside,
)  # fmt: skip

__all__ = [
    "BINDER", "CHANGES", "FILES", "LIST", "SITE", "CannotHandOn", "CannotPublish", "Checked", "FaultyTheme", "Handed",
    "LabelJob", "LabelTooSmall", "NoBook", "NotForOthers", "PrintedAlone", "Printing", "Progress", "Published",
    "Unreadable", "check_again", "check_book", "check_with", "digest_of", "edition_for_others", "files_of",
    "hand_on_files", "hand_on_page",
    "hand_on_sheets", "handed", "in_order", "in_sentences", "make_room", "must_be_book", "no_book", "print_abreast",
    "print_labels", "print_worksheet", "printing_for", "publish", "read_otherwise", "set_aside",
    "without_collector", "workroom_of",
]  # fmt: skip
