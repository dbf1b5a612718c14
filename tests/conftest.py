"""What every test run needs, however it was started."""

from __future__ import annotations

import gc
import shutil
import signal
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from bookgen.leaf import Face
from bookgen.press import render
from bookgen.press.piece import digest_file

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell starts what runs in its background deaf to Ctrl-C, and so would be every command that a test interrupts.
    signal.signal(signal.SIGINT, signal.default_int_handler)


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
        patch.setattr(render, "_cores", lambda: 1)
        yield


@pytest.fixture(autouse=True)
def thawed() -> Iterator[None]:
    """A checked book is out of the collector's sight for good: right for a command, not for a run of tests."""
    yield
    gc.unfreeze()


@pytest.fixture
def open_ground() -> Iterator[Path]:
    """A folder that a user without special rights can get at, which those of the tests are not."""
    ground = Path(tempfile.mkdtemp(prefix="bookgen-"))
    ground.chmod(0o755)
    yield ground
    shutil.rmtree(ground)
