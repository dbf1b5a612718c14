"""Runs of the tests in processes of their own: once over all to see what reaches what, then once a mistake.

The checkout is never touched: an import hook gives the process of one run another code for a file.  What is imported
from elsewhere is imported once, before the processes part.
"""

from __future__ import annotations

import ast
import builtins
import contextlib
import functools
import gc
import importlib
import io
import json
import os
import resource
import signal
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from types import CodeType
from typing import Any, TypeVar

import pytest

from .points import Point, blocks

T = TypeVar("T")

SLOW = 3.0
"""Seconds: tests that take longer are left out."""
UNHEARD = ("-W", "ignore::pytest.PytestAssertRewriteWarning")
"""What pytest says of libraries that are there already."""
MEMORY = 3 << 30
"""Bytes that one run may take."""
Reach = dict[str, list[tuple[str, float]]]
"""A block, `file:line`, or the name of a sentence → the tests that reach it, each with its seconds."""


class Instead(SourceFileLoader):
    """Loads a file with another code."""

    code: CodeType

    def get_code(self, fullname: str) -> CodeType:
        return self.code


class Finder:
    """Finds the modules whose code is another."""

    def __init__(self, codes: Mapping[str, CodeType]) -> None:
        self.codes = codes

    def find_spec(self, name: str, path: object, target: object = None) -> ModuleSpec | None:
        file = name.replace(".", "/")
        for where in (f"{file}.py", f"{file}/__init__.py"):
            if where in self.codes:
                loader = Instead(name, str(Path(where).absolute()))
                loader.code = self.codes[where]
                return spec_from_file_location(name, Path(where).absolute(), loader=loader)
        return None


def load(codes: Mapping[str, CodeType]) -> None:
    """Import these files with another code, before pytest can read one of them itself for its examples."""
    sys.meta_path.insert(0, Finder(codes))
    for file in codes:
        importlib.import_module(file.removesuffix(".py").removesuffix("/__init__").replace("/", "."))


def prepare(tests: Sequence[str]) -> None:
    """Import what the tests use, then forget what belongs to the checkout: each run imports it anew."""
    import hypothesis

    everything = [one for one in hypothesis.Phase if one.name in ("explicit", "generate")]
    hypothesis.settings.register_profile("mutation", derandomize=True, database=None, phases=everything)
    hypothesis.settings.load_profile("mutation")
    before = set(sys.modules)
    _pytest(["--collect-only", *tests], [])
    here = str(Path.cwd())
    for name in set(sys.modules) - before:
        if str(getattr(sys.modules[name], "__file__", None) or "").startswith(here):
            del sys.modules[name]
    for name in [name for name in sys.modules if name.split(".")[0] == "bookgen" or name == "tests.conftest"]:
        del sys.modules[name]


def _pytest(arguments: Sequence[str], plugins: Sequence[object]) -> int:
    quiet = io.StringIO()
    with contextlib.redirect_stdout(quiet), contextlib.redirect_stderr(quiet):
        return int(pytest.main(["-q", "-p", "no:cacheprovider", *UNHEARD, *arguments], plugins=list(plugins)))


def apart(work: Callable[[], int], seconds: float) -> int:
    """Do a work in a process of its own; return its exit, negative for a signal."""
    sys.stdout.flush()
    child = os.fork()
    if not child:
        resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        signal.signal(signal.SIGXCPU, signal.SIG_DFL)
        end = 70
        try:
            end = work()
        finally:
            os._exit(end)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


# ── What reaches what ─────────────────────────────────────────────────────────────────────────────────────────────


class Recorder:
    """Notes which blocks each test runs through, and how long it takes."""

    def __init__(self) -> None:
        self.hits: set[str] = set()
        self.reach: Reach = defaultdict(list)
        self.passed = True
        self.shared: dict[str, set[str]] = defaultdict(set)
        self.kept, self.loaded = list[Any](), 0

    def telling(self, written: Callable[[str, object], T]) -> Callable[[str, object], T]:
        """Return what tells how a sentence is written, made to note that it is said."""

        def told(key: str, signs: object) -> T:
            self.hits.add(key)
            return written(key, signs)

        return told

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> Iterator[None]:
        yield
        self.shared[item.nodeid.split("::")[0]] |= self.hits  # by a fixture, which may serve the tests that follow

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.passed = self.passed and report.passed

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        if self.loaded != len(sys.modules):
            self.loaded = len(sys.modules)
            kept = [one for one in gc.get_objects() if isinstance(one, functools._lru_cache_wrapper)]
            self.kept = [one for one in kept if one.cache_parameters()["maxsize"] and one.__module__[:7] == "bookgen"]
        for one in self.kept:
            one.cache_clear()  # or a test would be thought not to reach what an earlier one has reached for it
        self.hits.clear()
        self.passed, began = True, time.process_time()
        yield
        seconds = time.process_time() - began
        if self.passed and seconds < SLOW:
            for block in self.hits | self.shared[item.nodeid.split("::")[0]]:
                self.reach[block].append((item.nodeid, round(seconds, 3)))


def record(files: Sequence[str], tests: Sequence[str], into: Path) -> None:
    """Run all tests once and write what reaches what."""

    def work() -> int:
        recorder = Recorder()
        builtins.__hit__ = recorder.hits.add  # type: ignore[attr-defined]
        load({file: watched(file) for file in files})
        sentences = sys.modules.get("bookgen.wording.saying")
        if sentences:
            sentences.written = recorder.telling(sentences.written)  # type: ignore[attr-defined]
        _pytest(tests, [recorder])
        into.write_text(json.dumps(recorder.reach), "utf-8")
        return 0

    if apart(work, 3600):
        raise SystemExit("the tests could not be recorded")


def watched(file: str) -> CodeType:
    """Return the code of a file that tells each of its blocks when it is entered."""
    tree = ast.parse(Path(file).read_text("utf-8"))
    for run in list(blocks(tree)):
        at = 1 if isinstance(run[0], ast.Expr) and isinstance(run[0].value, ast.Constant) else 0
        tell = ast.parse(f"__hit__({f'{file}:{run[0].lineno}'!r})").body[0]
        run.insert(at, ast.copy_location(tell, run[0]))
    return _code(tree, file)


def _code(tree: ast.Module, file: str) -> CodeType:
    code: CodeType = compile(ast.fix_missing_locations(tree), str(Path(file).absolute()), "exec")
    return code


def reaching(file: str, point: Point, reach: Mapping[str, Any], seconds: float) -> list[str]:
    """Return the tests that reach a point, the quickest first, as many as take so many seconds together.

    What stands outside functions is reached with anything of its file, and a file without functions with its folder.
    """
    if point.block is not None:
        wanted = [point.block if isinstance(point.block, str) else f"{file}:{point.block}"]
    if point.block is None or (isinstance(point.block, str) and "/wording/" not in file):
        wanted = [one for one in reach if one.startswith(f"{file}:")]
        wanted = wanted or [one for one in reach if one.startswith(f"{Path(file).parent}/")]
    found = {test: cost for block in wanted for test, cost in reach.get(block, ())}
    chosen, spent = list[str](), 0.0
    for test in sorted(found, key=lambda test: (found[test], test)):
        if (spent := spent + found[test]) > seconds and chosen:
            break
        chosen.append(test)
    return chosen


# ── One mistake ───────────────────────────────────────────────────────────────────────────────────────────────────


class Chosen:
    """Runs these tests alone, in this order as far as their files allow."""

    def __init__(self, tests: Sequence[str]) -> None:
        self.place = {test: number for number, test in enumerate(tests)}
        files = dict.fromkeys(test.split("::")[0] for test in tests)
        self.files = {file: number for number, file in enumerate(files)}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (one for one in items if one.nodeid in self.place),
            key=lambda one: (self.files[one.nodeid.split("::")[0]], self.place[one.nodeid]),
        )


def survives(file: str, tree: ast.Module, point: Point, tests: Sequence[str], seconds: float) -> bool:
    """Tell whether the tests pass in spite of the mistake; what does not end in time is noticed."""
    point.make()
    code = _code(tree, file)

    def work() -> int:
        load({file: code})
        often = Counter(test.split("::")[0] for test in tests).most_common(3)
        near = [test for test in tests if test.split("::")[0] in dict(often)]  # most are noticed there, and sooner
        for part in (near, [test for test in tests if test not in near]):
            chosen = Chosen(part)
            end = _pytest(["-x", *chosen.files], [chosen]) if part else 0
            if end:
                return end
        return 0

    return apart(work, 3 * seconds + 20) == 0
