"""Files into a book: front matter, Markdown, places, and everything that is wrong with how it is written.

`read_book` reads a folder, `read_obtain` the batch asked for.  Nothing here computes, and nothing is written.
"""

from __future__ import annotations

from .book import book_from
from .files import read_book
from .obtain import read_obtain
from .rules import RULES

__all__ = ["RULES", "book_from", "read_book", "read_obtain"]
