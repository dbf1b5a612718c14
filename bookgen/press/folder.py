"""The output folder, replaced as a whole or not at all.

A new folder is written beside the old one (`.site-next`), then the old one steps aside (`.site-before`), the new one
takes its name, and the old one is removed. A run that is ended at any point leaves the earlier folder whole or the
new one whole; in the instant between the two renames it stands under `.site-before`, and `recovery` puts it back at
the next start. What is ours to remove is known by a list (`made`), which is on the disk itself before anything it
names, and is deleted last. A link to a folder is refused.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from time import monotonic, sleep

from .disk import Disk
from .made import GITIGNORE, GITIGNORE_BYTES, LIST, CannotWrite, Made, examine, list_bytes
from .recovery import before_beside, discard, next_beside, put_right, remove

PATIENCE = 60.0
"""Seconds to wait for another run."""

_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EACCES: "there is no permission to write there",
    errno.EPERM: "there is no permission to write there",
    errno.EROFS: "the disk is read-only",
    errno.EBUSY: "it is in use, or a disk of its own, and cannot be replaced as a whole",
    errno.ENOENT: "the folder it should stand in does not exist",
}


class NewStands(KeyboardInterrupt):
    """Interrupted when the new folder had taken its place already."""

    def __init__(self) -> None:
        super().__init__("what was made is in its place")


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderPart:
    """What one command makes: the pages, or the binder."""

    digest: str
    """Digest of all it was made from, to tell later whether it is still right."""
    files: Mapping[str, bytes]
    """Contents by path within the folder, with forward slashes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What became of the parts that were there before and were not made anew."""

    kept: tuple[str, ...]
    """Parts that are still right, by name."""
    dropped: tuple[str, ...]
    """Parts taken out, because they were made from something else than the new ones."""
    aside: tuple[Path, ...] = ()
    """Folders of earlier runs that could not be removed and were set aside."""


def write_folder(
    target: Path,
    parts: Mapping[str, FolderPart],
    *,
    keep: Mapping[str, str | None] | None = None,
    disk: Disk | None = None,
) -> Written:
    """Make the folder hold the parts given, and those in `keep` that are there and still right.

    `keep` names other parts with the digest they must have been made from (None: any); every other part is taken out,
    so that an old binder never stands beside newer pages. Raises CannotWrite, and ValueError for a path outside the
    folder.
    """
    disk = disk or Disk()
    for part in parts.values():
        for path in part.files:
            _check_path(path)
    with _one_at_a_time(target), _in_sentences(target):
        aside = list(put_right(target, disk))
        earlier = examine(target, disk)
        kept: list[str] = []
        dropped: list[str] = []
        for name, made in earlier.items():
            if name not in parts:
                wanted = (keep or {}).get(name, "")
                still = name in (keep or {}) and wanted in (None, made.digest)
                (kept if still else dropped).append(name)
        listed = {name: Made(digest=part.digest, paths=tuple(sorted(part.files))) for name, part in parts.items()}
        listed |= {name: earlier[name] for name in kept}
        paths = [path for made in listed.values() for path in made.paths]
        if len(set(paths)) != len(paths):
            raise ValueError("two parts hold the same file")
        try:
            _stage(target, listed, parts, kept, disk)
            examine(target, disk)  # what was put there meanwhile is not ours to remove
        except BaseException:
            with suppress(OSError, CannotWrite):
                remove(next_beside(target), disk)
            raise
        _swap(target, disk)
        try:
            with suppress(OSError, CannotWrite):
                # The new folder stands; what is left of the old one the next start removes.
                aside += discard(before_beside(target), target, disk) if disk.kind(before_beside(target)) else []
                disk.sync_folder(target.parent)
        except KeyboardInterrupt as reason:
            raise NewStands from reason
    return Written(kept=tuple(sorted(kept)), dropped=tuple(sorted(dropped)), aside=tuple(aside))


def check_folder(target: Path, *, disk: Disk | None = None) -> tuple[Path, ...]:
    """Recover, and raise CannotWrite where the folder could not be replaced: worth asking before hours of work.

    Returns what could not be removed and was set aside.
    """
    disk = disk or Disk()
    with _one_at_a_time(target), _in_sentences(target):
        aside = put_right(target, disk)
        examine(target, disk)
    return aside


def recover(target: Path, *, disk: Disk | None = None) -> tuple[Path, ...]:
    """Put right what an ended run left behind; return what could not be removed and was set aside.

    Raises CannotWrite.
    """
    with _one_at_a_time(target), _in_sentences(target):
        return put_right(target, disk or Disk())


def _check_path(path: str) -> None:
    """Raise ValueError unless the path stays within the folder and is none of the tool's own."""
    parts = path.split("/")
    if any(part in ("", ".", "..") for part in parts) or "\\" in path or "\0" in path or path in (LIST, GITIGNORE):
        raise ValueError(f"not a path within the output folder: {path!r}")


def _stage(
    target: Path, listed: Mapping[str, Made], parts: Mapping[str, FolderPart], kept: list[str], disk: Disk
) -> None:
    """Write the new folder beside the old one. Its list comes first, so that whatever follows is known as ours."""
    stage = next_beside(target)
    disk.make_folder(stage)
    disk.write(stage / LIST, list_bytes(listed))
    disk.sync_file(stage / LIST)
    disk.sync_folder(stage)
    disk.write(stage / GITIGNORE, GITIGNORE_BYTES)
    made = {PurePosixPath(".")}
    for name, part in sorted(listed.items()):
        for path in part.paths:
            for parent in reversed(PurePosixPath(path).parents):
                if parent not in made:
                    disk.make_folder(stage / parent)
                    made.add(parent)
            if name in kept:
                _carry(target / path, stage / path, disk)
            else:
                disk.write(stage / path, parts[name].files[path])
    # Once for all files: a sync for each would take longer than writing them.
    disk.sync_all()


def _carry(source: Path, goal: Path, disk: Disk) -> None:
    """Take a file over: a second name for it where the disk can, else a copy."""
    try:
        disk.link(source, goal)
    except OSError:
        disk.write(goal, disk.read(source))


def _swap(target: Path, disk: Disk) -> None:
    """Let the new folder take the old one's name; put the old one back where that fails.

    Raises NewStands where it was interrupted and has the name all the same.
    """
    had = disk.kind(target) is not None
    try:
        if had:
            disk.rename(target, before_beside(target))
        disk.rename(next_beside(target), target)
    except BaseException as reason:
        stands = _put_back(target, disk, reason) if had else disk.kind(target) is not None
        with suppress(OSError, CannotWrite):
            remove(next_beside(target), disk)
        if stands and isinstance(reason, KeyboardInterrupt):
            raise NewStands from reason
        raise


def _put_back(target: Path, disk: Disk, reason: BaseException) -> bool:
    """Rename the old folder back, whichever of the two renames was the last to take effect.

    Returns whether the new one has its place already.
    """
    try:
        disk.rename(before_beside(target), target)
    except FileNotFoundError:
        return False  # it had not stepped aside yet
    except OSError as failed:
        if failed.errno in (errno.ENOTEMPTY, errno.EEXIST):
            return True
        aside = before_beside(target).name
        raise CannotWrite(
            target,
            f"it could not be replaced. Should it be missing, it stands beside its place as {aside} and is put back "
            "at the next start.",
        ) from reason
    return False


@contextmanager
def _in_sentences(target: Path) -> Iterator[None]:
    """Turn the system's errors into CannotWrite."""
    try:
        yield
    except OSError as reason:
        raise CannotWrite(target, f"{why_of(reason)}; what was there stays as it was.") from reason


def why_of(reason: OSError) -> str:
    """Return what the disk refuses, in our own words where it is one of the usual reasons."""
    return _REASONS.get(reason.errno or 0, reason.strerror or str(reason))


@contextmanager
def _one_at_a_time(target: Path) -> Iterator[None]:
    """Hold the folder's parent for this process; the system lets go when the process ends, however it ends.

    Another run may be writing beside it or there: that takes seconds, so it is waited for.
    """
    try:
        import fcntl

        held = os.open(target.parent, os.O_RDONLY)
    except (ImportError, OSError):
        # No such locks here, or no such parent: writing will say so.
        yield
        return
    try:
        until = monotonic() + PATIENCE
        while True:
            try:
                fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError as reason:
                if monotonic() >= until:
                    raise CannotWrite(target, "another bookgen is writing there; wait until it is done.") from reason
                sleep(0.1)
            except OSError:
                break  # a file system without locks
        yield
    finally:
        os.close(held)


__all__ = [
    "GITIGNORE_BYTES",
    "LIST",
    "CannotWrite",
    "FolderPart",
    "NewStands",
    "Written",
    "check_folder",
    "recover",
    "write_folder",
]  # fmt: skip
