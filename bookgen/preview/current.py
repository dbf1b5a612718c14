"""The book as it is now: read again when its files change, its pages made when they are asked for.

Several threads ask; one lock lets one of them work at a time.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from pathlib import Path, PurePosixPath
from threading import Condition, RLock
from time import monotonic
from types import MappingProxyType

from ..findings import Finding
from ..look import Theme, ThemeFault, load_theme
from ..look.finished import replaceable
from ..model import Formula, Material
from ..pages.site import site_files
from ..pipeline import Checked, NoBook, Unreadable, check_again, must_be_book, no_book
from ..shown.shelf import stems_of
from ..source import Memory
from ..source.memory import SETTLED_NS
from .remarks import dressed, plain_page, remarked
from .watching import Watch

KINDS = {
    ".html": "text/html; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".json": "application/json",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".gif": "image/gif",
    ".webp": "image/webp",
}
"""Ending of a file → what it is, as HTTP says it."""

MOST_WORKED_ON = 20
"""Files that changed at once and are looked at often from then on, at most."""
FRESH_S = 0.1
"""Seconds for which what was looked over counts as looked over."""
FIRST_S = 0.5
"""Seconds after which the rest of the book follows the pages that are open; by then they have loaded again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One file as it is served."""

    status: int
    """200, 404 where there is no such page, 503 where its figures wait, 500 where it cannot be made."""
    kind: str
    """What it is, as HTTP says it."""
    content: bytes
    """Its bytes."""
    digest: str
    """Digest of what it shows."""
    in_place: bool = False
    """True where a page may be written over the one that stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """Why no page can be made."""

    title: str
    """In a few words."""
    sentences: tuple[str, ...]
    """What it is and what to do."""
    findings: tuple[Finding, ...] = ()
    """What was found."""


class Current:
    """A book that is being written."""

    def __init__(self, root: Path, today: date | None = None) -> None:
        """Read the book; `today` is the day of the page of the shelf.  Raises NoBook when the folder holds none."""
        self._root = root
        self._today = today
        self._lock = RLock()
        self._news = Condition(self._lock)
        self._watch = Watch(root)
        self._memory = Memory()
        self._checked: Checked | None = None
        self._whole: Checked | None = None
        self._theme: Theme | None = None
        self._trouble: Trouble | None = None
        self._files: Mapping[str, bytes] = {}
        self._made: dict[str, Answer] = {}
        self._sources: dict[str, str] = {}
        self._pages: dict[str, tuple[str, Formula | Material]] = {}
        self._found: dict[str, list[Finding]] = {}
        self._listeners: dict[str, int] = {}
        self._once_more = 0.0
        self._ahead: frozenset[str] = frozenset()
        self._rest_due = 0.0
        self._looked = monotonic()
        self._worked_on: set[str] = set()
        self._closed = False
        must_be_book(root)
        with self._lock:
            self._watch.changed()
            self._renew()

    # ── Looking ───────────────────────────────────────────────────────────────────────────────────────────────────

    @property
    def checked(self) -> Checked | None:
        """The book as it was last read whole; None where it could not be read yet."""
        return self._whole

    def look(self) -> None:
        """Look over the book and read again what changed, unless that was done a moment ago."""
        with self._lock:
            if monotonic() - self._looked > FRESH_S:
                self._look_over()

    def glance(self) -> None:
        """Look whether something stirs, and only then look over the book; does nothing while nobody listens."""
        with self._lock:
            if 0 < self._rest_due <= monotonic():
                self._renew()
            if not self._listeners:
                return
            hot = {self._sources[page] for page in self._listeners if page in self._sources}
            if self._watch.stirred(hot | self._worked_on) or 0 < self._once_more <= monotonic():
                self._look_over()

    def _look_over(self) -> None:
        self._take_up_changes()
        self._looked = monotonic()

    def _take_up_changes(self) -> None:
        changed = self._watch.changed()
        if changed:
            changed = self._watch.settled(changed)
            if len(changed) <= MOST_WORKED_ON:
                self._worked_on = changed  # who saved a file will probably save it again
            # Some file systems give two writes within a second or two the same times: look at the content once more.
            self._once_more = monotonic() + SETTLED_NS / 1e9 + FRESH_S
        elif 0 < self._once_more <= monotonic():
            self._once_more = 0.0
        else:
            return
        if any(path.split("/")[0] == "themes" for path in changed):
            self._theme = None
        self._renew(self._open())

    def _open(self) -> Mapping[str, str]:
        """Return the pages of formulas that are open → their keys."""
        shown = ((page, self._pages.get(self._sources.get(page, ""))) for page in self._listeners)
        return {page: its[1].code.casefold() for page, its in shown if its and isinstance(its[1], Formula)}

    def _renew(self, first: Mapping[str, str] = MappingProxyType({})) -> None:
        """Make of the files what they now say.  Whatever is wrong with them becomes a page in words.

        Where a change concerns much of the book, the pages of formulas that are wanted `first` are made at once, the
        rest of the book a little later.
        """
        gc.collect()  # what answering left; what the book is made of is not walked any more
        self._trouble = None
        self._ahead, self._rest_due = frozenset(), 0.0
        try:
            self._checked = check_again(self._root, self._memory, self._whole, tuple(first.values()))
            if self._checked.reckoning.behind:
                self._ahead, self._rest_due = frozenset(first), monotonic() + FIRST_S
            else:
                self._whole = self._checked
            self._theme = self._theme or load_theme(self._root)
            self._files = site_files(self._checked.reckoning, self._checked.review, self._theme, day=self._today)
            self._index(self._checked)
        except NoBook:
            words = f"{no_book(self._root)}."
            self._trouble = Trouble(title="The book is not there", sentences=(words,))
        except Unreadable as reason:
            waits = "Its balances and decimal sign concern every figure, so all figures wait until it is put right."
            self._trouble = Trouble(
                title="The workroom file cannot be read", sentences=(f"{reason}.", waits), findings=reason.findings
            )
        except Exception as reason:  # a template half written, a bug of ours: told in the page, and the preview goes on
            self._trouble = Trouble(title="The pages cannot be made", sentences=(_told(reason),))
            self._theme = None
        self._made = {}
        self._news.notify_all()

    def _index(self, checked: Checked) -> None:
        book, stems = checked.book, stems_of(checked.book)
        self._pages = {
            item.path: (f"{folder}/{stems[key]}.html", item)
            for folder, items in (("formulas", book.formulas), ("materials", book.materials))
            for key, item in items.items()
        }
        self._sources.update((page, path) for path, (page, _) in self._pages.items())
        self._found = {}
        for finding in checked.review.findings:
            self._found.setdefault(finding.place.path, []).append(finding)

    # ── Answering ─────────────────────────────────────────────────────────────────────────────────────────────────

    def answer(self, path: str) -> Answer:
        """Return the file at an address of the site; a page in words where there is none."""
        with self._lock:
            if path in self._made:
                return self._made[path]
            if self._waits(path):
                self._renew()
            made = self._make(path)
            if path in self._files or path in self._sources:  # any other address may be asked for without end
                self._made[path] = made
            return made

    def _waits(self, path: str) -> bool:
        """Tell whether a page may rest on figures that are left behind."""
        return bool(self._rest_due) and path.endswith(".html") and path not in self._ahead

    def _make(self, path: str) -> Answer:
        kind = KINDS.get(PurePosixPath(path).suffix.lower(), "")
        if kind and not path.endswith(".html") and path in self._files:
            with suppress(OSError):
                content = self._files[path]
                return Answer(status=200, kind=kind, content=content, digest=sha256(content).hexdigest())
        if self._trouble is not None:
            return self._in_words(503, path, self._trouble)
        file = self._sources.get(path, "")
        page, item = path, None
        if file in self._pages and (path not in self._files or self._pages[file][0] == path):
            # A file whose code was lost or changed goes on at the address it had.
            page, item = self._pages[file]
        if not page.endswith(".html") or page not in self._files:
            return self._in_words(404, path, self._nothing(path, file))
        try:
            html = self._files[page].decode()
        except Exception as reason:  # one page that cannot be made is told in its place
            return self._in_words(500, path, Trouble(title="This page cannot be made", sentences=(_told(reason),)))
        found = self._found.get(file, []) if item else self._elsewhere() if page == "index.html" else []
        html = remarked(html, item, found)
        # What a book's own templates and scripts leave behind in a page nobody knows: they begin anew.
        ours = self._theme is not None and self._theme.book is None
        return _page(200, path, html, in_place=ours and replaceable(html))

    def _elsewhere(self) -> list[Finding]:
        """Return what was found in files that have no page."""
        return [finding for path, found in self._found.items() if path not in self._pages for finding in found]

    def _nothing(self, path: str, file: str) -> Trouble:
        if not file:
            return Trouble(title="There is no such page", sentences=(f"The book has no page {path[:80]}.",))
        found = tuple(self._found.get(file, ()))
        if found or (self._root / file).is_file():
            return Trouble(title="The page is gone", sentences=(f"{file} makes no page now.",), findings=found)
        words = f"{file} is not there any more: it was deleted, or it has another name. Its page comes back with it."
        return Trouble(title="The page is gone", sentences=(words,))

    def _in_words(self, status: int, path: str, trouble: Trouble) -> Answer:
        language = self._checked.book.workroom.language if self._checked else "en"
        style = ""
        with suppress(Exception):  # without a style the words can be read too
            style = str(self._theme.styles.get("page", "")) if self._theme else ""
        html = plain_page(trouble.title, trouble.sentences, trouble.findings, language=language, style=style)
        return _page(status, path, html)

    # ── Listening ─────────────────────────────────────────────────────────────────────────────────────────────────

    @contextmanager
    def listening(self, path: str) -> Iterator[None]:
        """Count a listener for a page, so that its file is looked at often."""
        with self._lock:
            self._listeners[path] = self._listeners.get(path, 0) + 1
        try:
            yield
        finally:
            with self._lock:
                self._listeners[path] -= 1
                if not self._listeners[path]:
                    del self._listeners[path]

    def other(self, path: str, shown: str, seconds: float) -> Answer | None:
        """Wait until a page shows something else than `shown`; return it, or None after a while."""
        end = monotonic() + seconds
        with self._lock:
            while not self._closed:
                found = None if self._waits(path) else self.answer(path)
                if found is not None and found.digest != shown:
                    return found
                left = end - monotonic()
                if left <= 0:
                    break
                self._news.wait(left)
        return None

    def close(self) -> None:
        """Let everybody who waits go."""
        with self._lock:
            self._closed = True
            self._news.notify_all()

    @property
    def closed(self) -> bool:
        """True once it is closed."""
        return self._closed


def _page(status: int, path: str, html: str, *, in_place: bool = False) -> Answer:
    digest = sha256(html.encode()).hexdigest()
    content = dressed(html, path, digest).encode()
    return Answer(status=status, kind=KINDS[".html"], content=content, digest=digest, in_place=in_place)


def _told(reason: Exception) -> str:
    """Return an error in a sentence; what is wrong with a theme is told in one that names file and line."""
    if isinstance(reason, ThemeFault):
        return str(reason)
    return f"{type(reason).__name__}: {str(reason).strip().removesuffix('.') or 'no reason given'}."
