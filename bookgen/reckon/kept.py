"""Earlier issues of a formula that are kept, reckoned as they were written, with the materials of today."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..model import Book, Formula
from .figures import Figures, Reckoning, reckon


def issues_kept(book: Book, key: str) -> tuple[Formula, ...]:
    """Return the earlier issues of a formula that are kept, the oldest first, also those under a former code."""
    kept = [formula for formula in book.earlier.values() if book.key_of(formula.code) == key]
    return tuple(sorted(kept, key=lambda formula: formula.issue))


def reckoned_with(reckoning: Reckoning, key: str, formula: Formula) -> Reckoning:
    """Return a book's figures as if that formula stood in it in place of the present one."""
    book = reckoning.book
    if book.formulas.get(key) is formula:
        return reckoning
    return reckon(replace(book, formulas={**book.formulas, key: formula}), reckoning)


def figures_kept(reckoning: Reckoning, key: str, issue: int) -> Figures | None:
    """Return the figures of an earlier issue, reckoned once; None where it is not kept."""
    if (key, issue) not in reckoning.kept:
        found = next((formula for formula in issues_kept(reckoning.book, key) if formula.issue == issue), None)
        if found is None:
            return None
        reckoning.kept[key, issue] = reckoned_with(reckoning, key, found).figures[key]
    return reckoning.kept[key, issue]


def base_of(book: Book, formula: Formula) -> tuple[str, int]:
    """Return the key of what a trial is based on, and its issue where that is an earlier one that is kept, else 0.

    No key where it is based on nothing that is there.
    """
    code, _, number = formula.based_on.partition("@")
    key = book.key_of(code) if code else ""
    present = book.formulas.get(key)
    if present is None:
        return "", 0
    issue = int(number) if number else present.issue
    if issue == present.issue:
        return key, 0
    return (key, issue) if any(kept.issue == issue for kept in issues_kept(book, key)) else ("", 0)


def trials_in(book: Book) -> Iterator[tuple[str, str, int]]:
    """Yield each trial whose base is there, as its key, the base's key and the issue as `base_of` has it."""
    for key, formula in book.formulas.items():
        base, issue = base_of(book, formula)
        if base and base != key:
            yield key, base, issue
