"""Files made by several processes are those that one makes, whatever becomes of the processes."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from multiprocessing import get_context

import pytest

from bookgen.cores import FEW, MOST_AHEAD, made_ahead
from bookgen.look import ThemeFault

PATHS = [f"formulas/{number}.html" for number in range(FEW + 20)]


class Made(Mapping[str, bytes]):
    """Files that a function makes."""

    def __init__(self, make: Callable[[str], bytes]) -> None:
        self.make = make

    def __getitem__(self, path: str) -> bytes:
        return self.make(path)

    def __iter__(self) -> Iterator[str]:
        return iter(PATHS)

    def __len__(self) -> int:
        return len(PATHS)


def by_process(path: str) -> bytes:
    return f"{path} {os.getpid()}".encode()


@pytest.mark.parametrize("workers", [1, 2, 3])
def test_each_file_stands_at_its_path(workers):
    with made_ahead(Made(str.encode), PATHS, workers) as files:
        assert dict(files.items()) == {path: path.encode() for path in PATHS}
        assert len(files) == len(PATHS)
        assert PATHS[0] in files


def test_other_processes_make_them():
    with made_ahead(Made(by_process), PATHS, 2) as files:
        makers = {files[path].split()[1] for path in PATHS}
    assert str(os.getpid()).encode() not in makers


@pytest.mark.parametrize(("workers", "paths"), [(1, PATHS), (2, PATHS[:FEW])])
def test_few_files_and_one_core_need_no_other_process(workers, paths):
    with made_ahead(Made(by_process), paths, workers) as files:
        assert {files[path].split()[1] for path in paths} == {str(os.getpid()).encode()}


def test_a_fault_of_the_theme_is_told_when_its_page_is_asked_for():
    def faulty(path: str) -> bytes:
        if path == PATHS[3]:
            raise ThemeFault("pages/formula.html", 7, "a fault")
        return path.encode()

    with made_ahead(Made(faulty), PATHS, 2) as files:
        assert files[PATHS[2]] == PATHS[2].encode()
        with pytest.raises(ThemeFault, match=r"^pages/formula.html, line 7: a fault\.$"):
            _ = files[PATHS[3]]


def test_what_a_killed_process_leaves_is_made_by_this_one():
    here = os.getpid()

    def ending(path: str) -> bytes:
        if path == PATHS[5] and os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)
        return path.encode()

    with made_ahead(Made(ending), PATHS, 2) as files:
        assert [files[path] for path in PATHS] == [path.encode() for path in PATHS]


def test_no_more_is_made_than_is_soon_asked_for():
    made = get_context("fork").Value("i", 0)

    def counting(path: str) -> bytes:
        with made.get_lock():
            made.value += 1
        return path.encode()

    many = [f"{number}.html" for number in range(MOST_AHEAD + 50)]
    with made_ahead(Made(counting), many, 2) as files:
        assert files[many[0]] == many[0].encode()
        until = time.monotonic() + 10
        while made.value <= MOST_AHEAD and time.monotonic() < until:
            time.sleep(0.01)
        time.sleep(0.05)
        assert made.value == MOST_AHEAD + 1
        assert [files[path] for path in many[1:]] == [path.encode() for path in many[1:]]
    assert made.value == len(many)


BEING_KILLED = """
import os, time
from tests.test_cores import PATHS, Made
from bookgen.cores import made_ahead
def slow(path):
    os.write(1, b"%d\\n" % os.getpid())
    time.sleep(60)
with made_ahead(Made(slow), PATHS, 2) as files:
    files[PATHS[0]]
"""


def test_the_processes_end_with_the_one_they_work_for():
    with subprocess.Popen([sys.executable, "-c", BEING_KILLED], stdout=subprocess.PIPE, text=True) as first:
        assert first.stdout
        others = [int(first.stdout.readline()) for _ in range(2)]
        first.kill()
    until = time.monotonic() + 10
    while any(os.path.exists(f"/proc/{other}") for other in others):
        assert time.monotonic() < until, "a process is left that works for nobody"
        time.sleep(0.02)
