"""What was printed to be put into the binder and is not on record yet.

Each printed PDF carries the list of all that the binder holds once it is filed.  The lists of printed changes are also
kept with the book, so that whatever becomes of the output folder, what is on paper can be filed as it was printed.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from ..findings import Finding, Severity
from ..model import Filed
from ..pipeline import BINDER, CHANGES, FILES, LIST, SITE
from ..source import read_filed, state_of
from ..source.desk import Desk
from ..source.filed import LARGEST_RECORD, RECORD, is_record
from ..source.writing import PRINTED

LARGEST_PDF = 1024 * 1024 * 1024
"""Bytes of the largest PDF that is looked into."""
_EARLIER = "changes-earlier"
"""How the names of changes begin that were replaced by newer ones before they were on record."""


class NothingFiled(Exception):
    """There is no record to compare with, or nothing printed to file; the text is a sentence for the keeper."""


class BrokenRecord(Exception):
    """The record cannot be read; the findings say where."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(f"{RECORD} cannot be read; it says what is in the binder, and is not guessed.")
        self.findings = tuple(
            finding for finding in findings if is_record(finding.place.path) and finding.severity is Severity.ERROR
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSet:
    """A printed set, and what the binder holds once it is filed."""

    path: Path
    """The PDF, or the list that was kept of it."""
    after: Filed
    """What it lists."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What tells one printed set from another."""

    path: Path
    """The PDF, or the list that was kept of it."""
    into: tuple[str, ...]
    """Codes of leaves that it puts in, in the order of the binder."""
    out: tuple[str, ...]
    """Codes of leaves that it takes out for good."""
    check: str
    """Check codes in the feet of its list of effective sheets, in words."""


class SeveralWait(Exception):
    """More than one printed set may be in the binder, and nobody said which; the newest first."""

    def __init__(self, choices: tuple[Choice, ...]) -> None:
        super().__init__("More than one printed set may be in the binder.")
        self.choices = choices


def waiting(root: Path, filed: Filed) -> tuple[PrintedSet, ...]:
    """Return the printed changes that can be put on record as it is, each once, the newest in the output folder first.

    Those that were made against another record say what the binder would hold if it were another one.
    """
    found: dict[str, PrintedSet] = {}
    for change in (*printed_changes(root / SITE), *_kept(root)):
        state = state_of(change.after)
        if change.after.against == state_of(filed) and state != state_of(filed):
            found.setdefault(state, change)
    return tuple(found.values())


def printed_changes(target: Path) -> Iterator[PrintedSet]:
    """Yield the changes in an output folder that can be read, the newest first."""
    try:
        names = os.listdir(target)
    except OSError:
        return
    earlier = sorted((name for name in names if name.startswith(_EARLIER) and name.endswith(".pdf")), key=_number)
    for name in (FILES[CHANGES], *reversed(earlier)):
        try:
            yield PrintedSet(path=target / name, after=list_in(target / name))
        except NothingFiled:
            continue


def _number(name: str) -> int:
    """Return the number in the name of earlier changes; 1 where it has none."""
    digits = name.removeprefix(_EARLIER).removesuffix(".pdf").removeprefix("-")
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 10 else 1


def free_name(taken: Iterable[str]) -> str:
    """Return the name for changes that are replaced and kept, beside those that are kept already."""
    number = 1 + max(map(_number, taken), default=0)
    return f"{_EARLIER}.pdf" if number == 1 else f"{_EARLIER}-{number}.pdf"


def _kept(root: Path) -> Iterator[PrintedSet]:
    """Yield the lists that were kept with the book and can be read."""
    for path in sorted((root / PRINTED).glob("*.yaml")):
        try:
            yield PrintedSet(path=path, after=list_in(path))
        except NothingFiled:
            continue


def checks_of(after: Filed) -> tuple[str, ...]:
    """Return the check codes in the feet of the sheets of the list of effective sheets, as printed."""
    from ..binder import is_list
    from ..binder.digest import check_code

    return tuple(check_code(leaf.content) for leaf in after.leaves if is_list(leaf))


def check_of(after: Filed) -> str:
    """Return these check codes in words; empty where there is no list."""
    codes = checks_of(after)
    return " and ".join(filter(None, (", ".join(codes[:-1]), *codes[-1:])))


def name_of(after: Filed) -> str:
    """Return what a list that is kept with the book is called: by its check code, of several sheets by its state."""
    codes = checks_of(after)
    return codes[0] if len(codes) == 1 else state_of(after)


def list_in(path: Path, *, usual: bool = False) -> Filed:
    """Return the list that a printed PDF carries, or one that was kept of it.

    Raises NothingFiled where there is none that can be read; `usual` says that nobody named the file.
    """
    from ..press.attached import DamagedPdf, read_attached

    makes = "bookgen binder" if path.name == FILES[BINDER] else "bookgen binder --changes"
    try:
        if path.suffix == ".yaml":
            with open(path, "rb") as file:
                content: bytes | None = file.read(LARGEST_RECORD + 1)
        elif path.stat().st_size > LARGEST_PDF:
            raise NothingFiled(f"{path} is larger than any binder.")
        else:
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
