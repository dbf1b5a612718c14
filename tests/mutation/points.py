"""Where a file can be changed by one small mistake, and the mistake itself.

Left out, since no test could or should notice: annotations, docstrings, decorators, assertions, imports, `__all__`,
the names of sentences, `zip(strict=…)`, patterns of `match`, what an exception tells a programmer.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}
RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
}
CALLED = {"min": "max", "max": "min", "any": "all", "all": "any"}
LEAVING = (ast.Return, ast.Raise, ast.Continue, ast.Break)
FIGURE = re.compile(r"\d+(?:\.\d+)?")
HOLE = re.compile(r"\{(\w+):[^{}]+\}")


@dataclass(frozen=True, kw_only=True)
class Point:
    """One mistake that can be made."""

    line: int
    what: str
    """In short: `< becomes <=`."""
    statement: ast.AST
    """The smallest statement around it."""
    block: int | str | None
    """Line on which the innermost run of statements of a function begins, or the name of a sentence; None elsewhere
    outside functions, and in those that a process runs once."""
    make: Callable[[], None] = field(repr=False)
    """Makes the mistake in the tree that was walked."""


def points(tree: ast.Module) -> list[Point]:
    """Return the points of a file, in the order of its text."""
    return list(_Walk().walk(tree))


def blocks(tree: ast.Module) -> Iterator[list[ast.stmt]]:
    """Yield the runs of statements inside functions: bodies, branches, handlers, cases."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            yield node.body
            for inner in ast.walk(node):
                if not isinstance(inner, ast.FunctionDef | ast.ClassDef | ast.Lambda | ast.IfExp):
                    yield from (run for name in ("body", "orelse", "finalbody") if (run := getattr(inner, name, None)))


def _is_kept(node: ast.AST) -> bool:
    """Tell whether it is a function whose result is kept for as long as the process lives."""
    return isinstance(node, ast.FunctionDef) and any(ast.unparse(one) == "cache" for one in node.decorator_list)


def _says_what(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def altered(text: str) -> str:
    """Return a text with the last letter that stands outside of holes changed.

    >>> altered("{count} weights.")
    '{count} weightz.'
    """
    bare = re.sub(r"\{[^{}]*\}", lambda hole: "." * len(hole[0]), text)
    at = max((number for number, one in enumerate(bare) if one.isalpha()), default=None)
    if at is None:
        return f"{text}?"
    return f"{text[:at]}{'x' if text[at] == 'z' else 'z'}{text[at + 1 :]}"


class _Walk:
    """One walk through a tree."""

    def __init__(self) -> None:
        self.statement: ast.AST = ast.Pass()
        self.block: int | str | None = None

    def walk(self, node: ast.AST) -> Iterator[Point]:
        kept = self.statement, self.block
        if isinstance(node, ast.stmt):
            self.statement = node
        yield from self.here(node)
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list", "format_spec", "pattern"):
                continue
            inside = self.block
            if isinstance(value, list) and value and isinstance(value[0], ast.stmt):
                if isinstance(node, ast.ClassDef) or _is_kept(node):
                    self.block = None
                elif isinstance(node, ast.FunctionDef) or self.block is not None:
                    self.block = value[0].lineno
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST) and not self.passed(node, child):
                    yield from self.walk(child)
            self.block = inside
        self.statement, self.block = kept

    def passed(self, node: ast.AST, child: ast.AST) -> bool:
        """Tell whether nothing in there counts."""
        if isinstance(child, ast.Import | ast.ImportFrom | ast.Assert) or _says_what(child):
            return True
        if isinstance(child, ast.Assign | ast.AnnAssign):
            names = child.targets if isinstance(child, ast.Assign) else [child.target]
            alias = isinstance(child, ast.AnnAssign) and ast.unparse(child.annotation) == "TypeAlias"
            return alias or any(isinstance(name, ast.Name) and name.id.startswith("__") for name in names)
        if isinstance(child, ast.If):
            return "TYPE_CHECKING" in ast.unparse(child.test)
        return isinstance(child, ast.keyword) and child.arg == "strict"

    def point(self, node: ast.AST, what: str, make: Callable[[], None]) -> Point:
        line = getattr(node, "lineno", getattr(self.statement, "lineno", 0))
        return Point(line=line, what=what, statement=self.statement, block=self.block, make=make)

    def put(self, node: ast.AST, name: str, value: object, what: str) -> Point:
        return self.point(node, what, lambda: setattr(node, name, value))

    def here(self, node: ast.AST) -> Iterator[Point]:
        """Yield the mistakes that can be made in the node itself."""
        if isinstance(node, ast.Compare):
            for number, one in enumerate(node.ops):
                for other in COMPARED[type(one)]:
                    ops = [*node.ops[:number], other(), *node.ops[number + 1 :]]
                    yield self.put(node, "ops", ops, f"{type(one).__name__} becomes {other.__name__}")
        elif isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in RECKONED:
            other_op = RECKONED[type(node.op)]
            if not any(_is_text(one) for one in ast.iter_child_nodes(node)):
                yield self.put(node, "op", other_op(), f"{type(node.op).__name__} becomes {other_op.__name__}")
        elif isinstance(node, ast.BoolOp):
            swapped = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield self.put(node, "op", swapped, f"{type(node.op).__name__} becomes {type(swapped).__name__}")
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            yield self.put(node, "operand", ast.UnaryOp(ast.Not(), node.operand), "not dropped")
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
            yield self.put(node, "op", ast.UAdd(), "sign dropped")
        elif isinstance(node, ast.IfExp):
            yield self.put(node, "test", ast.UnaryOp(ast.Not(), node.test), "choice turned round")
        elif isinstance(node, ast.If) and isinstance(node.body[-1], LEAVING) and not node.orelse:
            yield self.put(node, "test", ast.Constant(False), "early end dropped")
        elif isinstance(node, ast.comprehension):
            for number in range(len(node.ifs)):
                ifs = [*node.ifs[:number], *node.ifs[number + 1 :]]
                yield self.put(node, "ifs", ifs, "condition dropped")
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLED:
            other_name = CALLED[node.func.id]
            yield self.put(node.func, "id", other_name, f"{node.func.id} becomes {other_name}")
        elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
            yield self.put(node, "value", not node.value, f"{node.value} becomes {not node.value}")
        elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
            for other_value in dict.fromkeys((node.value + 1, node.value * 2 or 1)):
                yield self.put(node, "value", other_value, f"{node.value} becomes {other_value}")
        if not isinstance(self.statement, ast.Raise):
            yield from self.texts(node)

    def texts(self, node: ast.AST) -> Iterator[Point]:
        """Yield the mistakes that can be made in a text of the node: what is returned, a template, a figure."""
        said: list[ast.expr] = []
        if isinstance(node, ast.Return) and node.value:
            value = node.value
            said += [value.body, value.orelse] if isinstance(value, ast.IfExp) else [value]
        elif isinstance(node, ast.JoinedStr):
            said += node.values
        elif isinstance(node, ast.Dict) and self.block is None:
            for name, value in zip(node.keys, node.values, strict=True):
                self.block = name.value if isinstance(name, ast.Constant) and isinstance(name.value, str) else None
                yield from self.in_text(node, value)
            self.block = None
        elif isinstance(node, ast.Call):
            said += [one for one in node.args if isinstance(one, ast.Constant) and FIGURE.fullmatch(str(one.value))]
        for one in said:
            yield from self.in_text(node, one)

    def in_text(self, node: ast.AST, one: ast.expr) -> Iterator[Point]:
        if not (isinstance(one, ast.Constant) and isinstance(one.value, str) and one.value):
            return
        text = one.value
        if FIGURE.fullmatch(text):
            yield self.put(one, "value", f"{text}1" if "." in text else f"{int(text) + 1}", f"{text} is more")
            return
        yield self.put(one, "value", altered(text), f"{text[:40]!r} altered")
        for hole in HOLE.finditer(text) if isinstance(node, ast.Dict) else ():
            bare = f"{text[: hole.start()]}{{{hole[1]}}}{text[hole.end() :]}"
            yield self.put(one, "value", bare, f"{hole[0]} without its style")


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))
