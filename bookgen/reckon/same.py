"""Records told apart by identity, for caches: a hash of all their fractions would cost more than what is kept."""

from __future__ import annotations

from typing import Generic, TypeVar

Record = TypeVar("Record")


class Same(Generic[Record]):
    """A record that is equal to itself alone; the cache that holds it keeps the record alive, so no other takes its
    place in memory."""

    __slots__ = ("record",)

    def __init__(self, record: Record) -> None:
        self.record = record

    def __hash__(self) -> int:
        return id(self.record)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.record is self.record
