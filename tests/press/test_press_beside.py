"""Files that two processes make are those that one makes, also where the other fails or is ended."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Mapping

import pytest

from bookgen.press import beside
from bookgen.press.beside import by_two

NAMES = [f"{number:03}" for number in range(beside.FEW + 3)]


class Made(Mapping[str, bytes]):
    """Files that say which process made them, and are too long for a pipe to hold."""

    def __init__(self, before: Callable[[str], None] = lambda path: None) -> None:
        self.before = before

    def __getitem__(self, path: str) -> bytes:
        self.before(path)
        return b"%s %d %s" % (path.encode(), os.getpid(), b"." * 100_000)

    def __iter__(self) -> Iterator[str]:
        return iter(NAMES)

    def __len__(self) -> int:
        return len(NAMES)


@pytest.fixture(autouse=True)
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(beside, "cores", lambda: 2)
    monkeypatch.setattr("threading.active_count", lambda: 1)  # the browser's, in a run of all tests


def makers(files: Mapping[str, bytes], order: list[str]) -> list[int]:
    """Return which process made each file."""
    found = []
    for path in order:
        name, maker, rest = files[path].split(b" ", 2)
        assert (name.decode(), len(rest)) == (path, 100_000)
        found.append(int(maker))
    return found


def test_two_processes_make_the_files_between_them() -> None:
    with by_two(Made()) as files:
        assert list(files) == NAMES
        found = makers(files, NAMES)
    assert set(found[::2]) == {os.getpid()}
    assert len(set(found[1::2]) | {os.getpid()}) == 2
    assert os.getpid() not in found[1::2]
    with pytest.raises(ChildProcessError):  # the copy is gone
        os.waitpid(found[1], os.WNOHANG)


def test_one_core_and_few_files_need_no_copy(monkeypatch: pytest.MonkeyPatch) -> None:
    few = dict.fromkeys(NAMES[:beside.FEW - 1], b"")
    with by_two(few) as files:
        assert files is few
    monkeypatch.setattr(beside, "cores", lambda: 1)
    with by_two(Made()) as files:
        assert makers(files, NAMES) == [os.getpid()] * len(NAMES)


def test_files_asked_for_out_of_turn_are_made_here() -> None:
    with by_two(Made()) as files:
        assert set(makers(files, NAMES[::-1])) >= {os.getpid()}


def test_a_copy_that_is_ended_leaves_its_files_to_this_process() -> None:
    here = os.getpid()

    def die(path: str) -> None:
        if path == NAMES[7] and os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)

    with by_two(Made(die)) as files:
        found = makers(files, NAMES)
    assert here not in found[1:7:2]
    assert set(found[7:]) == {here}


def test_a_fault_of_the_copy_is_told_here() -> None:
    def fail(path: str) -> None:
        if path == NAMES[7]:
            raise ValueError(path)

    with pytest.raises(ValueError, match=NAMES[7]), by_two(Made(fail)) as files:
        makers(files, NAMES)
