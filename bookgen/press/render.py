"""Leaves into PDFs, one document each, through WeasyPrint: tagged, in the leaf's language, with subset fonts.

Enters: leaves and the style they share. Leaves: one `Piece` a leaf, in the order given, the same bytes whatever the
number of workers, the folder or the time. Nothing remote is ever fetched; what WeasyPrint only logs becomes problems.
"""

from __future__ import annotations

import ctypes
import json
import logging
import os
import platform
import signal
import threading
import warnings
import zlib
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing, contextmanager
from dataclasses import dataclass
from functools import cache as remember
from importlib import import_module
from importlib.metadata import PackageNotFoundError, version
from multiprocessing import get_context
from typing import Any

from ..leaf import Face, Leaf, Style
from .cache import Cache
from .cuts import HARFBUZZ, HARFBUZZ_SUBSET, cut, load_library
from .fetch import Fetcher, plain
from .piece import Piece, Problem, digest_leaf, digest_style
from .tidy import only_ends, tidy

PANGO = "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"

ALONE = 10
"""Up to so many leaves are rendered in this process: starting another takes as long as rendering several."""


class PressError(Exception):
    """The press could not print; the text is a sentence for the keeper of the book."""


class PressUnavailable(PressError):
    """WeasyPrint or the libraries under it are not installed."""


class PressFailed(PressError):
    """A font cannot be read, or a worker was ended from outside."""


@remember
def _weasyprint() -> Any:
    """WeasyPrint, imported when first needed. Raises PressUnavailable with what to install."""
    try:
        with warnings.catch_warnings():
            # It warns on a machine without installed fonts; the style brings its own.
            warnings.simplefilter("ignore")
            return import_module("weasyprint")
    except ImportError as reason:
        lacking = "WeasyPrint is not installed; install bookgen's own requirements"
        if reason.name not in (None, "weasyprint"):
            lacking = f"the Python package {reason.name} is missing; install bookgen's own requirements"
        raise PressUnavailable(f"The binder cannot be printed: {lacking}.") from reason
    except OSError as reason:
        raise PressUnavailable(
            "The binder cannot be printed: the Pango library is missing. On Debian: "
            f"{PANGO} (the first two are needed, the third makes it faster)."
        ) from reason


@remember
def engine() -> tuple[str, ...]:
    """The versions that decide what a leaf's PDF looks like, found without importing WeasyPrint (0.8 s)."""
    packages = ("weasyprint", "pydyf", "fonttools", "tinycss2", "cssselect2", "tinyhtml5", "pyphen", "pillow")
    found = [f"python {platform.python_version()}", f"zlib {zlib.ZLIB_RUNTIME_VERSION}"]
    for package in packages:
        try:
            found.append(f"{package} {version(package)}")
        except PackageNotFoundError:
            found.append(f"{package} absent")
    for names, asked in (
        (("libpango-1.0.so.0", "libpango-1.0.0.dylib", "libpango-1.0-0.dll"), "pango_version_string"),
        (HARFBUZZ, "hb_version_string"),
        (HARFBUZZ_SUBSET, ""),
    ):
        found.append(f"{names[0]} {_library(names, asked)}")
    return tuple(found)


def _library(names: tuple[str, ...], asked: str) -> str:
    """A shared library's version by the function asked, "present" where it has none to tell, or "absent"."""
    library = load_library(names)
    if library is None or not asked:
        return "present" if library else "absent"
    function = getattr(library, asked)
    function.restype = ctypes.c_char_p
    return str(function().decode())


class _Listener(logging.Handler):
    """Keeps what WeasyPrint and fontTools log at warning or above, each sentence once, in order."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.heard: dict[str, None] = {}

    def emit(self, record: logging.LogRecord) -> None:
        said = record.getMessage()
        # A matter of the machine, not of the leaf: PressUnavailable and the README say what to install.
        if not said.startswith("Using fontTools instead of HarfBuzz-Subset"):
            self.heard[said] = None


@contextmanager
def _listening() -> Iterator[_Listener]:
    """Hear both loggers, and keep them from anybody else's handlers meanwhile."""
    listener = _Listener()
    loggers = [logging.getLogger(name) for name in ("weasyprint", "fontTools")]
    before = [(logger.propagate, logger.level) for logger in loggers]
    for logger in loggers:
        logger.addHandler(listener)
        logger.propagate = False
        logger.setLevel(logging.WARNING)
    try:
        yield listener
    finally:
        for logger, (propagate, level) in zip(loggers, before, strict=True):
            logger.removeHandler(listener)
            logger.propagate = propagate
            logger.setLevel(level)


@contextmanager
def _still_clock() -> Iterator[None]:
    """fontTools writes the time into a font it saves unless this variable holds another; so two runs agree."""
    before = os.environ.get("SOURCE_DATE_EPOCH")
    os.environ["SOURCE_DATE_EPOCH"] = "0"
    try:
        yield
    finally:
        if before is None:
            del os.environ["SOURCE_DATE_EPOCH"]
        else:
            os.environ["SOURCE_DATE_EPOCH"] = before


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A leaf fresh from the press."""

    pdf: bytes
    """The PDF."""
    pages: int
    """Its pages."""
    problems: tuple[str, ...]
    """What was lost, one sentence each."""


def _face_rules(faces: Sequence[Face]) -> str:
    """The `@font-face` rules that let the style sheet name the cuts."""
    return "".join(
        f'@font-face{{font-family:"{face.family}";src:url("cut:{number}");'
        f"font-weight:{face.weight};font-style:{face.slope}}}\n"
        for number, face in enumerate(faces)
    )


def print_leaf(leaf: Leaf, style: Style, cuts: Sequence[bytes]) -> Printed:
    """Render one leaf, with the cuts of type for `style.faces`. Raises PressUnavailable."""
    weasyprint = _weasyprint()
    fetcher = Fetcher(cuts)
    with _listening() as listener, _still_clock():
        # A font configuration of its own: what another leaf loaded before must not matter.
        fonts = import_module("weasyprint.text.fonts").FontConfiguration()
        sheets = [
            weasyprint.CSS(string=text, url_fetcher=fetcher, font_config=fonts)
            for text in (_face_rules(style.faces), style.css)
            if text
        ]
        html = weasyprint.HTML(string=leaf.html, url_fetcher=fetcher)
        document = html.render(font_config=fonts, stylesheets=sheets, pdf_tags=True)
        if len(document.pages) > 1 and only_ends(document.pages[-1]):
            document = document.copy(document.pages[:-1])
        pdf = document.write_pdf(pdf_tags=True, finisher=lambda _, made: tidy(made, leaf.code))
    return Printed(
        pdf=pdf,
        pages=len(document.pages),
        problems=tuple(plain(said) for said in listener.heard),
    )


def render(leaf: Leaf, style: Style, *, cache: Cache | None = None) -> Piece:
    """Render one leaf in this process; see `render_all`."""
    return render_all((leaf,), style, workers=1, cache=cache)[0]


def render_all(
    leaves: Sequence[Leaf],
    style: Style,
    *,
    workers: int | None = None,
    cache: Cache | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Piece, ...]:
    """Render the leaves, in their order, on `workers` processes (all cores where not stated).

    Kept PDFs are taken from the cache where neither leaf, style, type nor engine has changed.
    `progress` is told how many leaves of how many are ready. Raises PressUnavailable and PressFailed.
    """
    try:
        style_digest = digest_style(style, engine())
    except OSError as reason:
        raise PressFailed(f"The font file {reason.filename} cannot be read: {reason.strerror}.") from reason
    keys = [digest_leaf(leaf, style_digest) for leaf in leaves]
    ready: dict[int, Printed] = {}
    if cache:
        for number, key in enumerate(keys):
            kept = _unpack(cache.find("leaves", key))
            if kept:
                ready[number] = kept
    wanted = [number for number in range(len(leaves)) if number not in ready]
    if progress:
        progress(len(ready), len(leaves))
    if wanted:
        # Closed by name: at Ctrl-C the processes must be gone before anything else is done.
        with closing(_print_all(leaves, wanted, style, workers)) as fresh:
            for number, printed in zip(wanted, fresh, strict=True):
                ready[number] = printed
                if cache:
                    cache.keep("leaves", keys[number], _pack(printed))
                if progress:
                    progress(len(ready), len(leaves))
    return tuple(
        Piece(
            code=leaf.code,
            title=leaf.title,
            chapter=leaf.chapter,
            divides=leaf.divides,
            pages=ready[number].pages,
            pdf=ready[number].pdf,
            problems=tuple(Problem(code=leaf.code, sentence=said) for said in ready[number].problems),
        )
        for number, leaf in enumerate(leaves)
    )


def _pack(printed: Printed) -> bytes:
    """A printed leaf as a cache entry: one line of JSON, then the PDF."""
    return json.dumps({"pages": printed.pages, "problems": printed.problems}).encode() + b"\n" + printed.pdf


def _unpack(entry: bytes | None) -> Printed | None:
    """The printed leaf of a cache entry, or None where there is none."""
    if entry is None:
        return None
    head, _, pdf = entry.partition(b"\n")
    said = json.loads(head)
    return Printed(pdf=pdf, pages=int(said["pages"]), problems=tuple(map(str, said["problems"])))


def _print_all(
    leaves: Sequence[Leaf], wanted: Sequence[int], style: Style, workers: int | None
) -> Generator[Printed, None, None]:
    """Print the leaves with the numbers wanted, in that order."""
    _weasyprint()  # says what is missing before any process is started
    try:
        cuts = tuple(cut(face) for face in style.faces)
    except ValueError as reason:
        raise PressFailed(str(reason)) from reason
    count = min(workers or _cores(), len(wanted))
    if count < 2 or len(wanted) <= ALONE:
        for number in wanted:
            yield print_leaf(leaves[number], style, cuts)
        return
    try:
        with _pool(count, style, cuts) as pool:
            yield from pool.map(_print_job, (leaves[number] for number in wanted))
    except BrokenProcessPool as reason:
        raise PressFailed("A printing process was ended from outside, perhaps for want of memory.") from reason


_setting: tuple[Style, tuple[bytes, ...]] = (Style(), ())
"""In a worker: the style and its cuts of type, handed over once."""


def _begin(style: Style, cuts: tuple[bytes, ...]) -> None:
    """A worker's first act."""
    global _setting
    _setting = (style, cuts)


def _print_job(leaf: Leaf) -> Printed:
    """A worker's work."""
    return print_leaf(leaf, *_setting)


def _cores() -> int:
    """The cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def _pool(count: int, style: Style, cuts: tuple[bytes, ...]) -> Iterator[ProcessPoolExecutor]:
    """Workers that leave Ctrl-C to this process: at an exception what has not begun is dropped, what has is awaited."""
    pool = ProcessPoolExecutor(count, get_context("spawn"), _begin, (style, cuts))
    try:
        with _ignoring_interrupts():
            # All workers start with the first job and inherit that they ignore the signal.
            pool.submit(_cores)
        yield pool
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _ignoring_interrupts() -> Iterator[None]:
    """Put SIGINT off for the length of the block."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


__all__ = [
    "PressError", "PressFailed", "PressUnavailable", "Printed", "engine", "print_leaf", "render", "render_all",
]  # fmt: skip
