"""The disk: which files belong to a book, and their content.  The only place of reading that touches it."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from ..findings import Finding
from ..model import Book
from ..wording.saying import Saying, says, told
from .book import WORKROOM, book_from
from .desk import Desk
from .filed import LARGEST_RECORD, RECORD
from .front import LARGEST, file_too_large
from .memory import Memory, signature_of

LARGEST_PICTURE = 10 * 1024 * 1024
"""Bytes of the largest image that is taken into the book."""


def read_book(root: Path, memory: Memory | None = None, also: Mapping[str, bytes] | None = None) -> Book:
    """Return the book in that folder; whatever is wrong with it stands among its findings.

    `also` are files that would be in it, path → content: the book is returned as if they were.

    With a `memory` of an earlier reading, only files that changed since are read.

    Hidden files and files that are not Markdown are passed over.  What belongs to the book and cannot be read is
    reported and stands among what was left `unread`: so is a link that leads out of the book, and a folder that is one.
    """
    memory = memory or Memory(lasting=False)
    findings: list[Finding] = []
    files: dict[str, bytes] = {}
    top = root / "formulas"
    if not top.is_dir():
        desk = Desk("formulas")
        desk.report("no-book", says("no-book"))
        return Book(findings=desk.concerning(), unread=("formulas",))
    home = root.resolve()
    folders = ["formulas"]
    while folders:
        folder = folders.pop()
        try:
            entries = sorted(os.scandir(root / folder), key=lambda entry: entry.name)
        except OSError as error:
            desk = Desk(_shown(folder))
            desk.report("unreadable-file", says("folder-closed", why=told(error.strerror or "")))
            findings.extend(desk.concerning())
            continue
        for entry in entries:
            if entry.name.startswith("."):
                continue
            path = f"{folder}/{entry.name}"
            if entry.is_dir(follow_symlinks=False):
                folders.append(path)
                continue
            _take(path, entry.path, entry.is_symlink(), home, files, findings, memory)
    files.update((path, content) for path, content in (also or {}).items() if path.endswith((".md", ".yaml")))
    given = also or {}
    handed = files if memory.lasting else _HandedOver(files)
    return book_from(handed, lambda path: given.get(path) or _picture(root, home, path, memory), findings, memory)


class _HandedOver(Mapping[str, bytes]):
    """Files by path, each content handed over once and let go, so that a book read once does not hold its files."""

    def __init__(self, files: dict[str, bytes]) -> None:
        self._paths = dict.fromkeys(files)
        self._left = files

    def __getitem__(self, path: str) -> bytes:
        return self._left.pop(path)

    def __contains__(self, path: object) -> bool:
        return path in self._paths  # a mapping's own answer would hand it over

    def __iter__(self) -> Iterator[str]:
        return iter(self._paths)

    def __len__(self) -> int:
        return len(self._paths)


def read_workroom_alone(root: Path) -> Book:
    """Return a book that holds the workroom file of that folder and nothing else, for answers that need no formula."""
    return _alone(root, WORKROOM)


def read_record_alone(root: Path) -> Book:
    """Return a book that holds the record of what is in the binder and nothing else."""
    return _alone(root, RECORD)


def _alone(root: Path, path: str) -> Book:
    """Return a book of that one file in `formulas/` itself, which need not be listable for it."""
    findings: list[Finding] = []
    files: dict[str, bytes] = {}
    found = [path] if os.path.lexists(root / path) else []
    with suppress(OSError):  # a folder that cannot be listed may hold it under another name: nobody can know
        found = found or [
            f"formulas/{name}"
            for name in sorted(os.listdir(root / "formulas"))
            if _called_otherwise(f"formulas/{name}") == path
        ]
    for there in found:
        _take(there, str(root / there), os.path.islink(root / there), root.resolve(), files, findings, Memory())
    return book_from(files, findings=findings)


def _called_otherwise(path: str) -> str:
    """Return what a file of the book would have to be called to be read; empty where it is none, or is called so."""
    folder, _, name = path.rpartition("/")
    stem, _, ending = name.rpartition(".")
    wanted = ""
    if ending.lower() in ("md", "markdown"):
        wanted = f"{folder}/{stem}.md"
    elif folder == "formulas" and ending.lower() in ("yaml", "yml"):
        wanted = next((name for name in (WORKROOM, RECORD) if name == f"{folder}/{stem.lower()}.yaml"), "")
    return "" if wanted == path else wanted


def _take(
    path: str,
    file: str,
    linked: bool,
    home: Path,
    files: dict[str, bytes],
    findings: list[Finding],
    memory: Memory,
) -> None:
    """Read one file if it is one of the book's; report why not.

    `path` is its path in the book, `file` that on the disk; `linked` tells whether it is a link.
    """
    desk = Desk(_shown(path))
    largest = LARGEST_RECORD if path == RECORD else LARGEST
    try:
        meant = _called_otherwise(path)
        if linked and os.path.isdir(file):
            desk.report("link-out-of-book", says("folder-linked"))
        elif meant:
            name = _shown(meant.rpartition("/")[2])
            desk.report("wrong-file-name", says("wrong-file-name", name=name))
        elif path not in (WORKROOM, RECORD) and not path.endswith(".md"):
            return
        elif desk.path != path:
            desk.report("bad-name", says("file-name-not-utf-8"))
        elif linked and (why := _leads_astray(Path(file), home)):
            desk.report("link-out-of-book", why)
        else:
            found = os.stat(file)
            if not stat.S_ISREG(found.st_mode):
                desk.report("unreadable-file", says("no-ordinary-file"))
            else:
                if memory.lasting:
                    content = memory.content(path, signature_of(found), lambda: _read(file, largest))
                else:
                    content = _read(file, largest)
                if len(content) <= largest:
                    files[path] = content
                else:
                    desk.report("file-too-large", file_too_large(found.st_size, largest))
    except OSError as error:
        desk.report("unreadable-file", says("file-closed", why=told(error.strerror or "")))
    if desk.findings:
        findings.extend(desk.concerning())


def _read(path: str, largest: int) -> bytes:
    """Return a file's content, one byte beyond what is read at most."""
    with open(path, "rb") as file:
        return file.read(largest + 1)


def _shown(path: str) -> str:
    """Return the path with signs that are not UTF-8 replaced, so that it can be printed."""
    return path.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def _leads_astray(link: Path, home: Path) -> Saying | None:
    """Return what is wrong with where a link leads; None where it leads to something in the book's folder.

    Raises OSError where nobody may look.
    """
    try:
        return None if link.resolve(strict=True).is_relative_to(home) else says("link-leads-out")
    except FileNotFoundError:
        return says("link-leads-nowhere")
    except (RuntimeError, OSError) as reason:
        if isinstance(reason, OSError) and reason.errno != errno.ELOOP:
            raise
        return says("link-leads-back")


def _inside(path: Path, home: Path) -> bool:
    """Return whether the file lies below the book's folder once every link is followed."""
    try:
        return not _leads_astray(path, home)
    except OSError:
        return False


def _picture(root: Path, home: Path, path: str, memory: Memory) -> bytes | Saying:
    """Return an image's content, or why it cannot be had."""
    file = root / path
    try:
        if any(part.startswith(".") for part in Path(path).parts) or not file.is_file():
            return says("no-such-file")
        if not _inside(file, home):
            return says("picture-leads-out")
        found = file.stat()
        if found.st_size > LARGEST_PICTURE:
            return says("picture-too-large", most=LARGEST_PICTURE // 1024 // 1024)
        return memory.content(path, signature_of(found), file.read_bytes)
    except (OSError, ValueError):
        return says("picture-closed")
