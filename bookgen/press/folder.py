"""The output folder, replaced as a whole or not at all.

A new folder is written beside the old one (`.site-next`), then the old one steps aside (`.site-before`), the new one
takes its name, and the old one is removed. A run that is ended at any point leaves the earlier folder whole or the
new one whole; in the instant between the two renames it stands under `.site-before`, and `recover` puts it back at
the next start.

The folder holds a list of what was made (`.made-by-bookgen`). Nothing else is ever deleted: a folder that holds other
things is refused, and so is a link to a folder. The list is on the disk itself before anything it names, and is deleted
last; should a disk lose it all the same, what stands beside the folder is known by the files that only this tool puts
there. What cannot be removed is set aside (`.site-left`) and told; it blocks nothing.
"""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from time import monotonic, sleep

from .disk import Disk

LIST = ".made-by-bookgen"
"""The list of what was made, in the folder itself."""

GITIGNORE = ".gitignore"
GITIGNORE_BYTES = b"*\n!.gitignore\n"
"""What the tool writes as `site/.gitignore`, byte for byte the committed one."""

_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What file managers leave in any folder they show: no reason to refuse it, and it goes with the folder."""

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


class CannotWrite(Exception):
    """The output folder was left as it was; `path` is where it failed, `reason` a sentence."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.path = path
        self.reason = reason


class NewStands(KeyboardInterrupt):
    """Interrupted when the new folder had taken its place already."""

    def __init__(self) -> None:
        super().__init__("what was made is in its place")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """One part as the list has it."""

    digest: str
    """Its digest."""
    paths: tuple[str, ...]
    """Its files, sorted."""


def write_folder(
    target: Path,
    parts: Mapping[str, Part],
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
        aside = list(_recover(target, disk))
        earlier = _examine(target, disk)
        kept: list[str] = []
        dropped: list[str] = []
        for name, made in earlier.items():
            if name not in parts:
                wanted = (keep or {}).get(name, "")
                still = name in (keep or {}) and wanted in (None, made.digest)
                (kept if still else dropped).append(name)
        listed = {name: _Made(digest=part.digest, paths=tuple(sorted(part.files))) for name, part in parts.items()}
        listed |= {name: earlier[name] for name in kept}
        paths = [path for made in listed.values() for path in made.paths]
        if len(set(paths)) != len(paths):
            raise ValueError("two parts hold the same file")
        try:
            _stage(target, listed, parts, kept, disk)
            _examine(target, disk)  # what was put there meanwhile is not ours to remove
        except BaseException:
            with suppress(OSError, CannotWrite):
                _remove(_next(target), disk)
            raise
        _swap(target, disk)
        try:
            with suppress(OSError, CannotWrite):
                # The new folder stands; what is left of the old one the next start removes.
                aside += _discard(_before(target), target, disk) if disk.kind(_before(target)) else []
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
        aside = _recover(target, disk)
        _examine(target, disk)
    return aside


def recover(target: Path, *, disk: Disk | None = None) -> tuple[Path, ...]:
    """Put right what an ended run left behind; return what could not be removed and was set aside.

    Raises CannotWrite.
    """
    with _one_at_a_time(target), _in_sentences(target):
        return _recover(target, disk or Disk())


def _next(target: Path) -> Path:
    return target.with_name(f".{target.name}-next")


def _before(target: Path) -> Path:
    return target.with_name(f".{target.name}-before")


def _check_path(path: str) -> None:
    """Raise ValueError unless the path stays within the folder and is none of the tool's own."""
    parts = path.split("/")
    if any(part in ("", ".", "..") for part in parts) or "\\" in path or "\0" in path or path in (LIST, GITIGNORE):
        raise ValueError(f"not a path within the output folder: {path!r}")


def _recover(target: Path, disk: Disk) -> tuple[Path, ...]:
    """See `recover`. In each state one folder is whole, and that one ends up under the target's name."""
    before, aside = _before(target), list[Path]()
    if disk.kind(before) is not None:
        there = disk.kind(target) is not None
        if there and _read_list(target, disk) is not None:
            aside += _discard(before, target, disk)
        elif _whole(before, disk):
            # Ended between the two renames. Should a bare folder have been made meanwhile, it gives way.
            if there:
                aside += _discard(target, target, disk, keep=True)
            disk.rename(before, target)
        else:
            if not there and _whole(_next(target), disk):
                disk.rename(_next(target), target)
            aside += _discard(before, target, disk)
    if disk.kind(_next(target)) is not None:
        aside += _discard(_next(target), target, disk)
    return tuple(aside)


def _whole(folder: Path, disk: Disk) -> bool:
    """Whether the folder has its list and all that is named there."""
    try:
        made = _read_list(folder, disk)
    except PermissionError:
        _open_up(folder, disk)
        made = _read_list(folder, disk)
    if made is None:
        return False
    return all(disk.kind(folder / path) == "file" for part in made.values() for path in part.paths)


def _read_list(folder: Path, disk: Disk) -> dict[str, _Made] | None:
    """The folder's list; None where there is none that can be read."""
    if disk.kind(folder / LIST) != "file":
        return None
    try:
        said = json.loads(disk.read(folder / LIST))
        return {
            name: _Made(digest=str(part["digest"]), paths=tuple(map(str, part["made"]))) for name, part in said.items()
        }
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def _list_bytes(parts: Mapping[str, _Made]) -> bytes:
    said = {name: {"digest": part.digest, "made": list(part.paths)} for name, part in sorted(parts.items())}
    return (json.dumps(said, indent=1) + "\n").encode()


def _examine(target: Path, disk: Disk) -> dict[str, _Made]:
    """The parts the folder holds, nothing where it does not exist. Raises CannotWrite where it holds other things."""
    kind = disk.kind(target)
    if kind is None:
        return {}
    if kind == "link":
        raise CannotWrite(target, "it is a link; give the folder itself.")
    if kind != "folder":
        raise CannotWrite(target, "it is not a folder.")
    made = _read_list(target, disk)
    if made is None and disk.kind(target / LIST) is not None:
        raise CannotWrite(target, f"its list {LIST} cannot be read; look at what is in it, then delete the folder.")
    foreign = _foreign(target, made or {}, disk)
    if foreign:
        raise CannotWrite(
            target,
            f"it holds {foreign}, which bookgen did not make and will not delete; move that, or name another folder.",
        )
    return made or {}


def _foreign(folder: Path, made: Mapping[str, _Made], disk: Disk) -> str:
    """The first thing in the folder that is not ours, empty where all is."""
    files = {path for part in made.values() for path in part.paths} | {LIST}
    folders = {parent.as_posix() for path in files for parent in PurePosixPath(path).parents}
    waiting = [""]
    while waiting:
        within = waiting.pop()
        for name, kind in disk.listing(folder / within):
            path = f"{within}/{name}" if within else name
            if kind == "folder" and path in folders:
                waiting.append(path)
            elif path == GITIGNORE and kind == "file":
                body = disk.read(folder / path)
                if body != GITIGNORE_BYTES and not (_ended_early(body) and (made or not body)):
                    return f"a {GITIGNORE} of its own"
            elif kind != "file" or (path not in files and name not in _LITTER):
                return path
    return ""


def _ended_early(body: bytes) -> bool:
    """Whether this may be our own .gitignore, of which not all came to the disk."""
    return GITIGNORE_BYTES.startswith(body)


def _stage(target: Path, listed: Mapping[str, _Made], parts: Mapping[str, Part], kept: list[str], disk: Disk) -> None:
    """Write the new folder beside the old one. Its list comes first, so that whatever follows is known as ours."""
    stage = _next(target)
    disk.make_folder(stage)
    disk.write(stage / LIST, _list_bytes(listed))
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
            disk.rename(target, _before(target))
        disk.rename(_next(target), target)
    except BaseException as reason:
        stands = _put_back(target, disk, reason) if had else disk.kind(target) is not None
        with suppress(OSError, CannotWrite):
            _remove(_next(target), disk)
        if stands and isinstance(reason, KeyboardInterrupt):
            raise NewStands from reason
        raise


def _put_back(target: Path, disk: Disk, reason: BaseException) -> bool:
    """Rename the old folder back, whichever of the two renames was the last to take effect.

    Returns whether the new one has its place already.
    """
    try:
        disk.rename(_before(target), target)
    except FileNotFoundError:
        return False  # it had not stepped aside yet
    except OSError as failed:
        if failed.errno in (errno.ENOTEMPTY, errno.EEXIST):
            return True
        aside = _before(target).name
        raise CannotWrite(
            target,
            f"it could not be replaced. Should it be missing, it stands beside its place as {aside} and is put back "
            "at the next start.",
        ) from reason
    return False


def _discard(folder: Path, target: Path, disk: Disk, *, keep: bool = False) -> list[Path]:
    """Remove a folder of ours beside the target; where that cannot be, set it aside and return where it is now.

    With `keep` what may be the keeper's is set aside too; else CannotWrite is raised for it.
    """
    try:
        try:
            _remove(folder, disk, beside=not keep)
        except OSError:
            _open_up(folder, disk)
            _remove(folder, disk, beside=not keep)
        return []
    except OSError:
        pass
    except CannotWrite:
        if not keep:
            raise
    number, left = 1, target.with_name(f".{target.name}-left")
    while disk.kind(left) is not None:
        number += 1
        left = target.with_name(f".{target.name}-left-{number}")
    disk.rename(folder, left)
    return [left]


def _open_up(folder: Path, disk: Disk) -> None:
    """Take back the rights to a folder of ours and to those in it: whoever made it may give and take them."""
    waiting = [folder]
    while waiting:
        within = waiting.pop()
        disk.open_up(within)
        waiting += [within / name for name, kind in disk.listing(within) if kind == "folder"]


def _remove(folder: Path, disk: Disk, *, beside: bool = True) -> None:
    """Delete a folder of ours by its list, the list last. Raises CannotWrite where something else is in it.

    `beside` says that it stands beside the output folder under a name of ours, where it may have lost its list.
    """
    made = _read_list(folder, disk)
    unlisted = beside and made is None and _bears_our_mark(folder, disk)
    if disk.kind(folder) != "folder" or (not unlisted and _foreign(folder, made or {}, disk)):
        raise CannotWrite(folder, "it is in the way and holds things bookgen did not make; move it.")
    waiting, folders = [folder], []
    while waiting:
        within = waiting.pop()
        folders.append(within)
        for name, kind in disk.listing(within):
            if kind == "folder":
                waiting.append(within / name)
            elif within / name not in (folder / LIST, folder / GITIGNORE):
                disk.delete(within / name)
    for emptied in reversed(folders[1:]):
        disk.remove_folder(emptied)
    disk.sync_folder(folder)
    for mark in (GITIGNORE, LIST):
        if disk.kind(folder / mark) is not None:
            disk.delete(folder / mark)
    disk.remove_folder(folder)


def _bears_our_mark(folder: Path, disk: Disk) -> bool:
    """Whether a folder beside the output folder was made here: what is left of its list or of our .gitignore is there.

    Nobody else puts these into a folder of such a name.
    """
    names = dict(disk.listing(folder)) if disk.kind(folder) == "folder" else {}
    if names.get(LIST) == "file":
        return True
    return names.get(GITIGNORE) == "file" and _ended_early(disk.read(folder / GITIGNORE))


@contextmanager
def _in_sentences(target: Path) -> Iterator[None]:
    """Turn the system's errors into CannotWrite."""
    try:
        yield
    except OSError as reason:
        why = _REASONS.get(reason.errno or 0, reason.strerror or str(reason))
        raise CannotWrite(target, f"{why}; what was there stays as it was.") from reason


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
