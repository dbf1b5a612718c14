"""Themes: templates, style and fonts as files; a book's own files stand in for the theme's, path by path.

A theme is looked up in the installed package (`bookgen/themes/<name>`), else in the checkout (`themes/<name>`).
Templates are compiled once; they get shown records and can reach nothing else.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from jinja2 import ChoiceLoader, Environment, FileSystemLoader, StrictUndefined, Template
from jinja2.meta import find_referenced_templates
from markupsafe import Markup
from rjsmin import jsmin

from .closeness import closeness
from .figures import breakable, figure_html, link_html
from .found.anchors import found
from .typeset import typeset

DEFAULT = "workroom"
_HERE = Path(__file__).resolve().parent
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_SPACE = re.compile(r"\s+")
_AROUND = re.compile(r" ?([{};,>]) ?")


class ThemeNotFound(Exception):
    """No theme of that name; the text says where it was looked for."""


@dataclass(frozen=True, kw_only=True)
class Theme:
    """A theme with a book's overrides in front of it."""

    name: str
    """Its name."""
    layers: tuple[Path, ...]
    """Its folders: the book's own first."""

    @cached_property
    def environment(self) -> Environment:
        """The one environment; everything printed is escaped, an unknown name is an error."""
        environment = Environment(
            loader=ChoiceLoader([FileSystemLoader(layer) for layer in self.layers]),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
            keep_trailing_newline=True,
        )
        environment.filters["figure"] = figure_html
        environment.filters["link"] = link_html
        environment.filters["breakable"] = breakable
        environment.filters["found"] = found
        environment.filters["typeset"] = typeset
        environment.filters["closeness"] = closeness
        return environment

    @cached_property
    def _takes_in(self) -> dict[str, list[str]]:
        """Template → the templates it names, filled as they are asked for."""
        return {}

    def source(self, path: str) -> str:
        """Return the text of a template with all it takes in, each under its path: what a look goes by."""
        found, waiting = {path}, [path]
        while waiting:
            one = waiting.pop()
            if one not in self._takes_in:
                named = find_referenced_templates(self.environment.parse(self.text(one)))
                self._takes_in[one] = [name for name in named if name]
            within = {name for name in self._takes_in[one] if name not in found}
            found |= within
            waiting += within
        return "".join(f"{one}\n{self.text(one)}\n" for one in sorted(found))

    def template(self, path: str) -> Template:
        """Return a compiled template, such as `pages/formula.html`."""
        return self.environment.get_template(path)

    def file(self, path: str) -> Path | None:
        """Return the file that stands at a path of the theme, the book's own first; None where there is none."""
        return next((layer / path for layer in self.layers if (layer / path).is_file()), None)

    def text(self, path: str) -> str:
        """Return the text of a file of the theme; empty where there is none."""
        found = self.file(path)
        return found.read_text(encoding="utf-8") if found else ""

    def files(self, folder: str, *endings: str) -> dict[str, Path]:
        """Return the files of one folder by name, the book's own first, in the order of their names."""
        found: dict[str, Path] = {}
        for layer in reversed(self.layers):
            if (layer / folder).is_dir():
                found.update((one.name, one) for one in (layer / folder).iterdir() if one.suffix in endings)
        return {name: found[name] for name in sorted(found)}

    @cached_property
    def styles(self) -> dict[str, Markup]:
        """Style sheets of the pages, small enough to stand in every page: name without ending → text."""
        return {
            Path(name).stem: small(path.read_text(encoding="utf-8"))
            for name, path in self.files("style", ".css").items()
        }

    @cached_property
    def scripts(self) -> dict[str, Markup]:
        """Scripts of the pages, which stand in them: name without ending → text."""
        return {
            Path(name).stem: bare(path.read_text(encoding="utf-8"))
            for name, path in self.files("script", ".js").items()
        }


def bare(script: str) -> Markup:
    """Return a script without comments and needless space.

    >>> str(bare("/* what it is for */\\n// why\\n  let a = 1;\\n"))
    'let a=1;'
    """
    return Markup(jsmin(script).replace("</", "<\\/"))


def small(css: str) -> Markup:
    """Return a style sheet without comments and needless space.

    >>> str(small("p { color: red; }  /* ink */"))
    'p{color:red}'
    """
    text = _SPACE.sub(" ", _COMMENT.sub("", css)).strip()
    text = _AROUND.sub(r"\1", text).replace(": ", ":").replace(";}", "}")
    return Markup(text.replace("</", "<\\/"))


def built_in(name: str) -> Path | None:
    """Return the folder of a theme that comes with the program."""
    for folder in (_HERE.parent / "themes", _HERE.parent.parent / "themes"):
        if (folder / name).is_dir():
            return folder / name
    return None


def load_theme(book: Path | None = None, name: str = DEFAULT) -> Theme:
    """Return a theme by name, with the book's own `themes/<name>` in front of it.

    Raises ThemeNotFound when there is none of that name.
    """
    own = book / "themes" / name if book else None
    shipped = built_in(name)
    layers = tuple(one for one in (own, shipped) if one is not None and one.is_dir())
    if own is not None and shipped is not None and own.resolve() == shipped.resolve():
        layers = (shipped,)  # the checkout is a book itself
    if not layers:
        raise ThemeNotFound(f"there is no theme called {name}; a book keeps its own in themes/{name}")
    return Theme(name=name, layers=layers)
