"""What a leaf may load: `data:` addresses and the press's own cuts of type.

Pictures travel in their leaf as data, so that no PDF depends on where the book stands; nothing is read from disk.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from importlib import import_module
from typing import Any

LONGEST = 300
"""Signs of what WeasyPrint says that are passed on: it quotes whole pictures."""
_PICTURE = re.compile(r"Failed to load image at '?data:")


class FetchRefused(Exception):
    """An address the press does not load; the text says why."""


def fetcher(cuts: Sequence[bytes]) -> Any:
    """What WeasyPrint loads a leaf's addresses with; its `fetch` raises FetchRefused."""
    urls = import_module("weasyprint.urls")

    class Fetcher(urls.URLFetcher):  # type: ignore[misc, name-defined]  # it is imported when it is first needed
        def fetch(self, url: str, headers: object = None) -> Any:
            scheme, _, rest = url.partition(":")
            if scheme == "data":
                return super().fetch(url, headers)
            if scheme == "cut":
                return urls.URLFetcherResponse(url, cuts[int(rest)])
            if scheme == "file":
                raise FetchRefused("no file is read for a sheet; a picture travels in it as data")
            raise FetchRefused("nothing remote is fetched; keep the file in the book")

    return Fetcher()


def plain(said: str) -> str:
    """WeasyPrint's sentence as the keeper knows the matter, without the names of exceptions."""
    said = re.sub(r"\b(URLFetchingError|Refused): ", "", said)
    if _PICTURE.match(said):
        return "A picture cannot be read and is left out; look at it in another program, and save it anew."
    said = said if len(said) <= LONGEST else f"{said[:LONGEST]}…"
    return re.sub(
        r"^\.notdef glyph rendered for Unicode string unsupported by fonts: (.*)$",
        r"No type here has a letter for \1; an empty box is printed.",
        said,
    )
