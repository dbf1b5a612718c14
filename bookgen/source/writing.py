"""The only hand that writes in `formulas/`: the record of what is in the binder, new files, a new book.

All of it is whole or not at all, and nothing is ever written over but the record, a formula whose issue is kept
first, and what a change of several files names.  Beside `formulas/` it keeps the
lists of what was printed until they are on record.

The new record is written beside the old one and takes its name when all of it is on the disk.  A run that is ended at
any point leaves the old one as it was; what it may leave beside it is hidden, is read by nobody, and is written over
by the next.  Nothing else in the folder is touched.
"""

from __future__ import annotations

import errno
import json
import os
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from shutil import rmtree
from typing import NamedTuple

from ..wording.saying import Saying, says, told
from .filed import RECORD

PRINTED = ".printed"
"""The folder of the book that holds the lists of printed changes which are not on record."""

_NEXT = ".filed.yaml-next"
_STAGED = ".new-"
"""How the names of files begin that have not got their own yet."""
_REASONS = {
    errno.ENOSPC: says("disk-full"),
    errno.EDQUOT: says("quota-used-up"),
    errno.EACCES: says("no-permission"),
    errno.EPERM: says("no-permission"),
    errno.EROFS: says("read-only"),
}


class _NotWritten(Exception):
    """Something could not be written; the text is a sentence for the keeper."""

    def __init__(self, told: Saying) -> None:
        super().__init__(str(told))
        self.says = told


class CannotRecord(_NotWritten):
    """The record was left as it was."""


class ChangedMeanwhile(CannotRecord):
    """The record is no longer the one that was read."""


class CannotAdd(_NotWritten):
    """Nothing was written."""


class AlreadyThere(CannotAdd):
    """Something of that name stands there, and is left as it is."""


def write_record(root: Path, content: bytes, earlier: bytes | None) -> None:
    """Put the record in its place, where the one that was read (None: there was none) still stands.

    Raises CannotRecord, and ChangedMeanwhile where another run was faster.
    """
    target = root / RECORD
    fresh = target.with_name(_NEXT)
    try:
        with _one_at_a_time(target.parent):
            if record_bytes(root) != earlier:
                raise ChangedMeanwhile(says("changed-meanwhile", path=RECORD))
            _replace(target, fresh, content)
    except OSError as reason:
        raise CannotRecord(says("record-not-written", path=str(target), why=why_of(reason))) from reason


def why_of(reason: OSError) -> Saying:
    """Return what the disk refuses, in our own words where it is one of the usual reasons."""
    return _REASONS.get(reason.errno or 0) or told(reason.strerror or str(reason))


def record_bytes(root: Path) -> bytes | None:
    """Return the record as it stands on the disk; None where there is none.  Raises OSError."""
    try:
        return (root / RECORD).read_bytes()
    except FileNotFoundError:
        return None


def write_new(root: Path, files: Mapping[str, str | bytes]) -> None:
    """Write new files into a book: all of them or none, and none over another.

    `files` maps a path relative to the book's folder to its text, or to its bytes.  Raises AlreadyThere, and CannotAdd.
    """
    staged: list[tuple[Path, Path]] = []
    made: list[Path] = []
    folders: list[Path] = []
    try:
        for path, text in files.items():
            target = root / path
            if os.path.lexists(target):
                raise AlreadyThere(says("already-there", path=str(target)))
            folders += _made_folders(target.parent)
            staged.append((_staged(target.parent, text), target))
        for fresh, target in staged:
            _name(fresh, target)
            made.append(target)
        for folder in {target.parent for target in made}:
            _settle(folder)
    except BaseException as reason:
        _undo(made, folders, [fresh for fresh, _ in staged])
        if isinstance(reason, OSError):
            raise CannotAdd(_why_not(reason, root)) from reason
        raise
    _undo((), (), [fresh for fresh, _ in staged])


def write_issue(root: Path, path: str, before: bytes, after: bytes, kept: str) -> None:
    """Keep a formula's file as `kept`, byte for byte, then let `after` stand in its place.

    The earlier issue is on the disk before the present file changes.  A run that is ended between the two leaves the
    present issue as it was and its copy beside it, and the same command goes on from there.  Raises AlreadyThere where
    another text is kept there, and CannotAdd.
    """
    target = (root / path).resolve()
    fresh = target.with_name(f".{target.name}-next")
    fresh_copy = False
    try:
        with _one_at_a_time(root / "formulas"):
            if target.read_bytes() != before:
                raise CannotAdd(says("issue-changed-meanwhile", path=path))
            if not os.path.lexists(root / kept):
                fresh_copy = True
                write_new(root, {kept: before})
            elif (root / kept).read_bytes() != before:
                raise AlreadyThere(says("issue-kept-other", path=kept))
            _replace(target, fresh, after, mode=target.stat().st_mode)
    except BaseException as reason:
        with suppress(OSError):
            if fresh_copy and target.read_bytes() == before:
                _undo([root / kept], [(root / kept).parent], ())
        if isinstance(reason, OSError):
            raise CannotAdd(says("issue-not-written", path=path, why=why_of(reason))) from reason
        raise


@contextmanager
def only_writer(root: Path, folder: str) -> Iterator[frozenset[str]]:
    """Be the only one that adds to a folder of the book, and yield the names of its files in lower case.

    What a run that was ended left half done in it is taken away first.
    """
    place = root / folder
    with _one_at_a_time(root / "formulas") as alone:
        with suppress(OSError):
            for path in place.glob(f"{_STAGED}*") if alone else ():
                path.unlink()
        names: list[str] = []
        with suppress(FileNotFoundError):
            names = os.listdir(place)
        yield frozenset(name.casefold() for name in names)


def must_hold_no_book(root: Path) -> None:
    """Raise AlreadyThere where something stands in the place of a new book; an empty folder does not."""
    target = root / "formulas"
    if os.path.lexists(target) and not (target.is_dir() and not os.listdir(target)):
        raise AlreadyThere(says("book-there", path=str(root.resolve())))


def write_book(root: Path, files: Mapping[str, str | bytes]) -> None:
    """Write a new book into a folder, which is made where there is none: the whole book or nothing.

    `files` maps a path below `formulas/` to its text, or to its bytes.  It is written beside its place and gets its
    name last of all.
    Raises AlreadyThere where the folder holds a book, and CannotAdd.
    """
    target = root / "formulas"
    folders: list[Path] = []
    staged: Path | None = None
    try:
        must_hold_no_book(root)
        folders = _made_folders(root)
        staged = Path(tempfile.mkdtemp(prefix=".formulas-next-", dir=root))
        for path, text in files.items():
            place = staged / Path(path).relative_to("formulas")
            place.parent.mkdir(parents=True, exist_ok=True)
            _put(place, text.encode() if isinstance(text, str) else text)
            _settle(place.parent)
        staged.chmod(0o777 & ~_umask())
        _settle(staged)
        os.rename(staged, target)
        _settle(root)
    except BaseException as reason:
        if staged is not None:
            rmtree(staged, ignore_errors=True)
        _undo((), folders, ())
        if isinstance(reason, OSError):
            raise CannotAdd(_why_not(reason, target)) from reason
        raise


def _why_not(reason: OSError, place: Path) -> Saying:
    """Return that nothing was written.  A full disk names no file, and the folder one stands in has no name here."""
    path = reason.filename or (place if place.name else place.resolve())
    return says("not-written", path=str(path), why=why_of(reason))


def _made_folders(folder: Path) -> list[Path]:
    """Make a folder and those above it; return the ones that were not there, the outermost first."""
    missing = [parent for parent in (folder, *folder.parents) if not os.path.lexists(parent)]
    folder.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def _staged(folder: Path, text: str | bytes) -> Path:
    """Return a hidden file in that folder with the text in it, on the disk."""
    handle, name = tempfile.mkstemp(prefix=_STAGED, dir=folder)
    os.close(handle)
    fresh = Path(name)
    try:
        fresh.chmod(0o666 & ~_umask())
        _put(fresh, text.encode() if isinstance(text, str) else text)
    except BaseException:
        with suppress(OSError):
            fresh.unlink()
        raise
    return fresh


def _put(path: Path, content: bytes) -> None:
    with open(path, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _name(fresh: Path, target: Path) -> None:
    """Give a staged file its name, unless something is called so by now."""
    try:
        os.link(fresh, target)
    except FileExistsError as reason:
        raise AlreadyThere(says("already-there", path=str(target))) from reason
    except OSError:  # a file system without links
        if os.path.lexists(target):
            raise AlreadyThere(says("already-there", path=str(target))) from None
        os.rename(fresh, target)


def _undo(made: Iterable[Path], folders: Sequence[Path], staged: Iterable[Path]) -> None:
    """Take away what was written, and the folders that were made for it where nothing else is in them."""
    for path in (*made, *staged):
        with suppress(OSError):
            path.unlink()
    for folder in reversed(folders):
        with suppress(OSError):
            folder.rmdir()


def _umask() -> int:
    """Return which rights new files do not get here."""
    held = os.umask(0)
    os.umask(held)
    return held


def keep_printed(root: Path, name: str, content: bytes) -> None:
    """Keep a list of what was printed under a name, such as the check code that stands on the paper.

    Where another list has the name already both are kept.  Raises CannotRecord.
    """
    folder = root / PRINTED
    try:
        folder.mkdir(exist_ok=True)
        with _one_at_a_time(folder):
            (folder / ".gitignore").write_bytes(b"*\n")
            number, target = 1, folder / f"{name}.yaml"
            while target.exists() and target.read_bytes() not in (content, b""):
                number += 1
                target = folder / f"{name}-{number}.yaml"
            _replace(target, folder / ".next", content)
    except OSError as reason:
        raise CannotRecord(says("printed-not-kept", path=str(folder), why=why_of(reason))) from reason


def forget_printed(root: Path) -> None:
    """Let go of the lists of what was printed: they start from a record that is no more.

    One that stays because the disk refuses does no harm: it says which record it starts from.
    """
    folder = root / PRINTED
    with suppress(OSError):
        for path in (*folder.glob("*.yaml"), folder / ".next", folder / ".gitignore"):
            path.unlink(missing_ok=True)
        folder.rmdir()


def _replace(target: Path, fresh: Path, content: bytes, mode: int | None = None) -> None:
    """Write a file beside its place and let it take its name, with the rights `mode` where given.  Raises OSError."""
    try:
        _put(fresh, content)
        if mode is not None:
            fresh.chmod(mode & 0o7777)
        os.replace(fresh, target)
    except BaseException:
        with suppress(OSError):
            fresh.unlink()
        raise
    _settle(target.parent)


def _settle(folder: Path) -> None:
    """See to it that the new name is on the disk too, where the system can."""
    with suppress(OSError):
        held = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(held)
        finally:
            os.close(held)


@contextmanager
def _one_at_a_time(folder: Path) -> Iterator[bool]:
    """Hold the folder for this process, and yield whether that could be; the system lets go when the process ends,
    however it ends."""
    try:
        import fcntl

        held = os.open(folder, os.O_RDONLY)
    except (ImportError, OSError):
        yield False  # no such locks here, or no such folder: writing will say so
        return
    try:
        alone = False
        with suppress(OSError):  # a file system without locks
            fcntl.flock(held, fcntl.LOCK_EX)
            alone = True
        yield alone
    finally:
        os.close(held)


# ── Several files changed as one ──────────────────────────────────────────────────────────────────────────────────

_CHANGE, _CHANGE_NEXT, _LIST = ".change", ".change-next", "list.json"


class FileChange(NamedTuple):
    """What becomes of one file: its path in the book, what it held, and what it is to hold (None: it goes)."""

    path: str
    before: bytes | None
    after: bytes | None


def write_changes(root: Path, changes: Sequence[FileChange]) -> None:
    """Change several files of a book as one: all of them or none.

    All new contents are laid down in a hidden folder, which gets its name as the last step; from then on the change
    holds, and a run that is ended in the middle is brought to its end by `finish_change`.  Raises ChangedMeanwhile
    where a file is no longer what was read, and CannotAdd; in both nothing was written.
    """
    top = root / "formulas"
    staged = top / _CHANGE_NEXT
    with _one_at_a_time(top):
        _apply(root)
        for change in changes:
            if _content(root / change.path) != change.before:
                raise ChangedMeanwhile(says("changed-meanwhile", path=change.path))
        try:
            rmtree(staged, ignore_errors=True)
            staged.mkdir()
            entries = []
            for number, change in enumerate(changes):
                entries.append([change.path, _digest(change.before), change.after is not None])
                if change.after is not None:
                    _put(staged / str(number), change.after)
            _put(staged / _LIST, json.dumps(entries).encode())
            _settle(staged)
            os.rename(staged, top / _CHANGE)
            _settle(top)
        except OSError as reason:
            rmtree(staged, ignore_errors=True)
            raise CannotAdd(_why_not(reason, top)) from reason
        _apply(root)


def finish_change(root: Path) -> None:
    """Bring a change to its end in which a run was ended.  Raises OSError."""
    top = root / "formulas"
    if os.path.lexists(top / _CHANGE):
        with _one_at_a_time(top):
            _apply(root)


def _apply(root: Path) -> None:
    """Give every file of a change that holds its new content; what a hand has changed since is left as it is."""
    folder = root / "formulas" / _CHANGE
    if not folder.is_dir():
        return
    entries = json.loads((folder / _LIST).read_bytes())
    for number, (path, before, stays) in enumerate(entries):
        target = Path(os.path.realpath(root / path))
        standing = _content(target)
        if _digest(standing) != before:
            continue  # changed already, or by hand
        if stays:
            mode = target.stat().st_mode & 0o777 if standing is not None else 0o666 & ~_umask()
            _made_folders(target.parent)
            target.parent.mkdir(parents=True, exist_ok=True)
            fresh = target.with_name(f"{_STAGED}change")
            _put(fresh, (folder / str(number)).read_bytes())
            fresh.chmod(mode)
            os.replace(fresh, target)
        else:
            target.unlink()
        _settle(target.parent)
    gone = folder.with_name(_CHANGE_NEXT)
    rmtree(gone, ignore_errors=True)
    os.rename(folder, gone)
    rmtree(gone, ignore_errors=True)


def _content(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None


def _digest(content: bytes | None) -> str:
    return "" if content is None else sha256(content).hexdigest()
