"""Sets of keys, each held once however many formulas have it: of most topics a formula has none."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache


def key_set(keys: Iterable[str]) -> frozenset[str]:
    """Return keys as a set; the same one for the same keys.

    >>> key_set(["water", "sugar"]) is key_set({"sugar", "water"})
    True
    """
    return _held(frozenset(keys))


@lru_cache(maxsize=4096)
def _held(keys: frozenset[str]) -> frozenset[str]:
    return keys
