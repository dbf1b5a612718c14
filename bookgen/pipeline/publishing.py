"""All stages in a row, into the output folder: the pages, the binder, or both.  Decides nothing."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import date
from hashlib import file_digest, sha256
from pathlib import Path

from .. import __version__
from ..cores import made_ahead
from ..source import state_of
from ..source.filed import RECORD
from .checking import Checked, edition_for_others, seldom_collecting, without_collector
from .printing import Progress, whole_binder

SITE = "site"
BINDER = "binder"
CHANGES = "changes"
FILES = {SITE: "index.html", BINDER: "binder.pdf", CHANGES: "changes.pdf"}
"""Part of the output folder → its main file."""
TAKEN_AWAY = {
    BINDER: "The earlier binder was older than what is made now and was taken away; bookgen binder makes a new one.",
    SITE: "The earlier pages were older than what is made now and were taken away; bookgen site makes new ones.",
    CHANGES: "The earlier changes.pdf no longer starts from what is on record and was taken away; bookgen binder "
    "--changes makes a new one.",
}


class CannotPublish(Exception):
    """Nothing could be written; the text is a sentence for the user."""


class FaultyTheme(Exception):
    """A file of the book's own theme is not in order; the text is a sentence that names it, and the line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """What was written."""

    written: tuple[str, ...]
    """The main files."""
    problems: tuple[str, ...] = ()
    """What the press had to say, in sentences."""
    incomplete: bool = False
    """True when a part could not be made: the binder without Pango."""


def publish(
    checked: Checked,
    target: Path,
    *,
    site: bool = True,
    binder: bool = True,
    others: bool = False,
    today: date | None = None,
    progress: Progress | None = None,
    batches_of: frozenset[str] = frozenset(),
) -> Published:
    """Write the pages, the binder, or both, into the output folder: as a whole or not at all.

    The half that is not asked for stays if it was made from the same book.  For `others` what is the keeper's alone is
    taken out before anything is made, and what is the keeper's is never kept beside it.  The keeper's page of the
    shelf tells what is there on `today`; without a day there is none.  The batches of the formulas in `batches_of`,
    keys, are leaves of the binder too.  Without Pango the pages are
    made all the same, and the problems say what to install.  Raises CannotPublish, FaultyTheme and NotForOthers.
    """
    from ..look import load_theme
    from ..press.folder import FolderPart, check_folder, write_folder

    if others:
        checked = edition_for_others(checked)
    with in_sentences(target):
        make_room(target)
        aside = check_folder(target)
        theme = load_theme(checked.root)
        digest = digest_of(checked.root, others=others)
        parts: dict[str, FolderPart] = {}
        problems: tuple[str, ...] = ()
        if site:
            from ..pages.site import site_files

            with without_collector():
                pages = site_files(checked.reckoning, checked.review, theme, day=today)
            parts[SITE] = FolderPart(digest=digest, files=pages)
        if binder:
            pdf, problems = whole_binder(checked, theme, progress, batches_of)
            if pdf is not None:
                parts[BINDER] = FolderPart(digest=digest, files={"binder.pdf": pdf})
        if not parts:
            return Published(written=(), problems=problems, incomplete=True)
        # Printed changes stay as long as they can be filed: until the record is another than they were made against.
        filed = checked.book.filed
        changes = state_of(filed) if binder and filed.readable else None
        keep = {SITE: digest, BINDER: digest} | ({} if others else {CHANGES: changes})
        with seldom_collecting(), ExitStack() as rest:
            if site:
                ahead = rest.enter_context(made_ahead(pages, sorted(pages)))
                parts[SITE] = replace(parts[SITE], files=ahead)
            written = write_folder(target, parts, keep=keep)
    return Published(
        written=tuple(str(target / name) for part, name in FILES.items() if part in parts),
        problems=(*problems, *(TAKEN_AWAY[part] for part in written.dropped), *set_aside((*aside, *written.aside))),
        incomplete=binder and BINDER not in parts,
    )


def set_aside(folders: Sequence[Path]) -> tuple[str, ...]:
    """Return the sentences on folders of earlier runs that could not be removed."""
    return tuple(
        f"What an earlier run made could not be removed and stands as {folder}; delete it when you can."
        for folder in folders
    )


def make_room(target: Path) -> None:
    """Make the folders above the output folder.  Raises CannotPublish where a file stands in their place."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError) as reason:
        raise CannotPublish(f"Cannot write {target}: {target.parent} is not a folder.") from reason


@contextmanager
def in_sentences(target: Path) -> Iterator[None]:
    """Raise CannotPublish for whatever the disk refuses on the way, and FaultyTheme for a fault of the theme."""
    from ..look import ThemeFault, ThemeNotFound
    from ..press.folder import CannotWrite

    try:
        yield
    except CannotWrite as reason:
        raise CannotPublish(f"Cannot write {reason.path}: {reason.reason}") from reason
    except OSError as reason:
        raise CannotPublish(f"Cannot write {target}: {reason.strerror or reason}.") from reason
    except (ThemeFault, ThemeNotFound) as reason:
        raise FaultyTheme(str(reason)) from reason


def digest_of(root: Path, *, others: bool = False) -> str:
    """Return a digest of everything a publication is made from: the book's files, its themes, this version, for whom.

    What is in the binder is no part of it: that the binder was filed makes neither it nor the pages older.  Hidden
    files are none either.  Raises CannotPublish where one cannot be read.
    """
    total = sha256(__version__.encode() + b" for others" * others)
    try:
        for path in _all_files(root, ["formulas", "themes"]):
            if path != RECORD:
                total.update(f"\0{path}\0".encode(errors="surrogateescape"))
                with open(root / path, "rb") as file:
                    total.update(file_digest(file, "sha256").digest())
    except OSError as reason:
        raise CannotPublish(f"Cannot read {reason.filename}: {reason.strerror or reason}.") from reason
    return total.hexdigest()


def _all_files(root: Path, folders: list[str]) -> list[str]:
    """Return the paths of all files in these folders of the book, sorted; folders that are links are not entered.

    Raises OSError where a folder cannot be listed.
    """
    found = []
    while folders:
        folder = folders.pop()
        if folder == "themes" and not (root / folder).is_dir():
            continue
        for entry in os.scandir(root / folder):
            path = f"{folder}/{entry.name}"
            if entry.name.startswith("."):
                continue
            if entry.is_dir(follow_symlinks=False):
                folders.append(path)
            elif entry.is_file():
                found.append(path)
    return sorted(found)
