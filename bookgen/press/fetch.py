"""What a leaf may load: `data:` addresses, the press's own cuts of type, and files inside the folders it is given.

A file's address is written `file:///2/pictures/leaf.png`, folder number and path within it, so that no PDF depends on
where the book stands (WeasyPrint names a picture in the PDF after its address).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from functools import cache as remember
from importlib import import_module
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote, urlsplit


class Refused(Exception):
    """An address the press does not load; the text says why."""


def address(base: Path | None, folders: Sequence[Path]) -> str | None:
    """The address of a folder, from which relative ones start; None where it is in none of the folders."""
    if base is None:
        return None
    real = base.resolve()
    for number, folder in enumerate(folders):
        if real.is_relative_to(folder.resolve()):
            within = real.relative_to(folder.resolve()).as_posix()
            return f"file:///{number}/" + ("" if within == "." else quote(within) + "/")
    return None


@remember
def _response_class() -> Any:
    """WeasyPrint's response without a path: it would read the picture again from an address only the press
    understands."""
    return type("Shown", (import_module("weasyprint.urls").URLFetcherResponse,), {"path": None})


class Fetcher:
    """Loads one leaf's addresses for WeasyPrint and notes every file it showed."""

    _fail_on_errors = False  # WeasyPrint asks: a picture that cannot be had is a problem, not the end

    def __init__(self, *, folders: Sequence[Path], cuts: Sequence[bytes]) -> None:
        self._folders = tuple(folder.resolve() for folder in folders)
        self._cuts = cuts
        self.files: dict[str, str] = {}

    def __call__(self, url: str) -> Any:
        """WeasyPrint's response for the address. Raises Refused, or OSError for a file that cannot be read."""
        urls = import_module("weasyprint.urls")
        scheme, _, rest = url.partition(":")
        if scheme == "data":
            return urls.URLFetcher(allowed_protocols=("data",)).fetch(url)
        if scheme == "cut":
            return urls.URLFetcherResponse(url, self._cuts[int(rest)])
        if scheme != "file":
            raise Refused("nothing remote is fetched; keep the file in the book")
        label, path = self._place(url)
        try:
            body = path.read_bytes()
        except OSError as reason:
            self.files[label] = ""
            raise Refused(f"{reason.strerror or reason}") from reason
        self.files[label] = hashlib.sha256(body).hexdigest()
        return _response_class()(url, body, {"Content-Type": "text/css"} if path.suffix == ".css" else None)

    def _place(self, url: str) -> tuple[str, Path]:
        """Label and real path of a file address: `folder number/path`, or a path of the machine within a folder."""
        parts = urlsplit(url)
        written = unquote(parts.path)
        numbered = re.fullmatch(r"/(\d+)/(.*)", written)
        if numbered and int(numbered[1]) < len(self._folders):
            path = self._folders[int(numbered[1])] / numbered[2]
        else:
            path = Path(written)
        real = path.resolve()
        for number, folder in enumerate(self._folders):
            if real.is_relative_to(folder) and not parts.netloc:
                return f"{number}/{real.relative_to(folder).as_posix()}", real
        raise Refused("it lies outside the folders of the book")

    def plain(self, said: str) -> str:
        """WeasyPrint's sentence with addresses as the keeper knows them."""
        said = re.sub(r"file:///\d+/", "", said)
        return re.sub(r"\b(URLFetchingError|Refused): ", "", said)
