"""Rendered leaves and cut type, kept by digest in the keeper's cache folder. Safe to delete at any time.

An entry is written whole or not at all and checked when read: one that is torn or was tampered with counts as absent
and is replaced. A cache that cannot be written is no error, only slower.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

_MAGIC = b"bookgen-press-1\n"


def cache_folder() -> Path:
    """`$XDG_CACHE_HOME/bookgen`, else `~/.cache/bookgen`. A relative XDG_CACHE_HOME is ignored, as its standard
    asks."""
    stated = os.environ.get("XDG_CACHE_HOME", "")
    root = Path(stated) if os.path.isabs(stated) else Path(os.path.expanduser("~")) / ".cache"
    return root / "bookgen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cache:
    """A folder of entries, each named by the digest of what it was made from."""

    folder: Path
    """Made when the first entry is kept."""

    def path(self, kind: str, digest: str) -> Path:
        """Where the entry stands; 256 subfolders keep a life's book listable."""
        return self.folder / kind / digest[:2] / digest[2:]

    def find(self, kind: str, digest: str) -> bytes | None:
        """The entry's bytes, or None when it is absent, unreadable or damaged."""
        try:
            kept = self.path(kind, digest).read_bytes()
        except OSError:
            return None
        start = len(_MAGIC) + 32
        body = kept[start:]
        sound = kept.startswith(_MAGIC) and hashlib.sha256(body).digest() == kept[len(_MAGIC) : start]
        return body if sound else None

    def keep(self, kind: str, digest: str, body: bytes) -> bool:
        """Keep the bytes under the digest; False when the folder cannot be written."""
        target = self.path(kind, digest)
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(prefix=".new-", dir=target.parent)
        except OSError:
            return False
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(_MAGIC + hashlib.sha256(body).digest() + body)
            os.replace(name, target)
        except BaseException as reason:
            with suppress(OSError):
                os.unlink(name)
            if isinstance(reason, OSError):
                return False
            raise
        return True
