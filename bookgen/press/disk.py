"""Every file operation the output folder needs, in one place, so that a test can let any one of them fail."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import Literal

FileKind = Literal["file", "folder", "link", "other"]


class Disk:
    """The disk as it is. Every method but `kind` raises OSError."""

    def kind(self, path: Path) -> FileKind | None:
        """What stands there, links not followed; None where there is nothing."""
        try:
            return _kind(os.lstat(path).st_mode)
        except (FileNotFoundError, NotADirectoryError):
            return None

    def listing(self, folder: Path) -> list[tuple[str, FileKind]]:
        """Names in the folder, sorted, each with its kind."""
        with os.scandir(folder) as entries:
            return sorted((entry.name, _kind(entry.stat(follow_symlinks=False).st_mode)) for entry in entries)

    def read(self, path: Path) -> bytes:
        """The file's bytes."""
        return path.read_bytes()

    def make_folder(self, path: Path) -> None:
        """Make a folder that must not be there yet."""
        os.mkdir(path)

    def write(self, path: Path, body: bytes) -> None:
        """Write a file that must not be there yet."""
        with open(path, "xb", buffering=0) as out:
            rest = memoryview(body)
            while rest:
                rest = rest[out.write(rest) or 0 :]

    def link(self, source: Path, goal: Path) -> None:
        """Give a file a second name."""
        os.link(source, goal, follow_symlinks=False)

    def rename(self, source: Path, goal: Path) -> None:
        """Rename a folder to a name that is free."""
        os.rename(source, goal)

    def delete(self, path: Path) -> None:
        """Delete a file."""
        os.unlink(path)

    def remove_folder(self, path: Path) -> None:
        """Remove an empty folder."""
        os.rmdir(path)

    def open_up(self, folder: Path) -> None:
        """Take back all rights to a folder that is one's own."""
        os.chmod(folder, 0o700)

    def sync_file(self, path: Path) -> None:
        """Wait until a file that was written is on the disk itself."""
        held = os.open(path, os.O_RDWR)
        try:
            os.fsync(held)
        finally:
            os.close(held)

    def sync_all(self) -> None:
        """Wait until what was written is on the disk itself, where the system can say so."""
        if hasattr(os, "sync"):
            os.sync()

    def sync_folder(self, path: Path) -> None:
        """Wait until renames in the folder are on the disk itself."""
        if os.name == "posix":
            held = os.open(path, os.O_RDONLY)
            try:
                os.fsync(held)
            finally:
                os.close(held)


def _kind(mode: int) -> FileKind:
    """The kind of a file by its mode."""
    if stat.S_ISLNK(mode):
        return "link"
    if stat.S_ISDIR(mode):
        return "folder"
    return "file" if stat.S_ISREG(mode) else "other"
