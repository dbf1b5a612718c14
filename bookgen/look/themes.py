"""Themes: templates, style and fonts as files; a book's own files stand in for the theme's, path by path.

A theme is looked up in the installed package (`bookgen/themes/<name>`), else in the checkout (`themes/<name>`).
Templates are compiled once; they get shown records and can reach nothing else.  A book's own files are looked at before
anything is made of them: text is UTF-8, a script is JavaScript, and no link leads out of the book.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from io import BytesIO
from itertools import islice
from pathlib import Path
from string import ascii_letters

from jinja2 import Template
from jinja2.meta import find_referenced_templates
from markupsafe import Markup
from rjsmin import jsmin

from ..findings import nearest
from ..language import spoken, word
from ..wording.saying import says
from .closeness import closeness
from .leading import found
from .markup import LIGHT, PAGE, Printer
from .policy import policy
from .said import script_said, template_said
from .scripts import slip_in
from .templates import Templates, ThemeFault, told
from .typeset import typeset, whole

DEFAULT = "workroom"
TEMPLATES = ("pages", "sheets")
"""Folders of templates."""
_MAKES_HTML = frozenset({"figure", "link", "breakable", "stands_for", "found", "typeset", "whole", "policy"})
"""Filters that return HTML."""
PIECES = 10_000
"""Of what a template prints, the pieces that are encoded together."""
_HERE = Path(__file__).resolve().parent
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_SPACE = re.compile(r"\s+")
_AROUND = re.compile(r" ?([{};,>]) ?")
_BESIDE = re.compile(r" ([+~]) (?=[^{};]*\{)")
"""Between selectors; in a declaration such a sign may need its space."""
_DECLARED = re.compile(r"--([a-z]+)(?=:)")
_CALLED = re.compile(r"--([a-z]+)\b(?!-)")
_OF_ALL = re.compile(r":root\{[^}]*\}")
_ASKED_FOR = frozenset({"rule", "danger"})
"""Colours that the preview's remarks ask for by name."""


class ThemeNotFound(Exception):
    """No theme of that name; the text says where it was looked for."""


@dataclass(frozen=True, kw_only=True)
class Theme:
    """A theme with a book's overrides in front of it.

    Whatever asks for a file of it raises ThemeFault where the book's own is not in order.
    """

    name: str
    """Its name."""
    layers: tuple[Path, ...]
    """Its folders: the book's own first."""
    book: Path | None = None
    """The book that has a folder of its own in front; None where there is none."""

    @property
    def environment(self) -> Templates:
        """The environment of its sheets, and of pages in which every figure has its name."""
        return self._environment(PAGE)

    @property
    def light(self) -> Templates:
        """The environment of pages as they are published."""
        return self._environment(LIGHT)

    @cached_property
    def _environments(self) -> dict[tuple[str, bool], Templates]:
        """The environments by the language in which their templates speak, filled as they are asked for."""
        return {}

    def _environment(self, printer: Printer) -> Templates:
        kind = (spoken(), printer.light)
        if kind not in self._environments:
            self._environments[kind] = self._made(printer)
        return self._environments[kind]

    def _made(self, printer: Printer) -> Templates:
        environment = Templates(self._template_text, printer)
        environment.globals["word"] = word
        environment.filters["figure"] = printer.digits
        environment.filters["link"] = printer.link
        environment.filters["breakable"] = printer.breakable
        environment.filters["stands_for"] = printer.stands_for
        environment.filters["found"] = partial(found, printer=printer)
        environment.filters["typeset"] = typeset
        environment.filters["whole"] = whole
        environment.filters["closeness"] = closeness
        environment.filters["policy"] = policy
        environment.makes_html = _MAKES_HTML
        return environment

    def _template_text(self, path: str) -> tuple[str, str] | None:
        """Return a template's text in the language that is being spoken, and the path it is told by."""
        return (template_said(self.text(path)), self.shown(path)) if self.file(path) else None

    def shown(self, path: str) -> str:
        """Return the path of a file as the keeper of the book knows it."""
        own = self.book is not None and os.path.lexists(self.layers[0] / path)
        return self._shown(self.layers[0] if own else self.layers[-1], path)

    def _shown(self, layer: Path, path: str) -> str:
        own = self.book is not None and layer is self.layers[0]
        return f"themes/{self.name}/{path}" if own else f"{path} of the theme {self.name}"

    @cached_property
    def _takes_in(self) -> dict[str, list[str | None]]:
        """Template → the templates it names, filled as they are asked for."""
        return {}

    def taken_in(self, path: str) -> list[str | None]:
        """Return the templates that a template names; None stands for a name that it reckons out."""
        if path not in self._takes_in:
            with told(self.shown, own=self.book is not None):
                read = self.environment.parse(template_said(self.text(path)), path, self.shown(path))
                self._takes_in[path] = list(find_referenced_templates(read))
        return self._takes_in[path]

    def source(self, path: str) -> str:
        """Return what a template says, with all it takes in, each under its path: what a look goes by."""
        found, waiting = {path}, [path]
        while waiting:
            within = {name for name in self.taken_in(waiting.pop()) if name and name not in found}
            found |= within
            waiting += within
        return "".join(f"{path}\n{template_said(self.text(path))}\n" for path in sorted(found))

    def template(self, path: str, *, light: bool = False) -> Template:
        """Return a compiled template, such as `pages/formula.html`; `render` fills it in."""
        with told(self.shown, own=self.book is not None):
            return (self.light if light else self.environment).get_template(path)

    def render(self, path: str, *, light: bool = False, **given: object) -> str:
        """Return what a template makes of what it is given, `light` as it is published."""
        with told(self.shown, own=self.book is not None):
            return self.template(path, light=light).render(given)

    def render_bytes(self, path: str, *, light: bool = False, **given: object) -> bytes:
        """Return the same as UTF-8, encoded piece by piece: the index of a large book would stand in memory thrice."""
        file = BytesIO()
        with told(self.shown, own=self.book is not None):
            pieces = self.template(path, light=light).generate(given)
            while some := list(islice(pieces, PIECES)):
                file.write("".join(some).encode())
        return file.getvalue()

    def file(self, path: str) -> Path | None:
        """Return the file that stands at a path of the theme, the book's own first; None where there is none."""
        if ".." in Path(path).parts or Path(path).is_absolute():
            return None
        for layer in self.layers:
            file, shown = layer / path, self._shown(layer, path)
            try:
                if file.is_file():
                    if self.book is not None and layer is self.layers[0]:
                        must_be_inside(file, self.book, shown)
                    return file
                lost = file.is_symlink() and not file.exists()
            except OSError as reason:
                raise ThemeFault(shown, 0, f"the file cannot be opened: {reason.strerror}") from reason
            if lost:
                raise ThemeFault(shown, 0, "it is a link that leads nowhere; put the file itself here")
        return None

    def text(self, path: str) -> str:
        """Return the text of a file of the theme; empty where there is none."""
        found = self.file(path)
        try:
            raw = found.read_bytes() if found else b""
        except OSError as reason:
            raise ThemeFault(self.shown(path), 0, f"the file cannot be opened: {reason.strerror}") from reason
        try:
            return raw.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
        except UnicodeDecodeError as reason:
            line = raw.count(b"\n", 0, reason.start) + 1
            words = f"the byte {raw[reason.start]:02X} is not UTF-8; save the file as UTF-8"
            raise ThemeFault(self.shown(path), line, words) from reason

    def style(self, name: str) -> str:
        """Return a style sheet of leaves, by its name without ending, with its words in the language that is being
        spoken."""
        return script_said(self.text(f"sheets/{name}.css"))

    def files(self, folder: str, *endings: str) -> dict[str, Path]:
        """Return the files of one folder by name, the book's own first, in the order of their names."""
        names: set[str] = set()
        for layer in self.layers:
            try:
                names.update(path.name for path in (layer / folder).iterdir() if path.suffix in endings)
            except (FileNotFoundError, NotADirectoryError):
                continue
            except OSError as reason:
                raise ThemeFault(
                    self._shown(layer, folder), 0, f"the folder cannot be opened: {reason.strerror}"
                ) from reason
        found = {name: self.file(f"{folder}/{name}") for name in sorted(names)}
        return {name: file for name, file in found.items() if file}

    @cached_property
    def is_shipped(self) -> bool:
        """True where no file that makes a page is another than the theme has: then all its names are known."""
        kinds = (("pages", ".html"), ("style", ".css"), ("script", ".js"))
        return self.book is None or all(
            self.text(path) == self._shipped(path)
            for folder, ending in kinds
            for path in (f"{folder}/{name}" for name in self.files(folder, ending))
        )

    @cached_property
    def styles(self) -> dict[str, Markup]:
        """Style sheets of the pages, small enough to stand in every page: name without ending → text."""
        styles = {Path(name).stem: small(self.text(f"style/{name}")) for name in self.files("style", ".css")}
        return shortly_named(styles) if self.is_shipped else styles

    @property
    def scripts(self) -> dict[str, Markup]:
        """Scripts of the pages, which stand in them and speak as these do: name without ending → text."""
        if spoken() not in self._scripts:
            self._scripts[spoken()] = {
                Path(name).stem: self._script(f"script/{name}", file)
                for name, file in self.files("script", ".js").items()
            }
        return self._scripts[spoken()]

    @cached_property
    def _scripts(self) -> dict[str, dict[str, Markup]]:
        return {}

    def _script(self, path: str, file: Path) -> Markup:
        """Return a script as it stands in a page: the book's own as written, ended so that another may follow."""
        text = script_said(self.text(path))
        if self.book is None or not file.is_relative_to(self.layers[0]) or self.text(path) == self._shipped(path):
            return bare(text)
        slip = slip_in(text)
        if slip is not None:
            raise ThemeFault(self.shown(path), *slip)
        return Markup(text.replace("</", "<\\/") + "\n;\n")

    def _shipped(self, path: str) -> str | None:
        """Return the theme's text of a file that the book has too; None where it has none."""
        return replace(self, layers=self.layers[1:], book=None).text(path) if len(self.layers) > 1 else None


def must_be_inside(file: Path, book: Path, shown: str) -> None:
    """Raise ThemeFault for a link that leads out of the book, as no formula may be one either."""
    if not file.resolve().is_relative_to(book.resolve()):
        raise ThemeFault(shown, 0, "it is a link that leads out of the book; put the file itself here")


def bare(script: str) -> Markup:
    """Return a script without comments and needless space.

    >>> str(bare("/* what it is for */\\n// why\\n  let a = 1;\\n"))
    'let a=1;'
    """
    return Markup(jsmin(script).replace("</", "<\\/"))


def small(css: str) -> Markup:
    """Return a style sheet without comments and needless space.

    >>> str(small("p + p { color: red; }  /* ink */"))
    'p+p{color:red}'
    """
    text = _SPACE.sub(" ", _COMMENT.sub("", css)).strip()
    text = _BESIDE.sub(r"\1", _AROUND.sub(r"\1", text)).replace(": ", ":").replace(";}", "}")
    return Markup(text.replace("</", "<\\/"))


def shortly_named(styles: Mapping[str, Markup]) -> dict[str, Markup]:
    """Return style sheets in which what is declared for all of a page has names of one letter.

    >>> shortly_named({"page": Markup(":root{--ink:black;--rule:red}p{color:var(--ink)}")})
    {'page': Markup(':root{--a:black;--rule:red}p{color:var(--a)}')}
    """
    declared = (name for css in styles.values() for rule in _OF_ALL.findall(css) for name in _DECLARED.findall(rule))
    names = [name for name in dict.fromkeys(declared) if name not in _ASKED_FOR]
    short = dict(zip(names, ascii_letters, strict=False))

    def named(found: re.Match[str]) -> str:
        return f"--{short.get(found[1], found[1])}"

    return {kind: Markup(_CALLED.sub(named, css)) for kind, css in styles.items()}


def built_in(name: str) -> Path | None:
    """Return the folder of a theme that comes with the program."""
    for folder in (_HERE.parent / "themes", _HERE.parent.parent / "themes"):
        if (folder / name).is_dir():
            return folder / name
    return None


def load_theme(book: Path | None = None, name: str = DEFAULT) -> Theme:
    """Return a theme by name, with the book's own `themes/<name>` in front of it.

    Raises ThemeNotFound when there is none of that name, ThemeFault when it stands outside the book or has a template
    that nothing is made with.
    """
    own = book / "themes" / name if book else None
    shipped = built_in(name)
    if own is not None and shipped is not None and own.resolve() == shipped.resolve():
        own = None  # the checkout is a book itself
    if own is not None and not own.is_dir():
        own = None
    if book is not None and own is not None:
        must_be_inside(own, book, f"themes/{name}")
    layers = tuple(layer for layer in (own, shipped) if layer is not None)
    if not layers:
        raise ThemeNotFound(f"there is no theme called {name}; a book keeps its own in themes/{name}")
    theme = Theme(name=name, layers=layers, book=book if own is not None else None)
    if len(layers) > 1:
        _must_be_used(theme)
    return theme


def _must_be_used(theme: Theme) -> None:
    """Raise ThemeFault for a template of the book's own that stands in for none, and that no other of its own takes in.

    It would change nothing, and nobody would know: its name is misspelt, or one of an earlier program.
    """
    shipped = replace(theme, layers=theme.layers[1:], book=None)
    own = [
        f"{folder}/{name}"
        for folder in TEMPLATES
        for name, file in theme.files(folder, ".html").items()
        if file.is_relative_to(theme.layers[0])
    ]
    for path in own:
        if shipped.file(path) or any({path, None} & {*theme.taken_in(other)} for other in own if other != path):
            continue
        folder, _, name = path.partition("/")
        meant = nearest(Path(name).stem, [Path(known).stem for known in shipped.files(folder, ".html")])
        near = says("perhaps-mean", name=f"{meant}.html") if meant else ""
        raise ThemeFault(theme.shown(path), 0, f"nothing is made with a template of this name{near}")
