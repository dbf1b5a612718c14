"""One file that stands alone, as a worksheet: written whole or not at all, and over nothing but its like.

A file that bookgen wrote ends with a line, in HTML a remark, that says what it is and the digest of all before it.  So
it is known again, and only as long as nobody has written into it: a form that was filled in on a screen, or signed, is
never lost.
"""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from .folder import why_of
from .made import CannotWrite

_MARK = b"%bookgen "
_HTML = b"<!"


def write_alone(target: Path, body: bytes, what: str) -> None:
    """Write a PDF or HTML, in place of an earlier one of the same sort (`what`, one word) that nobody has written into.

    It is written beside its place and takes its name when all of it is on the disk.  Raises CannotWrite.
    """
    fresh: Path | None = None
    try:
        if not target.parent.is_dir():
            raise CannotWrite(target, f"there is no folder {target.parent}.")
        _must_be_own(target, what)
        handle, name = tempfile.mkstemp(prefix=".new-", suffix=target.suffix, dir=target.parent)
        fresh = Path(name)
        with open(handle, "wb") as file:
            file.write(signed(body, what))
            file.flush()
            os.fsync(file.fileno())
        fresh.chmod(0o666 & ~_umask())
        if os.path.lexists(target):
            _must_be_own(target, what)
            os.replace(fresh, target)
        else:
            _name(fresh, target)
    except BaseException as reason:
        if fresh is not None:
            with suppress(OSError):
                fresh.unlink()
        if isinstance(reason, OSError):
            raise CannotWrite(target, f"{why_of(reason)}; nothing was written.") from reason
        raise


def signed(body: bytes, what: str) -> bytes:
    """Return a file with the line behind its end by which it is known again; readers pass over it.

    >>> is_own(signed(b"%PDF-1.7 %%EOF", "worksheet"), "worksheet")
    True
    >>> is_own(signed(b"%PDF-1.7 %%EOF", "worksheet").replace(b"7", b"6"), "worksheet")
    False
    """
    body = body if body.endswith(b"\n") else body + b"\n"
    return body + _line(body, what)


def is_own(content: bytes, what: str) -> bool:
    """Tell whether a file is one of that sort as it was written."""
    body, mark, _ = content.rpartition(b"<!--" + _MARK if content.startswith(_HTML) else _MARK)
    return bool(mark) and content == body + _line(body, what)


def _line(body: bytes, what: str) -> bytes:
    line = _MARK + f"{what} {sha256(body).hexdigest()}".encode()
    return (b"<!--" + line + b"-->\n") if body.startswith(_HTML) else line + b"\n"


def _must_be_own(target: Path, what: str) -> None:
    """Raise CannotWrite where something else stands there, or one that was written into; OSError as the disk says."""
    if not os.path.lexists(target):
        return
    if target.is_symlink() or not target.is_file():
        raise CannotWrite(target, "something else stands there; name another file.")
    if not is_own(target.read_bytes(), what):
        raise CannotWrite(target, f"it is no {what} as bookgen wrote it, and stays; name another file.")


def _name(fresh: Path, target: Path) -> None:
    """Give the file its name, unless something is called so by now."""
    try:
        os.link(fresh, target)
    except FileExistsError as reason:
        raise CannotWrite(target, "something else stands there by now; name another file.") from reason
    except OSError:  # a file system without links
        os.rename(fresh, target)
    else:
        fresh.unlink()


def _umask() -> int:
    """Return which rights new files do not get here."""
    held = os.umask(0)
    os.umask(held)
    return held
