"""Print once, then file changes: what `binder --changes` prints, and what `filed` puts on record.

What was printed is what is recorded: the printed PDF carries the list of all that the binder holds once it is filed,
and that list goes on record as it stands.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from .findings import Finding, Severity
from .model import Book, Filed, FiledLeaf
from .pipeline import (
    BINDER,
    CHANGES,
    FILES,
    LIST,
    SITE,
    TAKEN_AWAY,
    CannotPublish,
    Checked,
    FaultyTheme,
    Printing,
    Progress,
    changes_digest,
    digest_of,
    in_order,
    make_room,
    must_be_book,
    printing_for,
)
from .source import filed_text, read_filed, read_record_alone, state_of
from .source.desk import Desk
from .source.filed import RECORD, is_record
from .source.writing import record_bytes, write_record

if TYPE_CHECKING:
    from .pages.sheets import Comparison, EffectiveRow, Sheet
    from .press.piece import Piece

EARLIER = "changes-earlier.pdf"
"""Changes that were replaced before they were on record: their sheets may be in the binder all the same."""
LARGEST_PDF = 1024 * 1024 * 1024
"""Bytes of the largest PDF that is looked into."""


class NothingFiled(Exception):
    """There is no record to compare with, or nothing printed to file; the text is a sentence for the keeper."""


class BrokenRecord(Exception):
    """The record cannot be read; the findings say where."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(f"{RECORD} cannot be read; it says what is in the binder, and is not guessed.")
        self.findings = findings


class CodeUnknown(Exception):
    """A leaf of the binder would be taken out, and a file does not say whether it is that leaf; a sentence."""


# ── Printing changes ──────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """What became of printing the changes."""

    written: str = ""
    """The PDF; empty where there is nothing to print."""
    said: tuple[str, ...] = ()
    """What there is to say of the binder, in sentences."""
    problems: tuple[str, ...] = ()
    """What went wrong on the way to paper, in sentences."""
    incomplete: bool = False
    """True when the press cannot work here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Draft:
    """What is to be printed, before it is bound."""

    found: Comparison
    """What differs."""
    pieces: tuple[Piece, ...]
    """The leaves to put in, in the order of the binder."""
    after: Filed
    """What the binder holds once they are filed."""


def print_changes(
    checked: Checked, target: Path, *, appearance: bool = False, progress: Progress | None = None
) -> Changes:
    """Write what has to be printed so that the binder holds the book, with `appearance` also what only looks otherwise.

    Raises NothingFiled, BrokenRecord, CodeUnknown, CannotPublish and FaultyTheme.
    """
    from .pages import ThemeFault, ThemeNotFound, load_theme
    from .pages.sheets import earlier_looks
    from .press.folder import CannotWrite, Part, check_folder, write_folder
    from .press.render import PressError

    filed = checked.book.filed
    _must_be_filed(checked, filed, target)
    try:
        make_room(target)
        check_folder(target)
        digest = digest_of(checked.root)
        keep: dict[str, str | None] = {SITE: digest, BINDER: digest}
        with printing_for(checked, load_theme(checked.root)) as printing:
            draft = _draft(printing, filed, appearance, progress)
        note = "" if appearance else earlier_looks(draft.found.looks, filed, printing.words)
        unfiled = _unfiled(target, filed, draft.after)
        said = tuple(one for one in (note, _kept_words(target) if unfiled else "") if one)
        part = Part(digest=changes_digest(checked.root, digest), files=unfiled)
        if draft.found.nothing and not draft.pieces:
            if (target / FILES[CHANGES]).exists():
                # Changes that were printed from an earlier state would mislead; all the rest stays as it is.
                write_folder(target, {CHANGES: part} if unfiled else {}, keep={SITE: None, BINDER: None})
            return Changes(said=(f"Nothing to print: the binder holds the book as it is (filed {filed.on}).", *said))
        pdf, problems = _bound(printing, draft, filed, note)
        part = replace(part, files={**unfiled, FILES[CHANGES]: pdf})
        written = write_folder(target, {CHANGES: part}, keep=keep)
    except CannotWrite as reason:
        raise CannotPublish(f"Cannot write {reason.path}: {reason.reason}") from reason
    except OSError as reason:
        raise CannotPublish(f"Cannot write {target}: {reason.strerror or reason}.") from reason
    except (ThemeFault, ThemeNotFound) as reason:
        raise FaultyTheme(str(reason)) from reason
    except PressError as reason:
        return Changes(problems=(str(reason),), incomplete=True)
    return Changes(
        written=str(target / FILES[CHANGES]),
        said=said,
        problems=(*problems, *(TAKEN_AWAY[part] for part in written.dropped)),
    )


def _unfiled(target: Path, filed: Filed, after: Filed) -> dict[str, bytes]:
    """Return the changes that this run replaces, under the name they are kept by, where they are not on record.

    Whoever printed them and put them in, and then changed the book back, holds sheets that the record knows nothing of.
    """
    path = target / FILES[CHANGES]
    try:
        earlier = _listed(path, usual=True, changes=True)
    except NothingFiled:
        return {}
    open_still = earlier.against == state_of(filed) and state_of(earlier) not in (state_of(filed), state_of(after))
    return {EARLIER: path.read_bytes()} if open_still else {}


def _kept_words(target: Path) -> str:
    return (
        f"The changes printed before are not on record; they are kept as {target / EARLIER}. If those sheets are in "
        f"the binder, run bookgen filed {target / EARLIER} now and bookgen binder --changes once more."
    )


def _must_be_filed(checked: Checked, filed: Filed, target: Path) -> None:
    """Raise NothingFiled where there is no record, BrokenRecord where there is one that cannot be read."""
    if not filed.readable:
        raise BrokenRecord(_errors(checked.book.findings))
    if not filed.leaves:
        raise NothingFiled(
            f"No binder is on record yet, so there are no changes to print: print {target / FILES[BINDER]} (bookgen "
            "binder makes it), put it into the binder, and run bookgen filed."
        )


def _draft(printing: Printing, filed: Filed, appearance: bool, progress: Progress | None) -> _Draft:
    """Print what differs, the list of effective sheets last, because it lists the others.  Raises PressError."""
    from .pages.sheets import State, compare, effective_sheet, leaves_of, look_of, record_of, row_on_record

    then = {one.code: one for one in filed.leaves}

    def state(sheet: Sheet) -> State:
        return State(code=sheet.leaf.code, content=sheet.content, look=look_of(sheet, printing.look))

    def due(sheets: Sequence[Sheet]) -> list[Sheet]:
        found = compare(filed, [state(one) for one in sheets])
        codes = {*found.new, *found.changed, *(found.looks if appearance else ())}
        return [one for one in sheets if one.leaf.code in codes]

    def rows_of(sheets: Sequence[Sheet], told: Progress | None) -> list[EffectiveRow]:
        wanted = due(sheets)
        printed = printing.printed(wanted, told)
        pieces.update((one.piece.code, one.piece) for one in printed)
        rows = {one.row.code: one.row for one in printed}
        return [rows.get(one.leaf.code) or row_on_record(one, then[one.leaf.code]) for one in sheets]

    pieces: dict[str, Piece] = {}
    others = leaves_of(printing.bench)
    _must_know_codes(
        printing.bench.shelf.book, filed, {*printing.bench.codes.values(), *(one.leaf.code for one in others)}
    )
    rows = rows_of(others, progress)
    listed = effective_sheet(printing.bench, rows)
    whole = in_order(rows, rows_of([listed], None)[0])
    return _Draft(
        found=compare(filed, [state(one) for one in in_order(others, listed)]),
        pieces=tuple(pieces[one.code] for one in whole if one.code in pieces),
        after=record_of(whole, filed.looks, printing.words, against=state_of(filed)),
    )


def _must_know_codes(book: Book, filed: Filed, codes: Collection[str]) -> None:
    """Raise CodeUnknown where a leaf is on record, none has its code now, and a formula's code cannot be read."""
    nameless = [one.path for one in book.formulas.values() if "code" not in one.places or "code" in one.unread]
    gone = [one.code for one in filed.leaves if one.code not in codes]
    if nameless and gone:
        what = f"{gone[0]} is" if len(gone) == 1 else f"{', '.join(gone)} are"
        raise CodeUnknown(
            f"Nothing is printed: {what} in the binder and the code in {nameless[0]} cannot be read; put that right "
            "first."
        )


def _bound(printing: Printing, draft: _Draft, filed: Filed, note: str) -> tuple[bytes, tuple[str, ...]]:
    """Return the changes headed by the filing instructions, and what the press had to say.  Raises PressError."""
    from .pages.sheets import filing_sheet, sheet_style
    from .press.bind import bind
    from .press.cache import Cache, cache_folder
    from .press.render import render

    bench = printing.bench
    room = bench.shelf.book.workroom
    codes = [one.code for one in draft.pieces]
    leaf = filing_sheet(bench, draft.found, codes, filed, draft.after, note)
    heading = render(leaf.leaf, sheet_style(bench.theme, room, "filing"), cache=Cache(folder=cache_folder()))
    pieces = (heading, *draft.pieces)
    bound = bind(
        pieces,
        title=f"{room.title}: changes",
        lang=room.language,
        author=room.keeper,
        duplex=room.duplex,
        elsewhere=[one.code for one in draft.after.leaves],
        attached={LIST: filed_text(draft.after).encode()},
    )
    said = [problem for piece in pieces for problem in piece.problems]
    return bound.pdf, tuple(f"{problem.code}: {problem.sentence}" for problem in (*said, *bound.problems))


def _errors(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    return tuple(one for one in findings if is_record(one.place.path) and one.severity is Severity.ERROR)


# ── Filing ────────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What was put on record."""

    record: Filed
    """The record as it is now."""
    into: tuple[str, ...] = ()
    """Codes of leaves that were put in, in the order of the binder."""
    out: tuple[str, ...] = ()
    """Codes of leaves that were taken out for good."""
    already: bool = False
    """True when it was on record before, and nothing was written."""
    first: bool = False
    """True when nothing was on record before."""
    check: str = ""
    """Check code of the list of effective sheets that the binder must have now."""


def file_printed(root: Path, named: Path | None, *, whole: bool, today: date) -> Recorded:
    """Put on record that what a PDF puts into the binder is in it.

    The PDF is the one named, else `site/changes.pdf`; with `whole`, and when nothing is on record, `site/binder.pdf`.
    Raises NoBook, BrokenRecord, NothingFiled, and CannotRecord when the record cannot be written.
    """
    from .pages.sheets.content import check_code
    from .pages.sheets.effective import TITLE

    must_be_book(root)
    try:
        before = record_bytes(root)
    except OSError:
        before = None  # reading says why
    book = read_record_alone(root)
    earlier = book.filed
    if not earlier.readable:
        raise BrokenRecord(_errors(book.findings))
    path = named or root / SITE / FILES[BINDER if whole or not earlier.leaves else CHANGES]
    printed = _listed(path, named is None, changes=path.name == FILES[CHANGES])
    then = {one.code: one for one in earlier.leaves}
    printed = replace(printed, leaves=tuple(_with_figures(one, then.get(one.code)) for one in printed.leaves))
    if state_of(printed) == state_of(earlier):
        return Recorded(record=earlier, already=True)
    if printed.against and printed.against != state_of(earlier):
        since = f"; the one in the book is of {earlier.on}" if earlier.on else ", and the book has none"
        raise NothingFiled(
            f"{path} was made against another record{since}: print the changes anew with bookgen binder --changes."
        )
    record = replace(printed, on=today.isoformat(), against="", path=earlier.path)
    write_record(root, filed_text(record).encode(), before)
    now = {one.code for one in record.leaves}
    return Recorded(
        record=record,
        into=tuple(one.code for one in record.leaves if then.get(one.code) != one),
        out=tuple(code for code in then if code not in now),
        first=not earlier.leaves,
        check=next((check_code(one.content) for one in record.leaves if (one.chapter, one.title) == ("", TITLE)), ""),
    )


def _with_figures(leaf: FiledLeaf, earlier: FiledLeaf | None) -> FiledLeaf:
    """Return a leaf that was barred when printed with the figures its issue had, so that these are not forgotten."""
    if leaf.figures or earlier is None or earlier.issue != leaf.issue:
        return leaf
    return replace(leaf, figures=earlier.figures)


def _listed(path: Path, usual: bool, *, changes: bool) -> Filed:
    """Return the list that a printed PDF carries.  Raises NothingFiled where there is none that can be read."""
    from .press.attached import DamagedPdf, read_attached

    makes = "bookgen binder --changes" if changes else "bookgen binder"
    try:
        if path.stat().st_size > LARGEST_PDF:
            raise NothingFiled(f"{path} is larger than any binder.")
        content = read_attached(path.read_bytes(), LIST)
    except FileNotFoundError as reason:
        if not usual:
            raise NothingFiled(f"There is no {path}.") from reason
        raise NothingFiled(
            f"There is nothing printed to file: {path} does not exist; {makes} makes it. Print it and put it into the "
            "binder first."
        ) from reason
    except OSError as reason:
        raise NothingFiled(f"{path} cannot be opened: {reason.strerror or reason}.") from reason
    except DamagedPdf as reason:
        raise NothingFiled(f"{path}: {reason}") from reason
    if content is None:
        raise NothingFiled(
            f"{path} is not a binder made by bookgen: it carries no list of what it puts into the binder."
        )
    desk = Desk(LIST)
    found = read_filed(content, desk)
    if not found.readable or not found.leaves:
        why = desk.findings[0].message if desk.findings else "it lists nothing"
        raise NothingFiled(f"{path}: the list in it cannot be read: {why}")
    return found
