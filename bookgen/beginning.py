"""What a keeper begins: a book, a formula, a material.  New files only; nothing that stands is touched.

Enters: the folder and the words typed.  Leaves: the paths that were written, or `Declined` with a sentence.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from .model import Book, Formula, Material
from .pipeline import must_be_book
from .source import (
    complaint_about,
    first_files,
    formula_text,
    material_text,
    read_balance,
    read_book,
    stem_of,
    workroom_text,
)
from .source.amounts import tidy
from .source.asked import NAMELESS, with_a_name
from .source.book import BATCHES, EARLIER, LATER, MATERIALS
from .source.codes import name_complaint
from .source.naming import hint_in
from .source.writing import AlreadyThere, must_hold_no_book, write_book, write_new
from .units import Complaint
from .wording.saying import Saying, says

_CODE = re.compile(r"[A-Z]{1,3}-?[0-9]+")
"""What looks like the code of a formula, and not like a material's name."""

NO_CHAPTERS = {MATERIALS, BATCHES, EARLIER, *LATER}
"""Folders below `formulas/` whose files are no formulas."""


class Declined(Exception):
    """Nothing was written; the text is a sentence for the user."""

    def __init__(self, told: Saying) -> None:
        super().__init__(str(told))
        self.says = told


# ── A book ────────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What a keeper says of a new book; what is left out is taken as usual."""

    title: str | None = None
    """The title of the book."""
    balances: tuple[str, ...] = ()
    """Each as typed: `fine balance, 0.001 g, 20 g`."""
    droppers: tuple[str, ...] | None = None
    """Names of the droppers; empty for none."""
    paper: str | None = None
    """Format of the binder's sheets."""


def workroom_for(answers: Answers) -> str:
    """Return the workroom file for these answers.  Raises Declined where one of them cannot be read."""
    given: dict[str, object] = {}
    if answers.title is not None:
        if not answers.title.strip():
            raise Declined(says("title-empty"))
        given["title"] = answers.title
    if answers.balances:
        balances: list[tuple[str, ...]] = []
        for text in answers.balances:
            balance = read_balance(text)
            if isinstance(balance, Complaint):
                raise Declined(says("balance", says=balance.says))
            if balance[0].casefold() == NAMELESS and any(balance[0].casefold() == NAMELESS for balance in balances):
                raise Declined(says("balance", says=says("balance-nameless", wanted=with_a_name(balance, balances))))
            balances.append(balance)
        given["balances"] = balances
    if answers.droppers is not None:
        given["droppers"] = answers.droppers
    if answers.paper is not None:
        given["paper"] = answers.paper
    text = workroom_text(**given)  # type: ignore[arg-type]
    wrong = complaint_about(text)
    if wrong:
        raise Declined(says("as-sentence", says=wrong))
    return text


def must_be_new(root: Path) -> None:
    """Raise Declined where a folder holds a book already."""
    try:
        must_hold_no_book(root)
    except AlreadyThere as there:
        raise Declined(there.says) from there


def begin(root: Path, answers: Answers) -> tuple[str, ...]:
    """Write a new book into a folder; return its files.  Raises Declined, and CannotAdd where the disk refuses."""
    files = first_files(workroom_for(answers))
    try:
        write_book(root, files)
    except AlreadyThere as there:
        raise Declined(there.says) from there
    return tuple(files)


# ── A formula, a material ─────────────────────────────────────────────────────────────────────────────────────────


def add_formula(root: Path, code: str, title: str, chapter: str | None = None) -> str:
    """Write a new formula without ingredients; return its path.

    `chapter` is a folder below `formulas/`; by default the one where the codes with the same letters are, else none.
    Raises NoBook, Declined, and CannotAdd.
    """
    book = _whole_book(root)
    code, title = code.strip(), tidy(title)
    wrong = name_complaint(code)
    if wrong:
        raise Declined(says("code-refused", name=code, why=wrong))
    if not title:
        raise Declined(says("title-missing", code=code))
    _must_be_free(book, code)
    folder = _chapter_of(book, code) if chapter is None else _chapter_named(chapter)
    stem = stem_of(title, book.workroom.language) or code.lower()
    path = "/".join(part for part in ("formulas", folder, f"{stem}.md") if part)
    _write(root, book, {path: formula_text(code, title)})
    return path


def add_material(root: Path, name: str) -> str:
    """Write a new material of which the name is known; return its path.  Raises NoBook, Declined, and CannotAdd."""
    book = _whole_book(root)
    if _CODE.fullmatch(name.strip().upper()):
        code = name.strip()
        raise Declined(says("code-for-material", code=code))
    path, text = _material(book, tidy(name))
    stem = PurePosixPath(path).stem
    _must_be_free(book, stem)
    for material in book.materials.values():
        if tidy(name).casefold() in (material.name.casefold(), *(also.casefold() for also in material.also)):
            raise Declined(says("name-of-other", name=tidy(name), other=material.key, path=material.path))
    _write(root, book, {path: text})
    return path


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What was written for the ingredients that had no file, and what was not."""

    written: tuple[str, ...]
    """The new files."""
    told: tuple[Saying, ...]
    """Why an ingredient got none, in sentences."""


def add_missing(root: Path) -> Added:
    """Write a file for each ingredient that has none, with its name alone.  Raises NoBook, Declined, and CannotAdd.

    What resembles a name that the book has may be a slip, and what looks like a code is a formula to be written: these
    are told.
    """
    book = _whole_book(root)
    files: dict[str, str] = {}
    told = [says("maybe-slip", name=name, hint=hint_in(book, name)) for name in book.naming.meant]
    for typed in book.naming.unfiled.values():
        if _CODE.fullmatch(typed):
            told.append(says("looks-like-code", name=typed))
            continue
        try:
            path, text = _material(book, _name_for(book, typed))
            _must_be_free(book, PurePosixPath(path).stem)
        except Declined as declined:
            told.append(says("no-file-because", name=typed, says=declined.says))
            continue
        if path in files:
            told.append(says("file-of-two", name=typed, path=path))
            continue
        files[path] = text
    _write(root, book, files)
    return Added(written=tuple(files), told=tuple(told))


def _name_for(book: Book, typed: str) -> str:
    """Return the name of a material that lines call so: a file's name in words, where no other material has them."""
    words = typed.replace("-", " ").strip()
    if name_complaint(typed) or words.casefold() in (*book.naming.names, *book.naming.shared):
        return typed
    return words


def _material(book: Book, name: str) -> tuple[str, str]:
    """Return the path and the text of a material's file."""
    if not name:
        raise Declined(says("material-nameless"))
    stem = stem_of(name, book.workroom.language)
    if not stem:
        raise Declined(says("no-letters", name=name))
    return f"formulas/materials/{stem}.md", material_text(name)


def _whole_book(root: Path) -> Book:
    """Return the book.  Raises NoBook, and Declined where part of it cannot be read: that may be what is added."""
    must_be_book(root)
    book = read_book(root)
    if book.unread:
        raise Declined(says("unread-first", path=book.unread[0]))
    return book


def _must_be_free(book: Book, name: str) -> None:
    """Raise Declined where a formula has that code or a material's file that name."""
    there = book.at(name.casefold())
    if isinstance(there, Formula):
        raise Declined(says("code-given", code=there.code, title=there.title, path=there.path))
    if isinstance(there, Material):
        raise Declined(says("material-there", key=there.key, name=there.name, path=there.path))


def _chapter_of(book: Book, code: str) -> str:
    """Return the chapter where most formulas are whose codes begin with the same letters; empty where none do."""
    letters = code.rstrip("0123456789").casefold()
    alike = Counter(
        formula.chapter for formula in book.formulas.values() if formula.code.rstrip("0123456789").casefold() == letters
    )
    return alike.most_common(1)[0][0] if alike else ""


def _chapter_named(text: str) -> str:
    """Return a folder below `formulas/` as it is named; raise Declined where it is none that may hold formulas."""
    folder = text.strip().removeprefix("formulas/").strip("/")
    parts = folder.split("/") if folder else []
    if any(part in ("", ".", "..") or part.startswith(".") or "\\" in part for part in parts):
        raise Declined(says("no-chapter", text=text))
    if parts and parts[0] in NO_CHAPTERS:
        raise Declined(says("not-for-formulas", folder=parts[0]))
    return folder


def _write(root: Path, book: Book, files: Mapping[str, str]) -> None:
    """Write the files, unless one is called as a file of the book is but for capitals."""
    paths = [
        *(formula.path for formula in book.formulas.values()),
        *(material.path for material in book.materials.values()),
    ]
    called = {path.casefold(): path for path in paths}
    for path in files:
        if path.casefold() in called:
            raise Declined(says("file-there", path=called[path.casefold()]))
    try:
        write_new(root, files)
    except AlreadyThere as there:
        raise Declined(there.says) from there
