"""What of a folder bookgen made: its list in the folder itself, and what is there besides.

Nothing that is not named in the list is ever deleted: a folder that holds other things is refused.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from .disk import Disk

LIST = ".made-by-bookgen"
"""The list of what was made, in the folder itself."""

GITIGNORE = ".gitignore"
GITIGNORE_BYTES = b"*\n!.gitignore\n"
"""What the tool writes as `site/.gitignore`, byte for byte the committed one."""

_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What file managers leave in any folder they show: no reason to refuse it, and it goes with the folder."""


class CannotWrite(Exception):
    """The output folder was left as it was; `path` is where it failed, `reason` a sentence."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.path = path
        self.reason = reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """One part as the list has it."""

    digest: str
    """Its digest."""
    paths: tuple[str, ...]
    """Its files, sorted."""


def read_list(folder: Path, disk: Disk) -> dict[str, Made] | None:
    """The folder's list; None where there is none that can be read."""
    if disk.kind(folder / LIST) != "file":
        return None
    try:
        said = json.loads(disk.read(folder / LIST))
        return {
            name: Made(digest=str(part["digest"]), paths=tuple(map(str, part["made"]))) for name, part in said.items()
        }
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def list_bytes(parts: Mapping[str, Made]) -> bytes:
    said = {name: {"digest": part.digest, "made": list(part.paths)} for name, part in sorted(parts.items())}
    return (json.dumps(said, indent=1) + "\n").encode()


def examine(target: Path, disk: Disk) -> dict[str, Made]:
    """The parts the folder holds, nothing where it does not exist. Raises CannotWrite where it holds other things."""
    kind = disk.kind(target)
    if kind is None:
        return {}
    if kind == "link":
        raise CannotWrite(target, "it is a link; give the folder itself.")
    if kind != "folder":
        raise CannotWrite(target, "it is not a folder.")
    made = read_list(target, disk)
    if made is None and disk.kind(target / LIST) is not None:
        raise CannotWrite(target, f"its list {LIST} cannot be read; look at what is in it, then delete the folder.")
    other = foreign(target, made or {}, disk)
    if other:
        raise CannotWrite(
            target,
            f"it holds {other}, which bookgen did not make and will not delete; move that, or name another folder.",
        )
    return made or {}


def foreign(folder: Path, made: Mapping[str, Made], disk: Disk) -> str:
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


def bears_our_mark(folder: Path, disk: Disk) -> bool:
    """Whether a folder beside the output folder was made here: what is left of its list or of our .gitignore is there.

    Nobody else puts these into a folder of such a name.
    """
    names = dict(disk.listing(folder)) if disk.kind(folder) == "folder" else {}
    if names.get(LIST) == "file":
        return True
    return names.get(GITIGNORE) == "file" and _ended_early(disk.read(folder / GITIGNORE))
