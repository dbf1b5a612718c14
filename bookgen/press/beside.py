"""Files made on two cores: every other one by a copy of this process, which hands it over through a pipe.

Enters: files that are made when they are asked for.  Leaves: the same files, byte for byte.  Where the copy ends early,
or a file is asked for out of turn, this process makes the file itself: so a fault is told as if there were no copy.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import BinaryIO, NoReturn

FEW = 40
"""So many files are made sooner than a process is copied that holds a book."""
_LENGTH = 8
"""Bytes of the number that goes before each file."""


def cores() -> int:
    """Return the cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def by_two(files: Mapping[str, bytes]) -> Iterator[Mapping[str, bytes]]:
    """Give files that are quickest asked for in the order of their names; they are made by two processes where it pays.

    A process is copied on Linux alone, as the libraries of other systems may not bear it, and where it has one thread.
    """
    if cores() < 2 or len(files) < FEW or sys.platform != "linux" or threading.active_count() > 1:
        yield files
        return
    others = sorted(files)[1::2]
    out, into = os.pipe()
    copy = os.fork()
    if not copy:
        _hand_over(files, others, out, into)
    os.close(into)
    try:
        with open(out, "rb") as pipe:
            yield _Halves(files, others, pipe)
    finally:
        os.kill(copy, signal.SIGKILL)
        os.waitpid(copy, 0)


def _hand_over(files: Mapping[str, bytes], others: Sequence[str], out: int, into: int) -> NoReturn:
    """Make files in the copy, and end it, whatever happens, without what the process does at its end."""
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the process that was started
        os.close(out)
        with open(into, "wb") as pipe:
            for path in others:
                content = files[path]
                pipe.write(len(content).to_bytes(_LENGTH, "big") + content)
    finally:
        os._exit(0)


class _Halves(Mapping[str, bytes]):
    """Files of which some come through the pipe, in their order."""

    def __init__(self, files: Mapping[str, bytes], others: Sequence[str], pipe: BinaryIO) -> None:
        self._files = files
        self._waiting = list(reversed(others))
        self._pipe = pipe

    def __getitem__(self, path: str) -> bytes:
        if not self._waiting or path != self._waiting[-1]:
            return self._files[path]
        self._waiting.pop()
        length = self._pipe.read(_LENGTH)
        content = self._pipe.read(int.from_bytes(length, "big")) if len(length) == _LENGTH else b""
        if not length or len(content) < int.from_bytes(length, "big"):
            self._waiting.clear()
            return self._files[path]
        return content

    def __contains__(self, path: object) -> bool:
        return path in self._files

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)
