"""What a user without special rights meets: to the one who may do everything, nothing is ever refused."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

NOBODY = 65534
"""The user and group without rights on a Unix machine."""


@contextmanager
def without_rights(ground: Path, *, but: Path | None = None) -> Iterator[None]:
    """Be a user without special rights, whose that folder is; afterwards all of it can be deleted again.

    `but` goes on belonging to another, where there is one. Whatever is imported must have been imported before: a
    Python in the folder of root is out of reach.
    """
    special = os.geteuid() == 0
    if special:
        for folder, _, files in os.walk(ground):
            if but is None or not Path(folder).is_relative_to(but):
                for name in (folder, *(os.path.join(folder, one) for one in files)):
                    os.chown(name, NOBODY, NOBODY, follow_symlinks=False)
        os.setegid(NOBODY)
        os.seteuid(NOBODY)
    try:
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
