"""The only hand that writes in `formulas/`: the record of what is in the binder, whole or not at all.

The new record is written beside the old one and takes its name when all of it is on the disk.  A run that is ended at
any point leaves the old one as it was; what it may leave beside it is hidden, is read by nobody, and is written over
by the next.  Nothing else in the folder is touched.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .filed import RECORD

_NEXT = ".filed.yaml-next"
_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EACCES: "there is no permission to write there",
    errno.EPERM: "there is no permission to write there",
    errno.EROFS: "the disk is read-only",
}


class CannotRecord(Exception):
    """The record was left as it was; the text is a sentence for the keeper."""


class ChangedMeanwhile(CannotRecord):
    """The record is no longer the one that was read."""


def write_record(root: Path, content: bytes, earlier: bytes | None) -> None:
    """Put the record in its place, where the one that was read (None: there was none) still stands.

    Raises CannotRecord, and ChangedMeanwhile where another run was faster.
    """
    target = root / RECORD
    fresh = target.with_name(_NEXT)
    try:
        with _one_at_a_time(target.parent):
            if record_bytes(root) != earlier:
                raise ChangedMeanwhile(f"{RECORD} was written by another run meanwhile; look at it and run this again.")
            try:
                with open(fresh, "wb") as file:
                    file.write(content)
                    file.flush()
                    os.fsync(file.fileno())
                os.replace(fresh, target)
            except BaseException:
                with suppress(OSError):
                    fresh.unlink()
                raise
            _settle(target.parent)
    except OSError as reason:
        why = _REASONS.get(reason.errno or 0, reason.strerror or str(reason))
        raise CannotRecord(f"Cannot write {target}: {why}; what was on record stays as it was.") from reason


def record_bytes(root: Path) -> bytes | None:
    """Return the record as it stands on the disk; None where there is none.  Raises OSError."""
    try:
        return (root / RECORD).read_bytes()
    except FileNotFoundError:
        return None


def _settle(folder: Path) -> None:
    """See to it that the new name is on the disk too, where the system can."""
    with suppress(OSError):
        held = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(held)
        finally:
            os.close(held)


@contextmanager
def _one_at_a_time(folder: Path) -> Iterator[None]:
    """Hold the folder for this process; the system lets go when the process ends, however it ends."""
    try:
        import fcntl

        held = os.open(folder, os.O_RDONLY)
    except (ImportError, OSError):
        yield  # no such locks here, or no such folder: writing will say so
        return
    try:
        with suppress(OSError):  # a file system without locks
            fcntl.flock(held, fcntl.LOCK_EX)
        yield
    finally:
        os.close(held)
