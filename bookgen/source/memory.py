"""What was read last, so that reading again touches only what changed.  The book is the same as without it.

A front matter rests on the file's content and the book's decimal sign.  A body rests on its front matter and on what it
asked about the rest of the book; the questions are noted while it is read, and the answers compared the next time.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from time import time_ns

from ..findings import Finding
from ..model import BatchRecord, Filed, Formula, Material
from ..wording.saying import Saying
from .front import Text
from .trials import Expanded
from .typed import Names

SETTLED_NS = 2_000_000_000
"""Nanoseconds after which a file's times tell one content from the next on any file system."""

Signature = tuple[int, int, int, int]
"""Times of change, size and number of a file: where these are the same and not new, so is the content."""


def signature_of(found: os.stat_result) -> Signature:
    """Return a file's signature."""
    return found.st_mtime_ns, found.st_ctime_ns, found.st_size, found.st_ino


def settled(signature: Signature) -> bool:
    """Tell whether the file was left alone long enough for its signature to stand for its content."""
    return time_ns() - max(signature[0], signature[1]) > SETTLED_NS


class AskedPages(Mapping[str, str]):
    """Path → key of the book's pages, noting what is asked of it."""

    def __init__(self, pages: Mapping[str, str]) -> None:
        self._pages = pages
        self.answers: dict[str, str | None] = {}
        """Path → the answer."""
        self.whole = False
        """True when all paths were looked at, to find one that is like what was written."""

    def __getitem__(self, path: str) -> str:
        self.answers[path] = self._pages.get(path)
        return self._pages[path]

    def __iter__(self) -> Iterator[str]:
        self.whole = True
        return iter(self._pages)

    def __len__(self) -> int:
        self.whole = True
        return len(self._pages)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFront:
    """A front matter that was read."""

    content: bytes
    """The whole file."""
    comma: bool
    """True when it was read with the decimal comma."""
    record: Formula | Material | BatchRecord
    """What it says, without the body."""
    text: Text
    """The file in its parts."""
    findings: tuple[Finding, ...]
    """What was found in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptBody:
    """A body that was read."""

    front: Formula | Material | BatchRecord
    """The record that it stood below."""
    record: Formula | Material | BatchRecord
    """The same with the body."""
    images: Mapping[str, bytes]
    """The images that it uses."""
    findings: tuple[Finding, ...]
    """What was found in it."""
    pages: Mapping[str, str | None]
    """What it asked about files of the book: path → key, None for a file that makes no page."""
    all_pages: Mapping[str, str] | None
    """All files with their keys, where it looked for one that is like what was written."""
    names: Names
    """What it asked about the names of its ingredients."""
    pictures: Mapping[str, bytes | Saying]
    """What it asked about images: path → content, or why it cannot be had."""

    def holds(
        self,
        front: Formula | Material | BatchRecord,
        pages: Mapping[str, str],
        known: Mapping[str, Formula | Material],
        see: Callable[[str], bytes | Saying],
    ) -> bool:
        """Tell whether reading it again would come to the same."""
        return (
            self.front is front
            and (self.all_pages is None or self.all_pages == pages)
            and all(pages.get(path) == key for path, key in self.pages.items())
            and self.names.same_among(known)
            and all(see(path) == answer for path, answer in self.pictures.items())
        )


@dataclass(slots=True, kw_only=True)
class Memory:
    """All that was read last; whoever reads a book again and again keeps one, for that book alone."""

    contents: dict[str, tuple[Signature, bytes]] = field(default_factory=dict)
    """Path → content of files that had settled when they were read."""
    fronts: dict[str, KeptFront] = field(default_factory=dict)
    """Path → front matter."""
    bodies: dict[str, KeptBody] = field(default_factory=dict)
    """Path → body."""
    trials: dict[str, Expanded] = field(default_factory=dict)
    """Path → trial as a whole formula."""
    record: tuple[bytes, Filed, tuple[Finding, ...]] | None = None
    """The record of what is in the binder: its file, what it says, what was found in it."""
    lasting: bool = True
    """False for one reading alone, of which neither files nor what was read of them are kept."""

    def content(self, path: str, signature: Signature, read: Callable[[], bytes]) -> bytes:
        """Return a file's content, read anew unless its signature says that it is the one known."""
        known = self.contents.get(path)
        if known is not None and known[0] == signature:
            return known[1]
        content = read()
        if settled(signature):
            self.contents[path] = (signature, content)
        else:
            self.contents.pop(path, None)
        return content

    def forget_all_but(self, files: Mapping[str, object]) -> None:
        """Let go of files that are no more, and of images that no body asks for."""
        for path in self.fronts.keys() - files.keys():
            del self.fronts[path]
        for path in self.bodies.keys() - files.keys():
            del self.bodies[path]
        images = {path for kept in self.bodies.values() for path in kept.pictures}
        for path in self.contents.keys() - files.keys() - images:
            del self.contents[path]
