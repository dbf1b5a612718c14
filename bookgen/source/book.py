"""Files into a book: every front matter first, then the bodies, which may refer to any of them.

Pure: the files come as bytes, the findings leave with the book.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import PurePosixPath
from typing import NamedTuple

from ..findings import Finding, in_order
from ..model import BatchRecord, Book, DecimalSign, Filed, Formula, Material, Workroom
from ..wording.saying import Saying, says
from .batches import read_batch
from .body import Surroundings, read_body
from .codes import name_complaint
from .desk import Desk
from .filed import RECORD, is_record, read_filed
from .front import Text, decode, split_front
from .memory import AskedPages, KeptBody, KeptFront, Memory
from .naming import naming_of
from .records import FromFile, read_formula, read_material, read_workroom
from .tree import Branch, read_tree
from .trials import Expanded, expand, with_body
from .typed import Names

WORKROOM = "formulas/workroom.yaml"
MATERIALS = "materials"
"""Folder below `formulas/` whose Markdown files are materials."""
BATCHES = "batches"
"""Folder below `formulas/` whose Markdown files are batch records; all other Markdown files are formulas."""
EARLIER = "earlier"
"""Folder below `formulas/` that keeps earlier issues of formulas, one a file."""

LATER = {"procedures"}
"""Folders below `formulas/` that the format keeps for other records; their files are no formulas."""

Record = Formula | Material | BatchRecord
"""What one Markdown file of a book holds."""


class _File(NamedTuple):
    """A file whose front matter is read and whose body is not."""

    record: Record
    text: Text
    desk: Desk


def book_from(
    files: Mapping[str, bytes],
    picture: Callable[[str], bytes | Saying] | None = None,
    findings: Iterable[Finding] = (),
    memory: Memory | None = None,
) -> Book:
    """Return the book that these files make.

    `files` maps a path relative to the book's folder, such as `formulas/waters/rose.md`, to its content; `picture`
    returns an image's content or why it cannot be had (by default it looks among the files); `findings` are those
    that reading the disk already had, each of something that belongs to the book and could not be read.  With a
    `memory` only what changed is read, and the rest is the very same records; it then remembers this book.
    """
    memory = memory or Memory(lasting=False)
    found = list(findings)
    unread = tuple(dict.fromkeys(finding.place.path for finding in found if not is_record(finding.place.path)))
    workroom, comma = _workroom(files, found)
    filed = _filed(files, found, memory)
    gathering = _Gathering(_fronts(files, comma, memory), filed, memory, found)
    gathering.complete_trials(comma)
    gathering.read_bodies(picture or (lambda path: files.get(path, says("no-such-file"))))
    memory.forget_all_but(files)
    return Book(
        workroom=workroom,
        formulas=gathering.formulas,
        materials=gathering.materials,
        batches=gathering.batches,
        earlier=gathering.earlier,
        naming=gathering.naming,
        filed=filed,
        findings=in_order(found),
        unread=unread,
        files=gathering.pictures,
    )


class _Gathering:
    """The records of a book while they are put together: front matter first, then trials as whole formulas, then
    bodies, which may refer to any of them."""

    def __init__(self, read: Sequence[_File], filed: Filed, memory: Memory, found: list[Finding]) -> None:
        """Enter the front matter of all files under its names; findings go into `found`."""
        self._filed, self._memory, self._found = filed, memory, found
        self._old = [file for file in read if is_earlier(file.record.path)]
        self._present = [file for file in read if not is_earlier(file.record.path)]
        self.formulas: dict[str, Formula] = {}
        self.materials: dict[str, Material] = {}
        self.batches: dict[str, BatchRecord] = {}
        self.earlier: dict[str, Formula] = {}
        self.pictures: dict[str, bytes] = {}
        self._pages = _enter(self._present, self.formulas, self.materials)
        self._made = _enter_batches(self._present, self.batches)
        self.naming = naming_of(self.formulas, self.materials, filed)
        self._trials: dict[str, Expanded] = {}

    def complete_trials(self, comma: bool) -> None:
        """Put whole formulas in the place of trials, in which only what differs is written."""
        names = self.naming.names
        issues = {_earlier_key(file.record): file.record for file in self._old if isinstance(file.record, Formula)}
        issues.pop("", None)
        self._trials = expand(
            self.formulas,
            issues,
            self._memory.trials,
            lambda name: names.get(name.casefold(), name.casefold()),
            comma=comma,
        )
        if not self._trials:
            return
        self.formulas.update((key, trial.formula) for key, trial in self._trials.items() if key in self.formulas)
        self.naming = naming_of(self.formulas, self.materials, self._filed)
        whole = {trial.own.path: trial for trial in self._trials.values()}
        self._present = [_whole(file, whole.get(file.record.path)) for file in self._present]
        self._old = [_whole(file, whole.get(file.record.path), quiet=True) for file in self._old]

    def read_bodies(self, see: Callable[[str], bytes | Saying]) -> None:
        """Read what stands below the front matter; `see` returns an image's content or why it cannot be had."""
        known = self._nameable()
        for file in self._present:
            self._read_body(file, known, see)
        self.earlier = _earlier(self._old, self._pages, known, see, self._found)
        at = {**self._pages, **{formula.path: key for key, formula in self.earlier.items()}}
        for key, trial in self._trials.items():
            if trial.base is not None:
                those, base = (self.formulas if key in self.formulas else self.earlier), at[trial.base.path]
                those[key] = with_body(those[key], self.formulas[base] if base in self.formulas else self.earlier[base])

    def _nameable(self) -> dict[str, Formula | Material]:
        """Return all that a body may refer to, by its names."""
        records: dict[str, Formula | Material] = {**self.materials, **self.formulas}
        return {
            **{name: records[key] for name, key in self.naming.former.items()},
            **{name: self.materials[key] for name, key in self.naming.names.items()},
            **records,
        }

    def _read_body(
        self, file: _File, known: Mapping[str, Formula | Material], see: Callable[[str], bytes | Saying]
    ) -> None:
        """Read the body of one file, unless it is known and still holds."""
        record, text, desk = file
        bodies = self._memory.bodies
        kept = bodies.get(record.path)
        if kept is None or not kept.holds(record, self._pages, known, see):
            kept = _body(record, text, desk, self._pages, known, see)
            if self._memory.lasting:
                bodies[record.path] = kept
        desk.findings.extend(kept.findings)
        self.pictures.update(kept.images)
        key = self._pages.get(record.path)
        if isinstance(kept.record, BatchRecord):
            if record.path in self._made:
                self.batches[self._made[record.path]] = kept.record
        elif key is not None and isinstance(kept.record, Formula):
            self.formulas[key] = kept.record
        elif key is not None and isinstance(kept.record, Material):
            self.materials[key] = kept.record
        if desk.findings:
            self._found.extend(desk.concerning(*_called(record)))


def _fronts(files: Mapping[str, bytes], comma: bool, memory: Memory) -> list[_File]:
    """Return the files of records with their front matter, by path."""
    paths = (path for path in sorted(files) if path != WORKROOM and path.endswith(".md"))
    read = (_known_front(path, files[path], comma, memory) for path in paths)
    return [file for file in read if file is not None]


def _whole(file: _File, trial: Expanded | None, *, quiet: bool = False) -> _File:
    """Return a file with its trial as a whole formula, and unless `quiet` what is wrong with its lines among its
    findings."""
    if trial is None:
        return file
    if not quiet:
        file.desk.findings.extend(trial.findings)
    return file._replace(record=trial.formula)


def _called(record: Record) -> tuple[str, str]:
    """Return the code of a record and what its findings begin with; no title where that would be the file's name."""
    if isinstance(record, BatchRecord):
        return record.key, record.key
    code, title = (record.code, record.title) if isinstance(record, Formula) else (record.key, record.name)
    return code, "" if title == PurePosixPath(record.path).stem else title


def _workroom(files: Mapping[str, bytes], found: list[Finding]) -> tuple[Workroom, bool]:
    """Return the workroom and whether its decimal sign is the comma."""
    content = files.get(WORKROOM)
    if content is None:
        return Workroom(), False
    desk = Desk(WORKROOM)
    text = decode(content, desk) if content.strip() else ""
    if text is None:
        found.extend(replace(finding, rule="unreadable-workroom") for finding in desk.concerning())
        return Workroom(), False
    branch, whole = read_tree(text, 1, desk)
    if not whole:
        found.extend(replace(finding, rule="unreadable-workroom") for finding in desk.concerning())
        return Workroom(), False
    # The sign comes first, because the other figures of the file are read by it.
    desk.comma = any(
        key.text == "decimal" and getattr(value, "text", "").strip().lower() == DecimalSign.COMMA
        for key, value in branch.entries
    )
    workroom = read_workroom(branch, WORKROOM, desk)
    found.extend(desk.concerning())
    return workroom, desk.comma


def _filed(files: Mapping[str, bytes], found: list[Finding], memory: Memory) -> Filed:
    """Return the record of what is in the binder, which bars nothing where it is broken; nothing filed without one."""
    content = files.get(RECORD)
    if content is None:
        # A file that is there and cannot be opened is reported already: what is in the binder is then not known.
        return Filed(readable=not any(is_record(finding.place.path) for finding in found))
    if memory.record is None or memory.record[0] != content:
        desk = Desk(RECORD)
        filed = read_filed(content, desk)
        if filed.readable and not filed.on:
            desk.report("missing-key", says("day-lacking"), 1, 1)
            filed = replace(filed, readable=False)
        memory.record = content, filed, desk.concerning()
    found.extend(memory.record[2])
    return memory.record[1]


def _known_front(path: str, content: bytes, comma: bool, memory: Memory) -> _File | None:
    """Return a file's front matter as it was read last, or read it where the file is another."""
    kept = memory.fronts.get(path)
    if kept is None or kept.comma is not comma or kept.content != content:
        file = _front(path, content, comma)
        if file is None or not memory.lasting:
            return file
        found = tuple(file.desk.findings)
        kept = KeptFront(content=content, comma=comma, record=file.record, text=file.text, findings=found)
        memory.fronts[path] = kept
    desk = Desk(path, comma=comma)
    desk.findings.extend(kept.findings)
    return _File(kept.record, kept.text, desk)


def _body(
    record: Record,
    text: Text,
    desk: Desk,
    pages: Mapping[str, str],
    known: Mapping[str, Formula | Material],
    see: Callable[[str], bytes | Saying],
) -> KeptBody:
    """Read the body below a front matter."""
    names = Names(record if isinstance(record, Formula) else None, known)
    own = Desk(desk.path, comma=desk.comma)
    asked, pictures = AskedPages(pages), dict[str, bytes | Saying]()

    def seen(path: str) -> bytes | Saying:
        pictures[path] = see(path)
        return pictures[path]

    body, images = read_body(text.body, text.body_line, own, Surroundings(asked, names, seen))
    names.close()
    return KeptBody(
        front=record,
        record=replace(record, body=body) if body.sections else record,
        images=images,
        findings=tuple(own.findings),
        pages=asked.answers,
        all_pages=pages if asked.whole else None,
        names=names,
        pictures=pictures,
    )


def _front(path: str, content: bytes, comma: bool) -> _File | None:
    """Read one file's front matter; None when the file holds nothing that can be read."""
    *folders, name = path.split("/")
    below = folders[1:]
    if below and below[0] in LATER:
        return None
    desk = Desk(path, comma=comma)
    source = FromFile(path=path, stem=name.removesuffix(".md"), chapter="/".join(below))
    is_material = bool(below) and below[0] == MATERIALS
    if is_material:
        wrong = name_complaint(source.stem)
        if wrong:
            desk.report("bad-name", says("bad-file-name", name=source.stem, why=wrong))
    text = decode(content, desk)
    if text is None:
        split, branch, whole = Text("", 1, "", 1, False), Branch(1, 1), False
    else:
        split = split_front(text, desk)
        branch, whole = read_tree(split.front, split.front_line, desk)
        whole = whole and split.whole
    read = split._replace(front="")  # of a book of thousands the bodies are enough to hold
    if is_material:
        return _File(read_material(branch, whole, source, desk), read, desk)
    if below and below[0] == BATCHES:
        return _File(read_batch(branch, whole, source, desk), read, desk)
    return _File(read_formula(branch, whole, source, desk), read, desk)


class FrontAlone(NamedTuple):
    """A formula's file, of which no body is read."""

    formula: Formula
    body: str
    """The text below the front matter."""
    closing: int
    """The line `---` that closes the front matter."""
    whole: bool
    """True when all of the front matter could be read."""
    rules: tuple[str, ...]
    """What is wrong with it, by the names of the rules."""


def front_alone(path: str, content: bytes, comma: bool) -> FrontAlone | None:
    """Return the front matter of one formula's file; None where it holds none.  `comma` is the book's decimal sign."""
    file = _front(path, content, comma)
    if file is None or not isinstance(file.record, Formula):
        return None
    rules = tuple(sorted(finding.rule for finding in file.desk.findings))
    return FrontAlone(file.record, file.text.body, file.text.body_line - 1, file.record.readable, rules)


def findings_alone(path: str, content: bytes, comma: bool) -> tuple[Finding, ...]:
    """Return what is found in the front matter of one file alone.  `comma` is the decimal sign that it is read with."""
    file = _front(path, content, comma)
    return () if file is None else tuple(file.desk.findings)


def is_earlier(path: str) -> bool:
    """Return whether a path of the book is that of an earlier issue."""
    return path.startswith(f"formulas/{EARLIER}/")


def _earlier_name(formula: Formula) -> str:
    return f"{formula.code}-issue-{formula.issue}.md"


def _earlier_key(record: Record) -> str:
    """Return the key of an earlier issue, `s-02@3`; empty where its file is not called so."""
    if not isinstance(record, Formula) or record.path != f"formulas/{EARLIER}/{_earlier_name(record)}":
        return ""
    return f"{record.code.casefold()}@{record.issue}"


def _earlier(
    read: Iterable[_File],
    pages: Mapping[str, str],
    known: Mapping[str, Formula | Material],
    see: Callable[[str], bytes | Saying],
    found: list[Finding],
) -> dict[str, Formula]:
    """Return the earlier issues as `code@issue`, each in a file that bears code and issue as its name.

    What their bodies link to may be gone by now and nobody makes them: of those nothing is said.
    """
    earlier: dict[str, Formula] = {}
    for record, text, desk in read:
        if not isinstance(record, Formula):
            continue
        name = _earlier_name(record)
        if record.readable and not _earlier_key(record):
            place = record.places.get("issue") or record.places.get("code")
            told = says("earlier-name", code=record.code, issue=record.issue, name=name)
            desk.report("earlier-name", told, place.line if place else 1, place.column if place else 1)
        else:
            kept = _body(record, text, desk, pages, known, see).record
            if isinstance(kept, Formula):
                earlier[f"{record.code.casefold()}@{record.issue}"] = kept
        found.extend(desk.concerning())
    return earlier


def _enter(read: Iterable[_File], formulas: dict[str, Formula], materials: dict[str, Material]) -> dict[str, str]:
    """Enter the records under their codes and file names, which share one namespace; return path → key.

    The second of two with one name is reported and left out: nobody could say which of them a line means.
    """
    pages: dict[str, str] = {}
    taken: dict[str, tuple[bool, str]] = {}
    named: dict[str, Material] = {}
    for record, _, desk in sorted(read, key=lambda file: isinstance(file.record, Formula)):
        if isinstance(record, BatchRecord):
            continue
        name = record.code if isinstance(record, Formula) else record.key
        key = name.casefold()
        if key in taken:
            place = record.places.get("code") if isinstance(record, Formula) else None
            of_formula, path = taken[key]
            told = says("code-taken" if of_formula else "name-taken", name=name, path=path)
            desk.report("duplicate-name", told, place.line if place else 0, place.column if place else 0)
            continue
        taken[key] = (isinstance(record, Formula), record.path)
        pages[record.path] = key
        if isinstance(record, Formula):
            formulas[key] = record
            continue
        materials[key] = record
        same = named.setdefault(record.name.casefold(), record)
        if same is not record and "name" in record.places:
            place = record.places["name"]
            told = says("name-shared", name=record.name, other=same.key)
            desk.report("shared-name", told, place.line, place.column)
    return pages


def _enter_batches(read: Iterable[_File], batches: dict[str, BatchRecord]) -> dict[str, str]:
    """Enter the batch records under their numbers; return path → key.

    The second of two with one number is reported and left out: nobody could say which of them a lot means.
    """
    made: dict[str, str] = {}
    for record, _, desk in read:
        if not isinstance(record, BatchRecord):
            continue
        key = record.key.casefold()
        if key in batches:
            place = record.places.get("batch")
            told = says("batch-taken", batch=record.key, path=batches[key].path)
            desk.report("duplicate-name", told, place.line if place else 0, place.column if place else 0)
            continue
        batches[key] = record
        made[record.path] = key
    return made
