"""What `filed` puts on record: what a printed PDF lists, as it stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from ..model import Filed, FiledLeaf
from ..pipeline import BINDER, CHANGES, FILES, SITE, must_be_book
from ..source import filed_text, read_record_alone, state_of
from ..source.writing import forget_printed, record_bytes, write_record
from .waiting import BrokenRecord, Choice, NothingFiled, PrintedSet, SeveralWait, check_of, list_in, waiting


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What was put on record."""

    record: Filed
    """The record as it is now."""
    path: Path
    """What it was read from."""
    into: tuple[str, ...] = ()
    """Codes of leaves that were put in, in the order of the binder."""
    out: tuple[str, ...] = ()
    """Codes of leaves that were taken out for good."""
    already: bool = False
    """True when it was on record before, and nothing was written."""
    first: bool = False
    """True when nothing was on record before."""
    check: str = ""
    """Check codes of the list of effective sheets that the binder must have now, in words."""


def file_printed(
    root: Path,
    named: Path | None,
    *,
    whole: bool,
    today: date,
    sure: Callable[[Choice], bool] = lambda _: True,
) -> Recorded:
    """Put on record that what a PDF puts into the binder is in it.

    The PDF (or the list kept of it) is the one named, else the printed changes that are not on record; with `whole`,
    and when nothing is on record, `site/binder.pdf`.  Raises NoBook, BrokenRecord, NothingFiled, SeveralWait where it
    is not plain which one is meant, and CannotRecord when the record cannot be written.

    A whole binder that nobody named may have been made anew after one was printed: `sure` is asked whether it is the
    one on paper.
    """
    must_be_book(root)
    try:
        before = record_bytes(root)
    except OSError:
        before = None  # reading says why
    book = read_record_alone(root)
    earlier = book.filed
    if not earlier.readable:
        raise BrokenRecord(book.findings)
    chosen = _meant(root, earlier, whole) if named is None else PrintedSet(path=named, after=list_in(named))
    path, printed = chosen.path, chosen.after
    then = {leaf.code: leaf for leaf in earlier.leaves}
    printed = replace(printed, leaves=tuple(_with_figures(leaf, then.get(leaf.code)) for leaf in printed.leaves))
    if state_of(printed) == state_of(earlier):
        return Recorded(record=earlier, path=path, already=True)
    if printed.against and printed.against != state_of(earlier):
        since = f"; the one in the book is of {earlier.on}" if earlier.on else ", and the book has none"
        raise NothingFiled(
            f"{path} was made against another record{since}: print the changes anew with bookgen binder --changes."
        )
    found = _choice(chosen, earlier)
    if named is None and not printed.against and not sure(found):
        raise NothingFiled(
            f"Nothing is recorded: {path} was made after the binder was printed. Name the PDF that was printed, or "
            "print this one."
        )
    record = replace(printed, on=today.isoformat(), against="", path=earlier.path)
    write_record(root, filed_text(record).encode(), before)
    forget_printed(root)
    return Recorded(
        record=record, path=path, into=found.into, out=found.out, first=not earlier.leaves, check=found.check
    )


def _meant(root: Path, earlier: Filed, whole: bool) -> PrintedSet:
    """Return what is meant where nothing was named.  Raises NothingFiled and SeveralWait."""
    open_still = waiting(root, earlier) if earlier.leaves else ()
    if whole or not earlier.leaves:
        path = root / SITE / FILES[BINDER]
        binder = PrintedSet(path=path, after=list_in(path, usual=True))
        others = [printed for printed in open_still if state_of(printed.after) != state_of(binder.after)]
        if others and state_of(binder.after) != state_of(earlier):
            # The binder may have been made anew after the changes were printed: then it is on no paper.
            raise SeveralWait(tuple(_choice(printed, earlier) for printed in (binder, *others)))
        return binder
    path = root / SITE / FILES[CHANGES]
    try:
        last = list_in(path, usual=True)
    except NothingFiled as reason:
        if not open_still:
            raise
        if path.exists():
            raise NothingFiled(f"{reason} What it listed is kept: run bookgen filed {open_still[0].path}.") from reason
        last = open_still[0].after
    if len(open_still) > 1:
        raise SeveralWait(tuple(_choice(printed, earlier) for printed in open_still))
    return open_still[0] if open_still else PrintedSet(path=path, after=last)


def _choice(printed: PrintedSet, earlier: Filed) -> Choice:
    """Return what tells one printed set from another."""
    then = {leaf.code: leaf for leaf in earlier.leaves}
    leaves = tuple(_with_figures(leaf, then.get(leaf.code)) for leaf in printed.after.leaves)
    now = {leaf.code for leaf in leaves}
    return Choice(
        path=printed.path,
        into=tuple(leaf.code for leaf in leaves if then.get(leaf.code) != leaf),
        out=tuple(code for code in then if code not in now),
        check=check_of(printed.after),
    )


def _with_figures(leaf: FiledLeaf, earlier: FiledLeaf | None) -> FiledLeaf:
    """Return a leaf that was barred when printed with the figures its issue had, so that these are not forgotten."""
    if leaf.figures or earlier is None or earlier.issue != leaf.issue:
        return leaf
    return replace(leaf, figures=earlier.figures)
