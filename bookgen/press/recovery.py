"""What an ended run left beside the output folder, put right.

The new folder stands under `.site-next` until it takes its name, the old one under `.site-before` from then until it is
removed.  In each state one folder is whole, and that one ends up under the folder's own name.  Should a disk lose a
list all the same, what stands beside the folder is known by the files that only this tool puts there.  What cannot be
removed is set aside (`.site-left`) and told; it blocks nothing.
"""

from __future__ import annotations

from pathlib import Path

from .disk import Disk
from .made import GITIGNORE, LIST, CannotWrite, bears_our_mark, foreign, read_list


def next_beside(target: Path) -> Path:
    """Where the new folder is written."""
    return target.with_name(f".{target.name}-next")


def before_beside(target: Path) -> Path:
    """Where the old folder stands once it has stepped aside."""
    return target.with_name(f".{target.name}-before")


def put_right(target: Path, disk: Disk) -> tuple[Path, ...]:
    """Put right what an ended run left; return what could not be removed and was set aside.

    Raises CannotWrite and OSError.
    """
    before, aside = before_beside(target), list[Path]()
    if disk.kind(before) is not None:
        there = disk.kind(target) is not None
        if there and read_list(target, disk) is not None:
            aside += discard(before, target, disk)
        elif _whole(before, disk):
            # Ended between the two renames. Should a bare folder have been made meanwhile, it gives way.
            if there:
                aside += discard(target, target, disk, keep=True)
            disk.rename(before, target)
        else:
            if not there and _whole(next_beside(target), disk):
                disk.rename(next_beside(target), target)
            aside += discard(before, target, disk)
    if disk.kind(next_beside(target)) is not None:
        aside += discard(next_beside(target), target, disk)
    return tuple(aside)


def _whole(folder: Path, disk: Disk) -> bool:
    """Whether the folder has its list and all that is named there."""
    try:
        made = read_list(folder, disk)
    except PermissionError:
        _open_up(folder, disk)
        made = read_list(folder, disk)
    if made is None:
        return False
    return all(disk.kind(folder / path) == "file" for part in made.values() for path in part.paths)


def discard(folder: Path, target: Path, disk: Disk, *, keep: bool = False) -> list[Path]:
    """Remove a folder of ours beside the target; where that cannot be, set it aside and return where it is now.

    With `keep` what may be the keeper's is set aside too; else CannotWrite is raised for it.
    """
    try:
        try:
            remove(folder, disk, beside=not keep)
        except OSError:
            _open_up(folder, disk)
            remove(folder, disk, beside=not keep)
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


def remove(folder: Path, disk: Disk, *, beside: bool = True) -> None:
    """Delete a folder of ours by its list, the list last. Raises CannotWrite where something else is in it.

    `beside` says that it stands beside the output folder under a name of ours, where it may have lost its list.
    """
    made = read_list(folder, disk)
    unlisted = beside and made is None and bears_our_mark(folder, disk)
    if disk.kind(folder) != "folder" or (not unlisted and foreign(folder, made or {}, disk)):
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
