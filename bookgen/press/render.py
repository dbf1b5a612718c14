"""Leaves into PDFs, one document each: kept ones from the cache, the others set by all cores.

Enters: leaves and the style they share. Leaves: one `PrintedLeaf` a leaf, in the order given, the same bytes whatever
the number of workers, the folder or the time. How one leaf is set is in `setting`.
"""

from __future__ import annotations

import ctypes
import json
import pickle
import platform
import tempfile
import zlib
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, closing, contextmanager, suppress
from functools import cache as remember
from functools import cached_property
from importlib.metadata import PackageNotFoundError, version
from multiprocessing import current_process, get_context, parent_process
from pathlib import Path
from types import TracebackType

from ..cores import cores, ignoring_interrupts
from ..leaf import Face, Leaf, Style
from .cache import Cache
from .cuts import cut
from .piece import RECIPE, PrintedLeaf, Problem, digest_bytes, digest_file, digest_leaf, digest_style
from .setting import FreshLeaf, PressError, PressFailed, PressUnavailable, Setting

ALONE = 10
"""Up to so many leaves are rendered in this process: starting another takes as long as rendering several."""

Progress = Callable[[int, int], None]
"""Told how many leaves of how many are ready."""


@remember
def engine() -> tuple[str, ...]:
    """The versions that decide what a leaf's PDF looks like, found without importing WeasyPrint (0.8 s)."""
    packages = (
        "weasyprint", "pydyf", "fonttools", "uharfbuzz", "tinycss2", "cssselect2", "tinyhtml5", "pyphen", "pillow",
    )  # fmt: skip
    found = [f"python {platform.python_version()}", f"zlib {zlib.ZLIB_RUNTIME_VERSION}"]
    for package in packages:
        try:
            found.append(f"{package} {version(package)}")
        except PackageNotFoundError:
            found.append(f"{package} absent")
    for names, asked in (
        (("libpango-1.0.so.0", "libpango-1.0.0.dylib", "libpango-1.0-0.dll"), "pango_version_string"),
        (("libharfbuzz.so.0", "libharfbuzz.0.dylib", "libharfbuzz-0.dll"), "hb_version_string"),
        (("libharfbuzz-subset.so.0", "libharfbuzz-subset.0.dylib", "libharfbuzz-subset-0.dll"), ""),
    ):
        found.append(f"{names[0]} {_library(names, asked)}")
    return tuple(found)


def typesetter() -> tuple[str, ...]:
    """The versions among them that decide where a line breaks: a sheet in the binder looks otherwise after those alone.

    A newer Python or zlib packs the same page into other bytes, which concerns the cache and no reader.
    """
    return tuple(
        version for version in engine() if version.startswith(("weasyprint ", "pyphen ", "libpango", "libharfbuzz."))
    )


def _library(names: tuple[str, ...], asked: str) -> str:
    """A shared library's version by the function asked, "present" where it has none to tell, or "absent"."""
    library = _load(names)
    if library is None or not asked:
        return "present" if library else "absent"
    function = getattr(library, asked)
    function.restype = ctypes.c_char_p
    return str(function().decode())


def _load(names: tuple[str, ...]) -> ctypes.CDLL | None:
    """The first of the shared libraries that is there."""
    for name in names:
        with suppress(OSError):
            return ctypes.CDLL(name)
    return None


def render(leaf: Leaf, style: Style, *, cache: Cache | None = None) -> PrintedLeaf:
    """Render one leaf in this process; see `Press`."""
    return render_all((leaf,), style, workers=1, cache=cache)[0]


def render_all(
    leaves: Sequence[Leaf],
    style: Style,
    *,
    workers: int | None = None,
    cache: Cache | None = None,
    progress: Progress | None = None,
) -> tuple[PrintedLeaf, ...]:
    """Render the leaves in one go; see `Press`."""
    with Press(style, workers=workers, cache=cache) as press:
        return press.print(leaves, progress)


def look_of(style: Style, versions: Sequence[str]) -> str:
    """Digest of all that leaves share in looks: style, type, and the versions of what sets them.

    Raises PressFailed for a font it cannot read.
    """
    try:
        return digest_style(style, versions)
    except OSError as reason:
        raise PressFailed(f"The font file {reason.filename} cannot be read: {reason.strerror}.") from reason


class Press:
    """Prints leaves of one style, in as many goes as are needed; its processes and its type stay until it is closed.

    All of it raises PressUnavailable and PressFailed.
    """

    def __init__(self, style: Style, *, workers: int | None = None, cache: Cache | None = None) -> None:
        """`workers` is how many processes print: all cores where not stated.

        Kept PDFs are taken from the cache where neither leaf, style, type nor engine has changed.
        """
        self._style = style
        self._workers = workers or cores()
        self._cache = cache
        self._rest = ExitStack()
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Press:
        return self

    def __exit__(self, kind: type[BaseException] | None, what: BaseException | None, way: TracebackType | None) -> None:
        self._rest.close()

    @cached_property
    def look(self) -> str:
        """Digest of what all leaves are printed with, to the byte."""
        return look_of(self._style, engine())

    def print(self, leaves: Sequence[Leaf], progress: Progress | None = None) -> tuple[PrintedLeaf, ...]:
        """Return the leaves' pieces in their order; `progress` is told how many leaves of how many are ready."""
        keys = [digest_leaf(leaf, self.look) for leaf in leaves]
        ready: dict[int, FreshLeaf] = {}
        if self._cache:
            for number, key in enumerate(keys):
                kept = _unpack(self._cache.find("leaves", key))
                if kept:
                    ready[number] = kept
        wanted = [number for number in range(len(leaves)) if number not in ready]
        if progress:
            progress(len(ready), len(leaves))
        # Closed by name: at an exception what has not begun is dropped before anything else is done.
        with closing(self._print_all([leaves[number] for number in wanted])) as fresh:
            for number, printed in zip(wanted, fresh, strict=True):
                ready[number] = printed
                if self._cache:
                    self._cache.keep("leaves", keys[number], _pack(printed))
                if progress:
                    progress(len(ready), len(leaves))
        return tuple(_piece(leaf, ready[number], self._cuts) for number, leaf in enumerate(leaves))

    def _print_all(self, leaves: Sequence[Leaf]) -> Generator[FreshLeaf, None, None]:
        """Print the leaves in their order."""
        if not leaves:
            return
        try:
            if self._pool is None and self._workers > 1 and len(leaves) > ALONE:
                self._pool = self._rest.enter_context(_pool(min(self._workers, len(leaves)), self._style, self._cuts))
            if self._pool is None:
                yield from map(self._setting.print, leaves)
            else:
                yield from self._pool.map(_print_job, leaves)
        except BrokenProcessPool as reason:
            said = "A printing process ended before its work was done, perhaps for want of memory."
            raise PressFailed(said) from reason
        except OSError as reason:
            where = f" {reason.filename}" if reason.filename else ""
            raise PressFailed(f"The press cannot write{where}: {reason.strerror or reason}.") from reason

    @cached_property
    def _cuts(self) -> tuple[bytes, ...]:
        """The style's type, ready for setting."""
        try:
            return tuple(self._cut(face) for face in self._style.faces)
        except ValueError as reason:
            raise PressFailed(str(reason)) from reason

    def _cut(self, face: Face) -> bytes:
        """One cut, kept like a leaf."""
        place = f"{digest_file(face.file)} {face.weight} {face.optical}"
        key = digest_bytes((RECIPE.encode(), *(version.encode() for version in engine()), place.encode()))
        kept = self._cache.find("cuts", key) if self._cache else None
        if kept is None:
            kept = cut(face)
            if self._cache:
                self._cache.keep("cuts", key, kept)
        return kept

    @cached_property
    def _setting(self) -> Setting:
        """This process's own."""
        return self._rest.enter_context(closing(Setting(self._style, self._cuts)))


def _piece(leaf: Leaf, printed: FreshLeaf, cuts: tuple[bytes, ...]) -> PrintedLeaf:
    """A printed leaf with what the binder needs of it."""
    return PrintedLeaf(
        code=leaf.code,
        title=leaf.title,
        chapter=leaf.chapter,
        divides=leaf.divides,
        holds=leaf.holds,
        pages=printed.pages,
        pdf=printed.pdf,
        cuts=cuts,
        problems=tuple(Problem(code=leaf.code, sentence=said) for said in printed.problems),
    )


def _pack(printed: FreshLeaf) -> bytes:
    """A printed leaf as a cache entry: one line of JSON, then the PDF."""
    return json.dumps({"pages": printed.pages, "problems": printed.problems}).encode() + b"\n" + printed.pdf


def _unpack(entry: bytes | None) -> FreshLeaf | None:
    """The printed leaf of a cache entry, or None where there is none."""
    if entry is None:
        return None
    head, _, pdf = entry.partition(b"\n")
    said = json.loads(head)
    return FreshLeaf(pdf=pdf, pages=int(said["pages"]), problems=tuple(map(str, said["problems"])))


HANDED_OVER = "handed-over"
"""The file in the workers' folder that holds the style and its cuts of type."""


def _begin(folder: str) -> None:
    """A worker's first act. It loads nothing yet: what fails here could not be told."""
    tempfile.tempdir = folder


def _stand_by() -> None:
    """A worker's first job: it is there."""


@remember
def _own_setting() -> Setting:
    """In a worker: its setting, made with the first leaf."""
    style, cuts = pickle.loads(Path(tempfile.gettempdir(), HANDED_OVER).read_bytes())
    return Setting(style, cuts)


def _print_job(leaf: Leaf) -> FreshLeaf:
    """A worker's work."""
    return _own_setting().print(leaf)


@contextmanager
def _pool(count: int, style: Style, cuts: tuple[bytes, ...]) -> Iterator[ProcessPoolExecutor]:
    """Workers that leave Ctrl-C to this process: at an exception what has not begun is dropped, what has is awaited.

    They write their type into one folder, which goes with them: a process that is ended cannot clear up itself. What
    they need is handed over in a file there. What is passed to a new process goes through a pipe that holds 64 kB, and
    this process would wait for ever to fill it where the other has ended without reading.
    """
    if parent_process() is None and current_process().name != "MainProcess":
        # A script without a main guard runs anew in its own workers, which have their name before they have a parent:
        # one that is ended by the other's end would leave a folder behind.
        raise RuntimeError("A printing process runs the script anew: it needs a main guard.")
    with tempfile.TemporaryDirectory(prefix="bookgen-") as folder:
        Path(folder, HANDED_OVER).write_bytes(pickle.dumps((style, cuts)))
        pool = ProcessPoolExecutor(count, get_context("spawn"), _begin, (folder,))
        try:
            with ignoring_interrupts():
                # A job each starts them all now: they inherit that they ignore the signal, and none is half begun and
                # waited for in vain where it comes.
                for _ in range(count):
                    pool.submit(_stand_by)
            yield pool
        finally:
            with ignoring_interrupts():  # a second Ctrl-C would end the waiting, and leave them behind
                pool.shutdown(wait=True, cancel_futures=True)


__all__ = [
    "Press", "PressError", "PressFailed", "PressUnavailable", "engine", "look_of", "render", "render_all", "typesetter",
]  # fmt: skip
