"""Work shared among the cores of the machine; knows neither the trade nor the disk."""

from __future__ import annotations

import ctypes
import os
import signal
import sys
import threading
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from itertools import islice
from multiprocessing import get_context

FEW = 60
"""Files up to which starting processes costs more than they save."""
MOST_AHEAD = 200
"""Files that are being made, or are made and wait to be asked for, at most: all of a large book would fill memory."""


def cores() -> int:
    """The cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def ignoring_interrupts() -> Iterator[None]:
    """Put SIGINT off for the length of the block, and for good in the processes that begin within it."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def made_ahead(
    files: Mapping[str, bytes], order: Sequence[str], workers: int | None = None
) -> Iterator[Mapping[str, bytes]]:
    """Yield the same files, each made by another process before it is asked for, where that saves time.

    `files` makes a file when it is asked for it; `order` is the one in which they will be.  The processes are copies of
    this one, so that nothing has to be handed to them; where the system has no such copies, or none that can be
    trusted, with one core (`workers`, all where not stated) and for few files, the files are yielded as they are.  The
    bytes are the same either way.  A file's exception is raised when it is asked for.
    """
    many = workers or cores()
    if many < 2 or len(order) <= FEW or sys.platform != "linux":
        yield files
        return
    pool = ProcessPoolExecutor(many, get_context("fork"), _begin, (files,))
    try:
        with ignoring_interrupts():
            ahead = _Ahead(files, order, pool)  # all processes begin with the first job
        yield ahead
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


class _Ahead(Mapping[str, bytes]):
    """Files by path; what a process that ended by force has not made is made here."""

    def __init__(self, files: Mapping[str, bytes], order: Sequence[str], pool: ProcessPoolExecutor) -> None:
        self._files = files
        self._pool = pool
        self._left = iter(order)
        self._made: dict[str, Future[bytes]] = {}
        self._begin(MOST_AHEAD)

    def _begin(self, count: int) -> None:
        """Let so many more files be made."""
        with suppress(BrokenProcessPool):
            for path in islice(self._left, count):
                self._made[path] = self._pool.submit(_make, path)

    def __getitem__(self, path: str) -> bytes:
        ahead = self._made.pop(path, None)
        if ahead is None:
            return self._files[path]
        try:
            return ahead.result()
        except BrokenProcessPool:
            return self._files[path]
        finally:
            self._begin(1)

    def __contains__(self, path: object) -> bool:
        return path in self._files

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


_held: list[Mapping[str, bytes]] = []
"""In a process that makes files: the files."""


_END_WITH_PARENT = 1
"""PR_SET_PDEATHSIG, from <linux/prctl.h>."""


def _begin(files: Mapping[str, bytes]) -> None:
    """A process's first act.  Each holds the others' ends of the pipes, so none would notice that the first is gone."""
    ctypes.CDLL(None).prctl(_END_WITH_PARENT, signal.SIGKILL)
    _held.append(files)


def _make(path: str) -> bytes:
    """A process's work."""
    return _held[-1][path]
