"""The German book, as plain words."""

from __future__ import annotations

import re
from html import unescape

import pytest

from bookgen.look import load_theme
from bookgen.pages.site import site_files

from ..shared import BOOKS, DAY, checked

_UNSEEN = re.compile(r"<style>.*?</style>|<script\b.*?</script>|<[^>]*>", re.DOTALL)


@pytest.fixture(scope="session")
def german_pages() -> dict[str, str]:
    """Return the pages of the German book by path, as plain words."""
    book = checked("german")
    files = site_files(book.reckoning, book.review, load_theme(BOOKS["german"]), day=DAY)
    pages = [path for path in files if path.startswith(("formulas/", "materials/"))]
    plain = {path: unescape(_UNSEEN.sub(" ", files[path].decode())).replace("\u00ad", "") for path in pages}
    return {path: re.sub(r"\s+", " ", text) for path, text in plain.items()}
