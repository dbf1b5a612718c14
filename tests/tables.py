"""Tables of the tests, each read once in a process."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import yaml


@cache
def table(path: Path) -> Any:
    """Return what a YAML file holds; whoever asks again gets the same, and leaves it as it is."""
    return yaml.load(path.read_text(encoding="utf-8"), getattr(yaml, "CSafeLoader", yaml.SafeLoader))
