"""What a user without special rights meets: to the one who may do everything, nothing is ever refused."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from functools import cache
from pathlib import Path
from unittest.mock import patch

from bookgen.look import themes

NOBODY = 65534
"""The user and group without rights on a Unix machine."""


@contextmanager
def without_rights(ground: Path, *, but: Path | None = None) -> Iterator[None]:
    """Be a user without special rights, whose that folder is; afterwards all of it can be deleted again.

    `but` goes on belonging to another, where there is one. Whatever is imported must have been imported before: a
    Python in the folder of root is out of reach. The program's themes are within reach, wherever the checkout lies.
    """
    special = os.geteuid() == 0
    reached = patch.object(themes, "_HERE", _themes_within_reach()) if special else nullcontext()
    if special:
        for folder, _, files in os.walk(ground):
            if but is None or not Path(folder).is_relative_to(but):
                for name in (folder, *(os.path.join(folder, one) for one in files)):
                    os.chown(name, NOBODY, NOBODY, follow_symlinks=False)
        os.setegid(NOBODY)
        os.seteuid(NOBODY)
    try:
        with reached:
            yield
    finally:
        if special:
            os.seteuid(0)
            os.setegid(0)
        os.chmod(ground, 0o700)
        for folder, below, _ in os.walk(ground):  # from above: what is opened here is entered next
            for one in below:
                if not os.path.islink(os.path.join(folder, one)):
                    os.chmod(os.path.join(folder, one), 0o700)


@cache
def _themes_within_reach() -> Path:
    """Return where the program looks for its themes, from a place that everybody may enter: a home of root is none."""
    here = themes._HERE
    folder = next(top / "themes" for top in (here.parent, here.parent.parent) if (top / "themes").is_dir())
    if all(parent.stat().st_mode & 0o001 for parent in (folder, *folder.parents)):
        return here
    copy = Path(tempfile.mkdtemp(prefix="themes-"))
    atexit.register(shutil.rmtree, copy, ignore_errors=True)
    copy.chmod(0o755)
    shutil.copytree(folder, copy / "themes")
    return copy / "look"
