"""What is called by another name: every file that names it changes, as one, or none does.

Enters: the folder and the words typed.  Leaves: `Renamed`, or `CannotRename` and `CannotAdd` with a sentence.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from .findings import Finding, Severity
from .model import BatchRecord, Book, Formula, Material
from .pipeline import must_be_book
from .source import read_book
from .source.book import book_from, is_earlier
from .source.renaming import CannotRename, renamed
from .source.writing import FileChange, write_changes
from .wording.saying import says


@dataclass(frozen=True, slots=True, kw_only=True)
class Renamed:
    """What was renamed."""

    written: tuple[str, ...]
    """Paths of the files that changed, relative to the book's folder."""
    gone: str
    """The path that a material's file had; empty for a formula."""


def rename(root: Path, name: str, new: str) -> Renamed:
    """Give a formula another code, or a material another name.  Raises CannotRename, and CannotAdd."""
    must_be_book(root)
    book = read_book(root)
    records: list[Formula | Material | BatchRecord] = [*book.formulas.values(), *book.materials.values()]
    records += book.batches.values()
    paths = {record.path for record in records}
    found = {finding.place.path for finding in book.findings}
    paths |= {path for path in found if path.endswith(".md") and not is_earlier(path)}
    contents = {path: (root / path).read_bytes() for path in sorted(paths) if (root / path).is_file()}
    changes = renamed(book, contents, name, new)
    _must_read_as_before(book, contents, changes)
    write_changes(root, changes)
    gone = next((change.path for change in changes if change.after is None), "")
    return Renamed(written=tuple(change.path for change in changes if change.after is not None), gone=gone)


def _must_read_as_before(book: Book, contents: dict[str, bytes], changes: tuple[FileChange, ...]) -> None:
    """Read the files as they would be, and refuse where more would be wrong with them than is now."""
    files = dict(contents)
    for change in changes:
        files.pop(change.path, None)
        if change.after is not None:
            files[change.path] = change.after

    def picture(path: str) -> bytes:
        return book.files.get(path, b"")

    before, after = (_wrong(book_from(read, picture).findings) for read in (contents, files))
    if len(after) > len(before):
        raise CannotRename(says("rename-would-break", path=after[-1]))


def _wrong(findings: tuple[Finding, ...]) -> list[str]:
    return [found.place.path for found in findings if found.severity is not Severity.NOTE]
