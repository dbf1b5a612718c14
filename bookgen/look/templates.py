"""Templates as data: what a theme's templates may do, and what is wrong with one in a sentence with its place.

Enters: templates by name.  Leaves: an environment in which a template prints what it is given and reaches nothing else,
neither Python nor a file; and a `ThemeFault` for whatever goes wrong in one.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from typing import Any

from jinja2 import BaseLoader, Environment, StrictUndefined, TemplateNotFound, TemplateSyntaxError, Undefined
from jinja2.exceptions import SecurityError, UndefinedError
from jinja2.runtime import Context, LoopContext, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.utils import missing

from ..findings import nearest
from ..wording.saying import says
from .compiling import TemplateWriter
from .light import Tight
from .markup import PAGE, Printer, marked

Read = Callable[[str], tuple[str, str] | None]
"""Name of a template → its text, and the path it is told by; None where there is none."""


class ThemeFault(Exception):
    """A file of a theme is not in order; the text is a sentence that names the file, and the line where it is known."""

    def __init__(self, path: str, line: int, words: str) -> None:
        super().__init__(path, line, words)

    def __str__(self) -> str:
        path, line, words = self.args
        return f"{path}{f', line {line}' if line else ''}: {words}."


class _Nothing(StrictUndefined):
    """A name that stands for nothing: whoever uses it is told which it is, and which is near."""

    @property
    def _undefined_message(self) -> str:
        if self._undefined_hint:
            return self._undefined_hint
        if not isinstance(self._undefined_name, str):
            return f"there is no entry {self._undefined_name!r} here"
        meant = nearest(self._undefined_name, _names_in(self._undefined_obj))
        near = says("perhaps-mean", name=meant) if meant else ""
        return f"nothing here is called `{self._undefined_name}`{near}"


def _names_in(given: object) -> Iterable[str]:
    """Return the names that a template may use of a shown record or a mapping."""
    if is_dataclass(given):
        return [field.name for field in fields(given)]
    return [str(key) for key in given] if isinstance(given, Mapping) else ()


class _Loader(BaseLoader):
    """Templates from wherever `read` finds them; nothing else can be taken in."""

    def __init__(self, read: Read) -> None:
        self._read = read

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        found = self._read(template)
        if found is None:
            raise TemplateNotFound(template)
        text, path = found
        return text, path, lambda: True


class _Records(dict[type, frozenset[str]]):
    """The fields of a shown record by its kind, all of which a template may reach, and what a loop tells of its place;
    none of anything else."""

    def __missing__(self, kind: type) -> frozenset[str]:
        found = frozenset(field.name for field in fields(kind)) if is_dataclass(kind) else frozenset[str]()
        self[kind] = found
        return found


_OF_A_LOOP = frozenset({"first", "index", "index0", "last", "length"})


class Templates(ImmutableSandboxedEnvironment):
    """The one environment: what is printed is escaped, an unknown name is an error, and nothing runs but the text."""

    def __init__(self, read: Read, printer: Printer = PAGE) -> None:
        super().__init__(
            loader=_Loader(read),
            extensions=[Tight] if printer.light else [],
            autoescape=True,
            undefined=_Nothing,
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
            keep_trailing_newline=True,
        )
        self.ways = printer.ways
        """Kind of what a template prints → what makes of it the text that stands in the page."""
        self.marked = marked
        self.makes_html: frozenset[str] = frozenset()
        """Names of the filters that return HTML, which is printed as it is."""
        self._safe: dict[tuple[type, str], bool] = {}
        self._records = _Records({LoopContext: _OF_A_LOOP})
        self.kinds: defaultdict[str, set[type]] = defaultdict(set)
        """Name of a field → the kinds of shown record that were asked for it and have it."""

    code_generator_class = TemplateWriter

    def getattr(self, obj: Any, attribute: str) -> Any:
        """Return a field of a shown record at once; anything else as the sandbox has it."""
        if attribute in self._records[type(obj)]:
            self.kinds[attribute].add(type(obj))
            return getattr(obj, attribute)
        return super().getattr(obj, attribute)

    def call(__self, __context: Context, __obj: Any, *given: Any, **named: Any) -> Any:
        """Call a macro of a template at once, as a page does hundreds of times; anything else as the sandbox has it."""
        if type(__obj) is not Macro:
            return super().call(__context, __obj, *given, **named)
        named.pop("_loop_vars", None)
        named.pop("_block_vars", None)
        names = __obj.arguments[len(given) :]
        more = __obj.caller or __obj.catch_kwargs or __obj.catch_varargs or len(given) > len(__obj.arguments)
        if __context.eval_ctx.autoescape and not more and named.keys() <= set(names):
            # What is not given, the macro's own lines fill in or tell; what it returns is escaped.
            return marked(__obj._func(*given, *[named.get(name, missing) for name in names]))
        return __obj(__context.eval_ctx, *given, **named)

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        """As the sandbox has it, whose answer goes by the kind of thing: asked once for each, a page asks often."""
        kind = (type(obj), attr)
        if kind not in self._safe:
            self._safe[kind] = super().is_safe_attribute(obj, attr, value)
        return self._safe[kind]

    def unsafe_undefined(self, obj: Any, attribute: str) -> Undefined:
        """Return what stands for something that a template may not reach."""
        hint = f"a template may not reach `{attribute}`"
        return self.undefined(hint, obj=obj, name=attribute, exc=SecurityError)


@contextmanager
def told(shown: Callable[[str], str], *, own: bool) -> Iterator[None]:
    """Turn what goes wrong with a template into a `ThemeFault`; `shown` gives the path of a template by its name.

    Unless the book has files of its `own` in the theme, what stops a template on its way is a bug of ours, and stays.
    """
    try:
        yield
    except ThemeFault:
        raise
    except TemplateNotFound as reason:
        path, line = _place(reason)
        raise ThemeFault(path or shown(str(reason.name)), line, f"there is no template {reason.name}") from reason
    except TemplateSyntaxError as reason:
        path = reason.filename or reason.name or "a template"
        left_open = _LEFT_OPEN.search(reason.message or "")
        if left_open:
            line = _opened(reason.source or "", left_open[1], reason.lineno)
            words = f"`{{% {left_open[1]} %}}` is not closed; write `{{% end{left_open[1]} %}}` where it ends"
            raise ThemeFault(path, line, words) from reason
        words = f"the template cannot be read: {_first_sentence(reason.message or '')}"
        raise ThemeFault(path, reason.lineno, words) from reason
    except Exception as reason:
        path, line = _place(reason)
        if not (own and path):
            raise
        words = _first_sentence(str(reason))
        if not isinstance(reason, (SecurityError, UndefinedError)):
            words = f"the template stops here ({type(reason).__name__}{f': {words}' if words else ''})"
        raise ThemeFault(path, line, words) from reason


_LEFT_OPEN = re.compile(r"The innermost block that needs to be closed is '(\w+)'")


def _first_sentence(said: str) -> str:
    """Return the first sentence of a library's words, to stand within one of ours."""
    words = " ".join(said.split()).partition(". ")[0].removesuffix(".")
    return words if words[1:2].isupper() else words[:1].lower() + words[1:]


def _opened(source: str, tag: str, last: int) -> int:
    """Return the line on which the last tag of that name stands that nothing closes; `last` where it is not found."""
    lines = []
    for found in _TAG.finditer(source):
        if found[1] == tag and not (tag == "set" and "=" in found[0]):
            lines.append(source.count("\n", 0, found.start()) + 1)
        elif found[1] == f"end{tag}" and lines:
            lines.pop()
    return lines[-1] if lines else last


_TAG = re.compile(r"\{%[-+]?\s*(\w+).*?%\}", re.DOTALL)


def _place(reason: BaseException) -> tuple[str, int]:
    """Return the path and the line of the template in which it happened; no path where it was in none."""
    found, trace = ("", 0), reason.__traceback__
    while trace is not None:
        if "__jinja_exception__" in trace.tb_frame.f_globals:  # put there by the engine, in the template's own lines
            found = (trace.tb_frame.f_code.co_filename, trace.tb_lineno)
        trace = trace.tb_next
    return found
