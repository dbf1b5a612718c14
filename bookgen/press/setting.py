"""One process's way to print leaves of one style, through WeasyPrint: tagged, in the leaf's language, fonts subset.

Enters: a style, its cuts of type, and leaves one after the other. Leaves: the PDF of each, the same bytes whichever
leaves were printed before. Nothing remote is ever fetched; what WeasyPrint only logs becomes sentences.
"""

from __future__ import annotations

import logging
import os
import re
import warnings
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from functools import cache as remember
from importlib import import_module
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from ..leaf import Face, Leaf, Style
from .fetch import fetcher, plain
from .noticed import noticing
from .tidy import only_ends, tidy
from .within import off_paper

MADE_FOR = 70
"""The major version of WeasyPrint whose documents the press takes hold of; `pyproject.toml` allows no other."""

PANGO = "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"


class PressError(Exception):
    """The press could not print; the text is a sentence for the keeper of the book."""


class PressUnavailable(PressError):
    """WeasyPrint or the libraries under it are not installed."""


class PressFailed(PressError):
    """A font cannot be read, there is no room, or a worker ended too early."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FreshLeaf:
    """A leaf fresh from the press."""

    pdf: bytes
    """The PDF."""
    pages: int
    """Its pages."""
    problems: tuple[str, ...]
    """What was lost, one sentence each."""


@remember
def weasyprint() -> Any:
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
        raise PressUnavailable(f"Nothing can be printed: {lacking}.") from reason
    except OSError as reason:
        raise PressUnavailable(
            "Nothing can be printed: the Pango library is missing. On Debian: "
            f"{PANGO} (the first two are needed, the third makes it faster)."
        ) from reason


class Setting:
    """Prints leaves of one style; its style sheets are parsed and its type is loaded once."""

    def __init__(self, style: Style, cuts: Sequence[bytes]) -> None:
        """Raises PressUnavailable, and OSError where there is no room for the type in the temporary folder."""
        self._style, self._cuts = style, cuts
        engine = weasyprint()
        self._fetcher = fetcher(cuts)
        with _listening() as listener:
            self._fonts = import_module("weasyprint.text.fonts").FontConfiguration()
            self._counters = import_module("weasyprint.css.counters").CounterStyle()
            self._sheets = [
                engine.CSS(
                    string=text, url_fetcher=self._fetcher, font_config=self._fonts, counter_style=self._counters
                )
                for text in (_face_rules(style.faces), style.css)
                if text
            ]
        self._said = listener.heard
        self._families = {face.family for face in style.faces} | _families_named(style.css)

    def print(self, leaf: Leaf) -> FreshLeaf:
        """Print one leaf."""
        if _OWN_TYPE.search(leaf.html):
            # Type of a leaf's own stays with it: the next leaf may use the name for other letters.
            with closing(Setting(self._style, self._cuts)) as alone:
                return alone._print(leaf)
        return self._print(leaf)

    def close(self) -> None:
        """Take the type out of the temporary folder; WeasyPrint does so when it is forgotten, which may be late."""
        self._fonts.__del__()

    def _print(self, leaf: Leaf) -> FreshLeaf:
        try:
            return self._set(leaf)
        except (PressError, OSError, MemoryError):
            raise
        except Exception as reason:  # an engine stops with whatever it stumbles over
            if not _is_known(weasyprint().__version__):
                raise PressFailed(another_engine(weasyprint().__version__)) from reason
            said = " ".join(str(reason).split())[:200]
            raise PressFailed(
                f"Sheet {leaf.code} cannot be set: the layout engine stops ({type(reason).__name__}"
                f"{f': {said}' if said else ''}); look at what its template and the style of the sheets ask for."
            ) from reason

    def _set(self, leaf: Leaf) -> FreshLeaf:
        with _listening() as listener, _still_clock():
            counters = type(self._counters)(self._counters)  # the leaf may add some of its own
            html = weasyprint().HTML(string=leaf.html, url_fetcher=self._fetcher)
            document = html.render(
                font_config=self._fonts, counter_style=counters, stylesheets=self._sheets, pdf_tags=True
            )
            if len(document.pages) > 1 and only_ends(document.pages[-1]):
                document = document.copy(document.pages[:-1])
            with noticing() as margins:
                pdf = document.write_pdf(
                    pdf_tags=True, finisher=lambda _, made: tidy(made, document, leaf.code, margins)
                )
        said = [plain(sentence) for sentence in {**self._said, **listener.heard}]
        if self._style.faces:
            said += _strays(document, self._families | _families_named(leaf.html))
        said += off_paper(document)
        return FreshLeaf(pdf=pdf, pages=len(document.pages), problems=tuple(said))


def _is_known(number: str) -> bool:
    """Whether the press is made for this version of the engine."""
    return number.partition(".")[0] == str(MADE_FOR)


def engine_version() -> str:
    """The version of WeasyPrint that is installed, without importing it."""
    try:
        return version("weasyprint")
    except PackageNotFoundError:
        return "(not installed)"


def another_engine(number: str, but: str = "") -> str:
    """Return what to say of an engine that works otherwise than the press knows it; `but` is what comes of it."""
    return (
        f"WeasyPrint {number} lays out its PDFs otherwise than the binder is made of{but}: install bookgen's own "
        f"requirements, which take WeasyPrint from {MADE_FOR} up and below {MADE_FOR + 1}."
    )


_OWN_TYPE = re.compile(r"@font-face|@import", re.IGNORECASE)

_FAMILY = re.compile(r"""@font-face\s*\{[^}]*?font-family\s*:\s*["']?([^"';}]+)""", re.IGNORECASE)


def _families_named(css: str) -> set[str]:
    """The families that `@font-face` rules in the text bring."""
    return {name.strip() for name in _FAMILY.findall(css)}


def _strays(document: Any, families: set[str]) -> list[str]:
    """What to say of characters that none of the families has: another machine sets them otherwise, or not at all.

    `document` is a WeasyPrint document that was written: its fonts know then which characters they are used for. Of
    those that no font has it speaks itself.
    """
    said = []
    for font in document.fonts.values():
        letters = "".join(sorted({*"".join(font.to_unicode.values())} - {*map(chr, font.missing)}))
        if font.family not in families and letters.strip():
            said.append(
                f"The book's type has no letters for {_some(letters)}; they are set in {font.family}, which "
                "another machine may not have."
            )
    return said


def _some(characters: str) -> str:
    """The first characters of many, as they are read out."""
    more = f" and {len(characters) - _TOLD} more" if len(characters) > _TOLD else ""
    return ", ".join(f"“{character}” (U+{ord(character):04X})" for character in characters[:_TOLD]) + more


_TOLD = 5


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


def _face_rules(faces: Sequence[Face]) -> str:
    """The `@font-face` rules that let the style sheet name the cuts."""
    return "".join(
        f'@font-face{{font-family:"{face.family}";src:url("cut:{number}");'
        f"font-weight:{face.weight};font-style:{face.slope}}}\n"
        for number, face in enumerate(faces)
    )
