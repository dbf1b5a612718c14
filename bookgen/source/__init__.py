"""Files into a book: front matter, Markdown, places, and everything that is wrong with how it is written.

`read_book` reads a folder; `read_obtain` reads the batch asked for, and `asked.py` what else is typed on the command
line; `json_schemas` and `key_tables` tell an editor and a reader which keys there are.  Nothing here computes, and
only `writing.py` writes: the record of what is in the binder.
"""

from __future__ import annotations

from .asked import (
    A_BALANCE,
    dropper_named,
    material_of,
    pasted,
    read_balance,
    read_container,
    read_order,
    read_size,
    read_weighings,
    supplies_there,
    todays_drops,
)
from .blank import (
    BALANCE,
    DROPPER,
    FIRST_CODE,
    TITLE,
    complaint_about,
    first_files,
    formula_text,
    material_text,
    stem_of,
    workroom_text,
)
from .book import book_from
from .edition import for_others, keepers_headings_within, part_of
from .editor import json_schemas, key_tables
from .filed import filed_text, read_filed, state_of
from .files import read_book, read_record_alone, read_workroom_alone
from .memory import Memory
from .obtain import read_obtain
from .rules import RULES
from .values import read_period

__all__ = [
    "A_BALANCE", "BALANCE", "DROPPER", "FIRST_CODE", "RULES", "TITLE", "Memory", "book_from", "complaint_about",
    "dropper_named", "filed_text", "first_files", "for_others", "formula_text", "json_schemas",
    "keepers_headings_within", "key_tables", "material_of", "material_text", "part_of", "pasted", "read_balance",
    "read_book", "read_container", "read_filed", "read_obtain", "read_order", "read_period", "read_record_alone",
    "read_size", "read_weighings", "read_workroom_alone", "state_of", "stem_of", "supplies_there", "todays_drops",
    "workroom_text",
]  # fmt: skip
