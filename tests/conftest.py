"""What every test run needs, however it was started."""

from __future__ import annotations

import gc
import os
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from types import CodeType, SimpleNamespace

import pytest
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from jinja2.nodes import Template

from bookgen import cores
from bookgen.language import spoken
from bookgen.leaf import Face
from bookgen.look import themes
from bookgen.look.markup import PAGE, Printer
from bookgen.look.said import template_said
from bookgen.look.templates import Read, Templates
from bookgen.pages import packed
from bookgen.pipeline import checking
from bookgen.press import render
from bookgen.press.piece import digest_file

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell starts what runs in its background deaf to Ctrl-C, and so would be every command that a test interrupts.
    signal.signal(signal.SIGINT, signal.default_int_handler)

# Machines that throw everything away often forbid compiled modules: each of the many commands that tests start would
# compile the whole program anew, and each worker all assertions.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

gc.set_threshold(20_000, 10, 10)  # what a run of tests leaves lying about need not be looked for every moment


@pytest.fixture(scope="session", autouse=True)
def no_waiting_for_disks() -> Iterator[None]:
    """The machine's own disks need not be waited for some ten thousand times: no test cuts the power."""

    def flush(handle: int) -> None:
        os.fstat(handle)  # a file that is closed is refused all the same

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", flush)
        patch.setattr(os, "sync", lambda: None)
        yield


@pytest.fixture(scope="session", autouse=True)
def one_press() -> Iterator[None]:
    """Printing in the process of the test itself, with each face cut once: the workers of the tests fill all cores.

    What is printed is the same to the byte (`test_same_bytes` holds the command to it); a test of several printing
    processes asks for them.
    """
    cut, cuts = render.cut, dict[tuple[str, Face], bytes]()

    def cut_once(face: Face) -> bytes:
        key = (digest_file(face.file), face)
        if key not in cuts:
            cuts[key] = cut(face)
        return cuts[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(render, "cut", cut_once)
        for room in (render, cores):
            patch.setattr(room, "cores", lambda: 1)
        yield


class Compiled(BytecodeCache):
    """Templates that were compiled or parsed before, by their text: most books of the tests look like the program's."""

    def __init__(self) -> None:
        self.kept: dict[tuple[str, str], CodeType] = {}
        self.parsed: dict[tuple[str | None, ...], Template] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        bucket.code = self.kept.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.kept[bucket.key, bucket.checksum] = bucket.code


@pytest.fixture(scope="session", autouse=True)
def compiled_once() -> Iterator[None]:
    """Each template turned, parsed and compiled, each script shortened, once in a process: a command does it itself."""
    begin, parse, kept, light = Templates.__init__, Templates.parse, Compiled(), Compiled()

    def begin_with_kept(templates: Templates, read: Read, printer: Printer = PAGE) -> None:
        begin(templates, read, printer)
        templates.bytecode_cache = light if printer.light else kept

    def parse_once(templates: Templates, text: str, name: str | None = None, path: str | None = None) -> Template:
        """The tree is read for the templates that it names; compiling takes a tree of its own."""
        key = (text, name, path)
        if key not in kept.parsed:
            kept.parsed[key] = parse(templates, text, name, path)
        return kept.parsed[key]

    @cache
    def turned(text: str, language: str) -> str:
        assert language == spoken()
        return template_said(text)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(themes, "template_said", lambda text: turned(text, spoken()))
        patch.setattr(Templates, "__init__", begin_with_kept)
        patch.setattr(Templates, "parse", parse_once)
        patch.setattr(packed, "shortened", cache(packed.shortened))
        yield


def pytest_collection_finish() -> None:
    """What is imported and gathered by now stays as long as the run: no collection need walk it."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def books_are_collected() -> Iterator[None]:
    """A checked book is out of the collector's sight for good: right for a command, not for a run of tests."""
    sighted = SimpleNamespace(**{**vars(gc), "freeze": lambda: None})
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(checking, "gc", sighted)
        yield


@pytest.fixture
def open_ground() -> Iterator[Path]:
    """A folder that a user without special rights can get at, which those of the tests are not."""
    ground = Path(tempfile.mkdtemp(prefix="bookgen-"))
    ground.chmod(0o755)
    yield ground
    shutil.rmtree(ground)
