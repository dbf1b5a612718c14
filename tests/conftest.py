"""What every test run needs, however it was started."""

from __future__ import annotations

import shutil
import signal
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell starts what runs in its background deaf to Ctrl-C, and so would be every command that a test interrupts.
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def open_ground() -> Iterator[Path]:
    """A folder that a user without special rights can get at, which those of the tests are not."""
    ground = Path(tempfile.mkdtemp(prefix="bookgen-"))
    ground.chmod(0o755)
    yield ground
    shutil.rmtree(ground)
