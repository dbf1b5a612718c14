"""What `binder --changes` prints: the leaves that differ, headed by filing instructions."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..model import Book, Filed
from ..pipeline import (
    BINDER,
    CHANGES,
    FILES,
    LIST,
    SITE,
    Checked,
    Printing,
    Progress,
    in_order,
    in_sentences,
    make_room,
    printing_for,
    set_aside,
)
from ..source import filed_text, state_of
from ..source.writing import CannotRecord, keep_printed
from .waiting import BrokenRecord, NothingFiled, free_name, name_of, printed_changes

if TYPE_CHECKING:
    from ..binder import Comparison, EffectiveRow, Sheet
    from ..press.piece import PrintedLeaf


class CodeUnknown(Exception):
    """A leaf of the binder would be taken out, and a file does not say whether it is that leaf; a sentence."""


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
    pieces: tuple[PrintedLeaf, ...]
    """The leaves to put in, in the order of the binder."""
    after: Filed
    """What the binder holds once they are filed."""
    codes: frozenset[str]
    """Where links may lead: the codes of all its leaves, and of what these hold."""


def print_changes(
    checked: Checked,
    target: Path,
    *,
    appearance: bool = False,
    progress: Progress | None = None,
    batches_of: frozenset[str] = frozenset(),
) -> Changes:
    """Write what has to be printed so that the binder holds the book, with `appearance` also what only looks otherwise.

    The batches of the formulas in `batches_of`, keys, are leaves too, and so are those of any formula that has a batch
    on record.  Raises NothingFiled, BrokenRecord, CodeUnknown, CannotPublish and FaultyTheme.
    """
    from ..binder import earlier_looks, on_letters, other_paper
    from ..look import load_theme
    from ..press.folder import FolderPart, check_folder, write_folder
    from ..press.render import PressError

    filed = checked.book.filed
    _must_be_filed(checked, filed, target)
    try:
        with in_sentences(target):
            make_room(target)
            aside = check_folder(target)
            batches_of |= formulas_with_batches(checked.book)
            with printing_for(checked, load_theme(checked.root), batches_of) as printing:
                other = other_paper(filed, printing.words)
                if other:
                    return Changes(said=(_anew(*other, target),), problems=set_aside(aside))
                draft = _draft(printing, filed, appearance, progress)
            note = "" if appearance else earlier_looks(draft.found.looks, filed, printing.words)
            unfiled = _unfiled(target, filed, draft.after)
            letters = on_letters(draft.found, filed)
            said = tuple(filter(None, (note, letters, _kept_words(target, tuple(unfiled)))))
            notes = tuple(filter(None, (_kept_note(unfiled), letters, note)))
            nothing = draft.found.nothing and not draft.pieces
            files, problems = dict(unfiled), tuple[str, ...]()
            if not nothing:
                files[FILES[CHANGES]], problems = _bound(printing, draft, notes)
            if not nothing or {change.path.name for change in printed_changes(target)} != set(files):
                # Changes that can no longer be filed would mislead; pages and binder stay as they are.
                part = FolderPart(digest=state_of(filed), files=files)
                kept: dict[str, str | None] = {SITE: None, BINDER: None}
                aside += write_folder(target, {CHANGES: part} if files else {}, keep=kept).aside
    except PressError as reason:
        return Changes(problems=(str(reason),), incomplete=True)
    if nothing:
        said = (f"Nothing to print: the binder holds the book as it is (filed {filed.on}).", *said)
        return Changes(said=said, problems=set_aside(aside))
    return Changes(
        written=str(target / FILES[CHANGES]),
        said=said,
        problems=(*problems, *_keep_list(checked.root, draft.after), *set_aside(aside)),
    )


def formulas_with_batches(book: Book) -> frozenset[str]:
    """Return the keys of the formulas of which a batch is in the binder, by the record of it."""
    records = (book.batches.get(leaf.code.casefold()) for leaf in book.filed.leaves)
    return frozenset(book.key_made(record) for record in records if record is not None)


def _unfiled(target: Path, filed: Filed, after: Filed) -> dict[str, bytes]:
    """Return the changes in the output folder that may have been printed and are not on record, by their names.

    Whoever printed them and put them in, and then changed the book back, holds sheets that the record knows nothing of.
    The last ones get a name of their own; earlier ones have theirs.
    """
    kept: dict[str, bytes] = {}
    last = b""
    for change in printed_changes(target):
        if change.after.against != state_of(filed) or state_of(change.after) in (state_of(filed), state_of(after)):
            continue
        if change.path.name == FILES[CHANGES]:
            last = change.path.read_bytes()
        else:
            kept[change.path.name] = change.path.read_bytes()
    return {**kept, free_name(kept): last} if last else kept


def _kept_words(target: Path, names: Sequence[str]) -> str:
    if not names:
        return ""
    kept = " and ".join(str(target / name) for name in names)
    named = kept if len(names) == 1 else "with the name of the one whose sheets they are"
    return (
        f"The changes printed before are not on record; they are kept as {kept}. If those sheets are in the binder, "
        f"run bookgen filed {named} now and bookgen binder --changes once more."
    )


def _kept_note(unfiled: Mapping[str, bytes]) -> str:
    """Return what the filing instructions say of changes that were printed before and are not on record."""
    if not unfiled:
        return ""
    several = len(unfiled) > 1
    return (
        f"Changes that were printed before these are not on record: {' and '.join(unfiled)}. If "
        f"{'sheets of one of them' if several else 'those sheets'} are in the binder, do not file these: run bookgen "
        f"filed with {'the name of that one' if several else 'that name'}, and bookgen binder --changes once more."
    )


def _anew(then: str, now: str, target: Path) -> str:
    """Return the sentence on a binder that is printed on other paper than its sheets on record."""
    return (
        f"The whole binder is to be printed anew: on record it is {then}; now it is {now}. The two do not stand in one "
        f"binder, so no changes are printed. Run bookgen binder, print {target / FILES[BINDER]}, put it in place of "
        "all that is in the binder, and run bookgen filed --whole."
    )


def _keep_list(root: Path, after: Filed) -> tuple[str, ...]:
    """Keep with the book what was printed, so that it can be filed whatever becomes of the PDF; say where it cannot."""
    try:
        keep_printed(root, name_of(after), filed_text(after).encode())
    except CannotRecord as reason:
        return (f"{reason} Keep the PDF until you have run bookgen filed.",)
    return ()


def _must_be_filed(checked: Checked, filed: Filed, target: Path) -> None:
    """Raise NothingFiled where there is no record, BrokenRecord where there is one that cannot be read."""
    if not filed.readable:
        raise BrokenRecord(checked.book.findings)
    if not filed.leaves:
        raise NothingFiled(
            f"No binder is on record yet, so there are no changes to print: print {target / FILES[BINDER]} (bookgen "
            "binder makes it), put it into the binder, and run bookgen filed."
        )


def _draft(printing: Printing, filed: Filed, appearance: bool, progress: Progress | None) -> _Draft:
    """Print what differs, the list of effective sheets last, because it lists the others.  Raises PressError."""
    from ..binder import State, compare, effective_sheets, leaves_of, look_of, record_of, row_on_record

    then = printing.bindery.shelf.book.on_record()

    def state(sheet: Sheet) -> State:
        return State(code=sheet.leaf.code, content=sheet.content, look=look_of(sheet, printing.look))

    def due(sheets: Sequence[Sheet]) -> list[Sheet]:
        found = compare(then, [state(sheet) for sheet in sheets])
        codes = {*found.new, *found.changed, *(found.looks if appearance else ())}
        return [sheet for sheet in sheets if sheet.leaf.code in codes]

    def rows_of(sheets: Sequence[Sheet], told: Progress | None) -> list[EffectiveRow]:
        wanted = due(sheets)
        printed = printing.printed(wanted, told)
        pieces.update((sheet.piece.code, sheet.piece) for sheet in printed)
        rows = {sheet.row.code: sheet.row for sheet in printed}
        return [rows.get(sheet.leaf.code) or row_on_record(sheet, then[sheet.leaf.code]) for sheet in sheets]

    pieces: dict[str, PrintedLeaf] = {}
    others = leaves_of(printing.bindery)
    _must_know_codes(
        printing.bindery.shelf.book, then, {*printing.bindery.codes.values(), *(sheet.leaf.code for sheet in others)}
    )
    rows = rows_of(others, progress)
    listed = effective_sheets(printing.bindery, rows)
    whole = in_order(rows, rows_of(listed, None))
    return _Draft(
        found=compare(then, [state(sheet) for sheet in in_order(others, listed)]),
        pieces=tuple(pieces[leaf.code] for leaf in whole if leaf.code in pieces),
        after=record_of(whole, filed.looks, printing.words, against=state_of(filed)),
        codes=frozenset(
            code
            for sheet in (*others, *listed)
            for code in (sheet.leaf.code, *(held.code for held in sheet.leaf.holds))
        ),
    )


def _must_know_codes(book: Book, then: Collection[str], codes: Collection[str]) -> None:
    """Raise CodeUnknown where a leaf is on record, none has its code now, and a formula's code cannot be read."""
    nameless = [
        formula.path for formula in book.formulas.values() if "code" not in formula.places or "code" in formula.unread
    ]
    gone = [code for code in then if code not in codes]
    if nameless and gone:
        what = f"{gone[0]} is" if len(gone) == 1 else f"{', '.join(gone)} are"
        raise CodeUnknown(
            f"Nothing is printed: {what} in the binder and the code in {nameless[0]} cannot be read; put that right "
            "first."
        )


def _bound(printing: Printing, draft: _Draft, notes: Sequence[str]) -> tuple[bytes, tuple[str, ...]]:
    """Return the changes headed by the filing instructions, and what the press had to say.  Raises PressError."""
    from ..binder import filing_sheet, sheet_style
    from ..press.bind import bind
    from ..press.cache import Cache, cache_folder
    from ..press.render import render

    bindery = printing.bindery
    room = bindery.shelf.book.workroom
    codes = [piece.code for piece in draft.pieces]
    leaf = filing_sheet(bindery, draft.found, codes, draft.after, notes)
    heading = render(leaf.leaf, sheet_style(bindery.theme, room, "filing"), cache=Cache(folder=cache_folder()))
    pieces = (heading, *draft.pieces)
    bound = bind(
        pieces,
        title=f"{room.title}: changes",
        lang=room.language,
        author=room.keeper,
        duplex=room.duplex,
        elsewhere=draft.codes,
        attached={LIST: filed_text(draft.after).encode()},
    )
    said = [problem for piece in pieces for problem in piece.problems]
    return bound.pdf, tuple(f"{problem.code}: {problem.sentence}" for problem in (*said, *bound.problems))
