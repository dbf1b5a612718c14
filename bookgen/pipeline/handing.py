"""One formula to hand on: as one file of HTML, as sheets in one PDF, or as files that another book can take in.

Enters: a checked book and a formula's key.  What leaves is made of a book that holds nothing else: no other formula,
and nothing of the keeper's, which `edition_for_others` takes out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from typing import Any

from ..language import speaking
from ..model import Body, DecimalSign, Formula, Material
from ..reckon.blends import Blend
from ..reckon.first import with_below
from ..source import book_from, part_of
from ..source.book import WORKROOM, is_earlier
from ..source.edition import bases_of, formula_for_others
from ..source.sharing import CannotShare, shared
from ..source.signs import figures_turned
from ..source.writing import write_book
from ..wording.saying import Saying, says
from ..written import lines_of, plain_text
from .checking import Checked, edition_for_others
from .loose import PrintedAlone
from .publishing import in_sentences

HANDED_ON = "formula"
"""What the file calls itself, so that it is known again and may be written over."""


class CannotHandOn(Exception):
    """Nothing was handed on; the text is a sentence for the user."""

    def __init__(self, told: Saying) -> None:
        super().__init__(str(told))
        self.says = told


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """A formula with what it is made of, and nothing else of its book."""

    checked: Checked
    """A book of these formulas and materials alone, without what is the keeper's."""
    key: str
    """The formula."""
    behind: tuple[str, ...]
    """Its intermediates, users before used."""
    earlier: tuple[Formula, ...] = ()
    """Earlier issues that trials among them are based on."""


def handed(checked: Checked, key: str, *, bases: bool = False) -> Handed:
    """Return what a formula takes with it when it is handed on; with `bases` also what a trial is based on.

    Raises CannotHandOn, and NotForOthers.
    """
    barred = checked.review.barred.get(key)
    if barred is not None:
        formula = checked.book.formulas[key]
        raise CannotHandOn(says("hand-on-barred", code=formula.code or key, why=barred.says))
    keys = with_below(checked.reckoning, (key,))
    earlier: dict[str, Formula] = {}
    if bases:
        present, earlier = bases_of(checked.book, keys)
        keys = with_below(checked.reckoning, tuple(present))
    lines = [line for name in keys for line in checked.reckoning.figures[name].amounts.lines]
    waters = {line.blend.water for line in lines if isinstance(line.blend, Blend)}
    book = part_of(checked.book, {*keys, *waters, *(line.key for line in lines if line.key)})
    return Handed(
        checked=edition_for_others(replace(checked, book=book)),
        key=key,
        behind=tuple(name for name in keys if name != key),
        earlier=tuple(map(formula_for_others, earlier.values())),
    )


def files_of(given: Handed) -> dict[str, bytes]:
    """Return path → content of the files of a formula, its intermediates, their materials and pictures.

    They are a book by themselves, which says no more than how its numbers are written.  Raises CannotHandOn where they
    would be read as something else.
    """
    checked = given.checked
    book, comma = checked.book, checked.book.workroom.decimal is DecimalSign.COMMA
    records: list[Formula | Material] = [*book.formulas.values(), *book.materials.values(), *given.earlier]
    paths = {record.path for record in records}
    files = {WORKROOM: f"decimal: {book.workroom.decimal}\n".encode()}
    try:
        for record in sorted(records, key=lambda record: record.path):
            files[record.path] = shared(record.path, (checked.root / record.path).read_bytes(), paths, comma=comma)
    except CannotShare as reason:
        raise CannotHandOn(reason.says) from reason
    if other := read_otherwise(records, files, book.files):
        raise CannotHandOn(says("hand-on-otherwise", path=other))
    return files | dict(sorted(book.files.items()))


def read_otherwise(
    records: Iterable[Formula | Material], files: Mapping[str, bytes], pictures: Mapping[str, bytes]
) -> str:
    """Return the path of the first of some records that files would be read otherwise than; empty where none is.

    A figure is the same with the other decimal sign, also where it is kept as it was written.
    """
    back = book_from(files, lambda path: pictures.get(path, says("no-such-file")))
    for record in records:
        kind: Mapping[str, Formula | Material] = back.formulas if isinstance(record, Formula) else back.materials
        kind = back.earlier if is_earlier(record.path) else kind
        again = next((other for other in kind.values() if other.path == record.path), None)
        if again is None or _with_points(_meaning(again)) != _with_points(_meaning(record)):
            return record.path
    return ""


_AS_WRITTEN = frozenset({"text", "result"})
"""Fields that keep figures as they were written."""


def _with_points(value: Any) -> Any:
    """Return what a file says with the figures that are kept as they were written in one decimal sign."""
    if isinstance(value, tuple | list):
        return tuple(map(_with_points, value))
    if not is_dataclass(value) or isinstance(value, type):
        return value
    return (
        type(value),
        *(
            figures_turned(own, comma=False) if part.name in _AS_WRITTEN and isinstance(own, str) else _with_points(own)
            for part in fields(value)
            if part.compare
            for own in (getattr(value, part.name),)
        ),
    )


def _meaning(record: Formula | Material) -> tuple[object, ...]:
    """Return what a file says, wherever it stands in it and whatever its links to other files lead to."""
    body = record.body
    words = [(section.title, [*map(plain_text, lines_of(section.blocks))]) for section in body.sections]
    front = replace(record, body=Body())
    return (
        front,
        [(title, [text for text in texts if text]) for title, texts in words],
        body.amounts,
        body.times,
        body.images,
    )


def hand_on_files(given: Handed, folder: Path) -> int:
    """Write the files into a new folder; return how many.  Raises CannotHandOn, and CannotAdd."""
    files = files_of(given)
    home, top = (given.checked.root / "formulas").resolve(), folder.resolve()
    if top.is_relative_to(home):
        raise CannotHandOn(says("hand-on-into-book", path=str(folder)))
    write_book(folder, files)
    return len(files)


def hand_on_page(given: Handed, target: Path) -> None:
    """Write one file of HTML.  Raises CannotPublish and FaultyTheme."""
    from ..look import load_theme
    from ..pages.alone import page_alone
    from ..press.alone import write_alone

    checked = given.checked
    with in_sentences(target):
        page = page_alone(checked.reckoning, checked.review, load_theme(checked.root), given.key, given.behind)
        write_alone(target, page, HANDED_ON)


def hand_on_sheets(given: Handed, target: Path) -> PrintedAlone:
    """Write the sheets of a formula and of its intermediates as one PDF.  Raises CannotPublish and FaultyTheme."""
    from ..binder import bindery_for, sheet_style, sheets_of
    from ..look import load_theme
    from .loose import print_alone

    checked, room = given.checked, given.checked.book.workroom
    with in_sentences(target), speaking(room.language):
        theme = load_theme(checked.root)
        bindery = bindery_for(checked.reckoning, checked.review, theme)
        leaves = [sheet.leaf for sheet in sheets_of(bindery, (given.key, *given.behind))]
        formula = checked.book.formulas[given.key]
        title = f"{formula.code or given.key} {formula.title}"
        elsewhere = frozenset(bindery.shelf.stems.values())
        style = sheet_style(theme, room)
        return print_alone(checked, leaves, style, target, HANDED_ON, title, duplex=room.duplex, elsewhere=elsewhere)
