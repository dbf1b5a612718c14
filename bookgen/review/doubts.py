"""Errors because of which it is not sure what was made, or what is there.

Enters: a book and what the review found.  Leaves: the findings that an answer is told with.
"""

from __future__ import annotations

from collections.abc import Iterable

from ..findings import Finding, Severity
from ..model import Book


def doubts_of_records(book: Book, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the errors in batch records and of what cannot be read: with them it is not sure what was made of what."""
    return _errors_in(book, findings, (record.path for record in book.batches.values()))


def doubts_of_lots(book: Book, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the errors in batch records, in files of materials with lots, and of what cannot be read: with them it is
    not sure what is there."""
    stocked = (item.path for item in book.materials.values() if item.lots or "lots" in item.unread or not item.readable)
    return _errors_in(book, findings, (*(record.path for record in book.batches.values()), *stocked))


def _errors_in(book: Book, findings: Iterable[Finding], paths: Iterable[str]) -> tuple[Finding, ...]:
    doubtful = {*paths, *book.unread}
    errors = (finding for finding in findings if finding.severity is Severity.ERROR)
    return tuple(finding for finding in errors if finding.place.path in doubtful)
