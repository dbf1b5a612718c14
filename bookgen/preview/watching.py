"""Notices that files of a book changed, by looking at their times and sizes.

Looking needs no library, works on every file system, and cannot lose an event: whatever an editor does to save (writes
in place, writes beside and renames, deletes and comes back), what stands there afterwards has another signature.
A look over everything takes some 3 ms for a thousand files, so between two of them only folders, whose times tell of
files that came, went or were renamed, and files that are being worked on are looked at.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from errno import ENOENT
from pathlib import Path
from time import monotonic, sleep, time

from ..source.memory import Signature, signature_of

FOLDERS = ("formulas", "themes")
"""Folders of a book that its pages are made from."""
ENDINGS = (".md", ".markdown", ".yaml", ".yml", ".png", ".jpg", ".jpeg", ".gif", ".webp")
"""Endings, in lower case, of the files in `formulas/` that may matter; all that editors leave there has others."""
QUIET_S = 0.01
"""Seconds without a change after which a file counts as written to its end, as some editors write in several steps.

Waiting costs next to nothing: in a book of a thousand formulas so much has passed once a change is found.
"""
PATIENCE_S = 0.3
"""Seconds that are waited for it at most."""
SHARE = 20
"""Looking over everything takes at most one part in so many of the time."""
SHORTEST_S = 0.1
"""Seconds between two looks over everything, at least."""


class Watch:
    """What the files of one book looked like last."""

    def __init__(self, root: Path) -> None:
        self._root = str(root)
        self._known: dict[str, Signature] = {}
        self._folders: dict[str, int] = {}
        self._next = 0.0

    def changed(self) -> set[str]:
        """Look over everything; return the files, and folders that cannot be opened, that are another by now."""
        start = monotonic()
        folders: dict[str, int] = {}
        now = dict(self._files(folders))
        differing = {path for path, its in now.items() if self._known.get(path) != its}
        differing |= self._known.keys() - now.keys()
        self._known, self._folders = now, folders
        end = monotonic()
        self._next = end + max(SHORTEST_S, SHARE * (end - start))
        return {path.removeprefix(self._root).lstrip(os.sep) for path in differing}

    def settled(self, changed: set[str]) -> set[str]:
        """Wait until nothing stirs any more where something changed; return all that changed, the latest included.

        What passed between the write and its being noticed counts as waited.
        """
        end = monotonic() + PATIENCE_S
        while monotonic() < end:
            sleep(max((self._unquiet_s(path) for path in changed), default=QUIET_S))
            if not self._stirs(changed):
                break
            changed = changed | self.changed()
        return changed

    def _unquiet_s(self, path: str) -> float:
        """Return the seconds after which a file counts as written to its end; one that is gone may come back."""
        modified, put_there, _, _ = self._known.get(f"{self._root}/{path}", ABSENT)
        if not put_there:
            return QUIET_S
        return min(max(max(modified, put_there) / 1e9 + QUIET_S - time(), 0.0), QUIET_S)

    def stirred(self, hot: Iterable[str]) -> bool:
        """Tell whether to look over everything: a folder or one of these files changed, or the last is long ago."""
        return monotonic() >= self._next or self._stirs(hot)

    def _stirs(self, hot: Iterable[str]) -> bool:
        if any(_changed_at(folder) != at for folder, at in self._folders.items()):
            return True
        paths = (f"{self._root}/{path}" for path in hot)
        return any(_signature(path) != self._known.get(path, ABSENT) for path in paths)

    def _files(self, folders: dict[str, int]) -> Iterator[tuple[str, Signature]]:
        waiting = [(f"{self._root}/{top}", top == "formulas") for top in FOLDERS]
        for folder, chosen in waiting:  # grows while it is walked
            folders[folder] = _changed_at(folder)
            try:
                entries = list(os.scandir(folder))
            except OSError as reason:
                yield folder, _refused(reason)
                continue
            for entry in entries:
                name = entry.name
                if name.startswith(".") or name.endswith("~"):
                    continue
                try:
                    if chosen and name.lower().endswith(ENDINGS) and not entry.is_dir(follow_symlinks=False):
                        yield entry.path, signature_of(entry.stat())
                    elif entry.is_dir(follow_symlinks=False):
                        waiting.append((entry.path, chosen))
                    elif not chosen:
                        yield entry.path, signature_of(entry.stat())
                except OSError as reason:
                    yield entry.path, _refused(reason)


def _changed_at(folder: str) -> int:
    try:
        return os.stat(folder).st_mtime_ns
    except OSError:
        return 0


def _signature(path: str) -> Signature:
    try:
        return signature_of(os.stat(path))
    except OSError as reason:
        return _refused(reason)


def _refused(reason: OSError) -> Signature:
    """Return what stands for the signature of a file that cannot be looked at."""
    return reason.errno or 0, 0, 0, 0


ABSENT = (ENOENT, 0, 0, 0)
"""What stands for the signature of a file that is not there."""
