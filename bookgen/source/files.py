"""The disk: which files belong to a book, and their content.  The only place of reading that touches it."""

from __future__ import annotations

import os
from pathlib import Path

from ..findings import Finding
from ..model import Book
from .book import WORKROOM, book_from
from .desk import Desk
from .filed import LARGEST_RECORD, RECORD
from .front import LARGEST
from .memory import Memory, signature_of

LARGEST_PICTURE = 10 * 1024 * 1024
"""Bytes of the largest image that is taken into the book."""


def read_book(root: Path, memory: Memory | None = None) -> Book:
    """Return the book in that folder; whatever is wrong with it stands among its findings.

    With a `memory` of an earlier reading, only files that changed since are read.

    Hidden files, files that are not Markdown and folders that are links are passed over; a link that leads to a file
    outside of the book is reported and not followed.
    """
    memory = memory or Memory()
    findings: list[Finding] = []
    files: dict[str, bytes] = {}
    top = root / "formulas"
    if not top.is_dir():
        desk = Desk("formulas")
        desk.report("no-book", "There is no folder `formulas` here: a book holds its formulas in it.")
        return Book(findings=desk.concerning())
    home = root.resolve()
    folders = ["formulas"]
    while folders:
        folder = folders.pop()
        try:
            entries = sorted(os.scandir(root / folder), key=lambda entry: entry.name)
        except OSError as error:
            desk = Desk(_shown(folder))
            desk.report("unreadable-file", f"The folder cannot be opened: {error.strerror}.")
            findings.extend(desk.concerning())
            continue
        for entry in entries:
            if entry.name.startswith("."):
                continue
            path = f"{folder}/{entry.name}"
            if entry.is_dir(follow_symlinks=False):
                folders.append(path)
                continue
            _take(entry, path, home, files, findings, memory)
    return book_from(files, lambda path: _picture(root, home, path, memory), findings, memory)


def read_workroom_alone(root: Path) -> Book:
    """Return a book that holds the workroom file of that folder and nothing else, for answers that need no formula."""
    return _alone(root, "workroom.yaml", "workroom.yml")


def read_record_alone(root: Path) -> Book:
    """Return a book that holds the record of what is in the binder and nothing else."""
    return _alone(root, "filed.yaml")


def _alone(root: Path, *names: str) -> Book:
    """Return a book of those files in `formulas/` themselves."""
    findings: list[Finding] = []
    files: dict[str, bytes] = {}
    try:
        entries = {entry.name: entry for entry in os.scandir(root / "formulas")}
    except OSError as error:
        desk = Desk("formulas")
        desk.report("unreadable-file", f"The folder cannot be opened: {error.strerror}.")
        return Book(findings=desk.concerning())
    for name in names:
        if name in entries:
            _take(entries[name], f"formulas/{name}", root.resolve(), files, findings, Memory())
    return book_from(files, findings=findings)


def _take(
    entry: os.DirEntry[str],
    path: str,
    home: Path,
    files: dict[str, bytes],
    findings: list[Finding],
    memory: Memory,
) -> None:
    """Read one file if it is one of the book's; report why not."""
    desk = Desk(_shown(path))
    largest = LARGEST_RECORD if path == RECORD else LARGEST
    if path not in (WORKROOM, RECORD) and not path.endswith(".md"):
        if path == "formulas/workroom.yml" or path.lower().endswith((".markdown", ".md")):
            wanted = "workroom.yaml" if path.endswith(".yml") else "a name that ends in .md"
            desk.query("wrong-file-name", f"The file is not read: give it {wanted}.")
            findings.extend(desk.concerning())
        return
    if entry.is_symlink() and not _inside(Path(entry.path), home):
        desk.report("link-out-of-book", "The file is a link that leads out of the book: put the file itself here.")
    elif desk.path != path:
        desk.report("bad-name", "The file name holds signs that are not UTF-8: rename the file.")
    else:
        try:
            if not entry.is_file():
                return
            files[path] = memory.content(path, signature_of(entry.stat()), lambda: _read(entry.path, largest))
            if len(files[path]) > largest:
                size = os.stat(entry.path).st_size
                message = f"The file has {size // 1024} kB; more than {largest // 1024} kB are not read."
                del files[path]
                desk.report("file-too-large", message)
        except OSError as error:
            desk.report("unreadable-file", f"The file cannot be opened: {error.strerror}.")
    findings.extend(desk.concerning())


def _read(path: str, largest: int) -> bytes:
    """Return a file's content, one byte beyond what is read at most."""
    with open(path, "rb") as file:
        return file.read(largest + 1)


def _shown(path: str) -> str:
    """Return the path with signs that are not UTF-8 replaced, so that it can be printed."""
    return path.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def _inside(path: Path, home: Path) -> bool:
    """Return whether the file lies below the book's folder once every link is followed."""
    try:
        return path.resolve(strict=True).is_relative_to(home)
    except (OSError, RuntimeError):
        return False


def _picture(root: Path, home: Path, path: str, memory: Memory) -> bytes | str:
    """Return an image's content, or why it cannot be had."""
    file = root / path
    try:
        if any(part.startswith(".") for part in Path(path).parts) or not file.is_file():
            return "there is no such file"
        if not _inside(file, home):
            return "it is a link that leads out of the book"
        found = file.stat()
        if found.st_size > LARGEST_PICTURE:
            return f"it is larger than {LARGEST_PICTURE // 1024 // 1024} MB"
        return memory.content(path, signature_of(found), file.read_bytes)
    except (OSError, ValueError):
        return "it cannot be opened"
