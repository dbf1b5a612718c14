"""What one worker of a test run makes, and all of them use."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Callable
from pathlib import Path

import pytest


def shared_by_all(factory: pytest.TempPathFactory) -> Path:
    """Return the folder that all workers of this run share."""
    base = factory.getbasetemp()
    return (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "shared"


def made_once(folder: Path, make: Callable[[Path], object]) -> Path:
    """Return a folder, which the first worker that asks for it fills; the others wait.

    Where making it fails, it fails for each that asks: nothing half made is used.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / "made").exists():
            make(folder)
            (folder / "made").touch()
    return folder
