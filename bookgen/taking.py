"""Files that another book handed on are taken in: new ones only, after what they are was shown; all of them or none.

Enters: the book's folder, and a folder as `hand-on --folder` writes it.  Leaves: `TakingPlan`, which is written as one
change, or `CannotBring` and `InTheWay` with sentences.  Whatever else it holds, such as batch records, stays there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from .findings import Finding, Severity
from .model import Book, DecimalSign, Formula, Material
from .pipeline import Checked, check_book, check_with, must_be_book, read_otherwise
from .source import for_others, read_book
from .source.book import WORKROOM, is_earlier
from .source.edition import bases_of, formula_for_others
from .source.foreign import CannotBring
from .source.sharing import CannotShare, shared
from .source.writing import FileChange, write_changes
from .wording.saying import Saying, says

MOST_FILES = 500
"""Files of the largest folder that is taken in at once."""

Record = Formula | Material


class InTheWay(Exception):
    """What is handed on stands in the way of what is there; nothing was written."""

    def __init__(self, told: tuple[Saying, ...]) -> None:
        super().__init__("\n".join(map(str, told)))
        self.told = told
        """What clashes, with both places."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakingPlan:
    """What a folder becomes."""

    files: Mapping[str, bytes]
    """Path in the book → content of the new file."""
    there: tuple[str, ...]
    """Paths of those that the book has already, with the same content."""
    findings: tuple[Finding, ...]
    """Errors that the new files would have here."""
    turned: DecimalSign | None
    """The decimal sign that their figures are written with now; None where it was the same."""


def plan_taking(root: Path, folder: Path) -> TakingPlan:
    """Return what the files of a folder become; nothing is written.  Raises NoBook, CannotBring and InTheWay."""
    must_be_book(root)
    if folder.resolve() == root.resolve():
        raise CannotBring(says("folder-is-book", folder=str(folder)))
    checked, theirs = check_book(root, filed=False), _read(folder)
    ours = checked.book
    if ours.unread:
        raise CannotBring(says("unread-first", path=ours.unread[0]))
    content = _content(folder, theirs, ours.workroom.decimal)
    clashes = [*_clashes(root, ours, theirs, content)]
    if clashes:
        raise InTheWay((*clashes, says("clashes")))
    files = {path: told for path, told in content.items() if not _is_there(root, ours, theirs, path)}
    merged = check_with(root, files)
    _must_mean_the_same(checked, theirs, merged, files)
    wrong = tuple(found for found in merged.review.findings if found.severity is Severity.ERROR)
    return TakingPlan(
        files=files,
        there=tuple(path for path in content if path not in files),
        findings=tuple(found for found in wrong if found.place.path in files),
        turned=None if theirs.workroom.decimal is ours.workroom.decimal else ours.workroom.decimal,
    )


def take_in(root: Path, planned: TakingPlan) -> None:
    """Write the files of a plan as one change.  Raises CannotAdd, and ChangedMeanwhile."""
    write_changes(root, [FileChange(path, None, content) for path, content in planned.files.items()])


def _read(folder: Path) -> Book:
    """Return the book that a folder holds.  Raises CannotBring where not all of it is in order."""
    if not (folder / "formulas").is_dir():
        raise CannotBring(says("folder-no-book", folder=str(folder)))
    book = read_book(folder)
    for found in book.findings:
        if found.severity is Severity.ERROR or found.place.path in book.unread:
            raise CannotBring(says("folder-unsound", folder=str(folder), place=str(found.place), why=found.says))
    count = len(book.formulas) + len(book.materials) + len(book.files)
    if not count:
        raise CannotBring(says("folder-empty", folder=str(folder)))
    if count > MOST_FILES:
        raise CannotBring(says("folder-too-large", folder=str(folder), count=count, most=MOST_FILES))
    _, kept = bases_of(book, book.formulas)
    return replace(for_others(book), earlier={key: formula_for_others(formula) for key, formula in kept.items()})


def _records(book: Book) -> Iterator[tuple[str, Record]]:
    """Yield formulas and materials by key, then earlier issues by `code@issue`."""
    yield from book.formulas.items()
    yield from book.materials.items()
    yield from book.earlier.items()


def _at(book: Book, key: str) -> Record | None:
    return book.earlier.get(key) or book.at(key)


def _is_comma(book: Book) -> bool:
    return book.workroom.decimal is DecimalSign.COMMA


def _content(folder: Path, theirs: Book, sign: DecimalSign) -> dict[str, bytes]:
    """Return path → what the book is to hold: each file as others may have it, and the pictures that are shown.

    Figures are written with the book's own `sign`.  Raises CannotBring where a file would then be read otherwise.
    """
    records = [record for _, record in _records(theirs)]
    paths, comma = {record.path for record in records}, sign is DecimalSign.COMMA
    found = {record.path: _shared(folder, record, paths, comma=_is_comma(theirs), into=comma) for record in records}
    if comma is not _is_comma(theirs):
        own = {WORKROOM: f"decimal: {sign}\n".encode()}
        if other := read_otherwise(records, own | found, theirs.files):
            raise CannotBring(says("folder-decimal", folder=str(folder), path=other, sign=sign.value))
    shown = {path for _, record in _records(theirs) for path in record.body.images.values()}
    return found | {path: content for path, content in theirs.files.items() if path in shown}


def _shared(root: Path, record: Record, keep: set[str], *, comma: bool, into: bool | None = None) -> bytes:
    try:
        return shared(record.path, (root / record.path).read_bytes(), keep, comma=comma, into=into)
    except CannotShare as reason:
        raise CannotBring(reason.says) from reason


def _clashes(root: Path, ours: Book, theirs: Book, content: Mapping[str, bytes]) -> Iterator[Saying]:
    """Yield what has the name, or the place, of something else here."""
    paths = {record.path for _, record in _records(theirs)}
    taken = {record.path.casefold(): record.path for _, record in _records(ours)}
    for key, record in _records(theirs):
        name = record.code if isinstance(record, Formula) else record.key
        here = _at(ours, key)
        if here is not None:
            if _shared(root, here, paths, comma=_is_comma(ours)) != content[record.path]:
                yield says("clash", name=name, here=here.path, there=record.path)
            continue
        other = ours.find(name)
        if other is not None and not (is_earlier(record.path) and theirs.find(name) is not None):
            yield says("clash-name", name=name, here=other.path, there=record.path)
        elif record.path.casefold() in taken or (root / record.path).exists():
            yield says("clash-path", path=taken.get(record.path.casefold(), record.path))
    for path in content:
        if path not in paths and (root / path).exists() and (root / path).read_bytes() != content[path]:
            yield says("clash-path", path=path)


def _is_there(root: Path, ours: Book, theirs: Book, path: str) -> bool:
    """Tell whether the book has what is at a path of the folder; that it is the same was seen to."""
    key = next((key for key, record in _records(theirs) if record.path == path), None)
    return _at(ours, key) is not None if key is not None else (root / path).exists()


def _must_mean_the_same(before: Checked, theirs: Book, merged: Checked, files: Mapping[str, bytes]) -> None:
    """Raise InTheWay where a line would mean something else than where it comes from, or than it did."""
    told: dict[Saying, None] = {}
    for book, others in ((theirs, merged.book), (before.book, merged.book)):
        for formula in book.formulas.values():
            for line in formula.lines:
                meant = book.key_of(line.material)
                if book.at(meant) is not None and others.key_of(line.material) != meant:
                    told[says("clash-meaning", name=line.material, path=formula.path)] = None
    was = {(found.place.path, found.rule, str(found.says)) for found in before.review.findings}
    for found in merged.review.findings:
        same = (found.place.path, found.rule, str(found.says)) in was
        if found.severity is Severity.ERROR and not same and found.place.path not in files:
            told[says("clash-breaks", path=found.place.path or WORKROOM, why=found.says)] = None
    if told:
        raise InTheWay((*told, says("clashes")))
