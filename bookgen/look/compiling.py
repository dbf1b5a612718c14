"""Templates as Python: what the engine writes of a template, in fewer steps where nothing can go another way.

Enters: a template as the engine has read it.  Leaves: Python that prints by the ways of a printer alone, reads a field
of a shown record itself, and calls a macro of the template's own as the function that it is.  Whatever else stands in a
template goes by the environment, which says what it may reach.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from keyword import iskeyword
from types import MappingProxyType

from jinja2.compiler import CodeGenerator, Frame
from jinja2.nodes import (
    Assign,
    AssignBlock,
    Block,
    Call,
    Expr,
    Extends,
    Filter,
    FromImport,
    Getattr,
    Import,
    Macro,
    Name,
    ScopedEvalContextModifier,
    Template,
)


class TemplateWriter(CodeGenerator):
    """Writes a template as Python.

    Which kinds of record have a field of a name is known once one was asked for it (`Templates.kinds`); all else that
    stands behind a dot goes by `Templates.getattr`.
    """

    _own: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    """The macros of the template's own that are called as functions."""
    _output: Expr | None = None
    """What is being printed and is HTML already."""

    def visit_Template(self, node: Template, frame: Frame | None = None) -> None:
        self._own = own_macros(node)
        super().visit_Template(node, frame)
        self.writeline("ways, marked = environment.ways, environment.marked")
        for name in sorted({found.attr for found in node.find_all(Getattr)}):
            if _is_plain(name):
                self.writeline(f"kinds_{name} = environment.kinds[{name!r}]")

    def enter_frame(self, frame: Frame) -> None:
        super().enter_frame(frame)
        if frame.rootlevel:
            for name in self._own:  # until it is there, whoever calls it is told so
                self.writeline(f"own_{name} = undefined(name={name!r})")

    def visit_Macro(self, node: Macro, frame: Frame) -> None:
        super().visit_Macro(node, frame)
        if node.name in self._own:
            self.writeline(f"own_{node.name} = {frame.symbols.ref(node.name)}._func")

    def visit_Getattr(self, node: Getattr, frame: Frame) -> None:
        if not _is_plain(node.attr):
            super().visit_Getattr(node, frame)
            return
        self.write(f"(_held.{node.attr} if type(_held := ")
        self.visit(node.node, frame)
        self.write(f") in kinds_{node.attr} else environment.getattr(_held, {node.attr!r}))")

    def visit_Call(self, node: Call, frame: Frame, forward_caller: bool = False) -> None:
        given = None if forward_caller else self._given(node, frame)
        if given is None or not isinstance(node.node, Name):
            super().visit_Call(node, frame, forward_caller=forward_caller)
            return
        printed = node is self._output
        self.write(f"{'' if printed else 'marked('}own_{node.node.name}(")
        for argument in given:
            if argument is None:  # the macro's own lines fill it in, or tell that it is not there
                self.write("missing")
            else:
                self.visit(argument, frame)
            self.write(", ")
        self.write(")" if printed else "))")

    def _given(self, node: Call, frame: Frame) -> list[Expr | None] | None:
        """Return what a macro of the template's own is given, in its order, None for what is not; None for any other
        call."""
        name = node.node.name if isinstance(node.node, Name) else ""
        names = self._own.get(name)
        if names is None or frame.symbols.find_ref(name) != f"l_0_{name}" or node.dyn_args or node.dyn_kwargs:
            return None
        named = {keyword.key: keyword.value for keyword in node.kwargs}
        rest = names[len(node.args) :]
        if len(node.args) > len(names) or len(named) < len(node.kwargs) or not named.keys() <= set(rest):
            return None
        return [*node.args, *map(named.get, rest)]

    def _output_child_pre(self, node: Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo) -> None:
        if not _escapes(frame):
            super()._output_child_pre(node, frame, finalize)
            return
        self._output = node if self._is_html(node, frame) else None
        self.write("(" if self._output else "ways[type(_shown := ")

    def _output_child_post(self, node: Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo) -> None:
        if _escapes(frame):
            self.write(")" if self._output else ")](_shown)")
            self._output = None
        else:
            super()._output_child_post(node, frame, finalize)

    def _is_html(self, node: Expr, frame: Frame) -> bool:
        """Tell whether what is printed is HTML whatever it is made of."""
        if isinstance(node, Call):
            return self._given(node, frame) is not None
        return isinstance(node, Filter) and node.name in getattr(self.environment, "makes_html", ())


def own_macros(template: Template) -> dict[str, tuple[str, ...]]:
    """Return the macros of a template that its own lines can only mean by their names, with the names of what each is
    given: one that nothing else is called by, of a template without blocks, whose lines have names of their own."""
    if any(template.find(kind) for kind in (Block, Extends, ScopedEvalContextModifier)):
        return {}
    called = Counter(_named_in(template))
    return {
        macro.name: tuple(argument.name for argument in macro.args)
        for macro in template.body
        if isinstance(macro, Macro)
        and called[macro.name] == 1
        and _is_plain(macro.name)
        and not {name.name for name in macro.find_all(Name)} & {"caller", "kwargs", "varargs"}
    }


def _named_in(template: Template) -> Sequence[str]:
    """Return every name that a template gives to something, as often as it does; what a loop walks and what a macro is
    given have names of their own in Python."""
    found = [macro.name for macro in template.find_all(Macro)]
    found += [taken.target for taken in template.find_all(Import)]
    for taken in template.find_all(FromImport):
        found += [name if isinstance(name, str) else name[1] for name in taken.names]
    targets = [put.target for put in template.find_all(Assign)] + [put.target for put in template.find_all(AssignBlock)]
    return found + [
        name.name for target in targets for name in (target, *target.find_all(Name)) if isinstance(name, Name)
    ]


def _escapes(frame: Frame) -> bool:
    return frame.eval_ctx.autoescape and not frame.eval_ctx.volatile


def _is_plain(name: str) -> bool:
    """Tell whether a name means the same written behind a dot in Python: it is no word of Python's, and in ASCII."""
    return name.isascii() and name.isidentifier() and not iskeyword(name)
