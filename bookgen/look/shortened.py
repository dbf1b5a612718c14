"""Scripts with short names, so that a page that carries them stays light.

Enters: a script's text.  Leaves: the same script in which every name that it declares is a short one.  A name stays one
name wherever it stands, so that what it means does not change; properties, and names of the browser's own, stay.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import count, islice, product
from string import ascii_letters

from tree_sitter import Language, Node, Parser, Query, QueryCursor
from tree_sitter_javascript import language

BROWSERS = frozenset(
    {"event", "find", "focus", "history", "location", "name", "onclick", "open", "parent", "print", "screen", "self"}
    | {"status", "stop", "top"}
)
"""Names that a browser has at the top as well: one that is declared in one place may mean the browser's in another."""

_NAMES = "(identifier) @plain (shorthand_property_identifier) @both (shorthand_property_identifier_pattern) @both"
_DECLARED = """
(variable_declarator name: (_) @it) (formal_parameters (_) @it) (arrow_function parameter: (_) @it)
(function_declaration name: (_) @it) (class_declaration name: (_) @it) (catch_clause parameter: (_) @it)
(for_in_statement kind: _ left: (_) @it)
"""
_FUNCTIONS = "[(arrow_function) (function_expression) (function_declaration) (method_definition)] @it"
_RESERVED = frozenset({"as", "do", "if", "in", "is", "of"})


def shortened(script: str) -> str:
    """Return a script with short names.

    Functions beside each other use the same short names for what stands in one of them alone.

    >>> shortened("const sum = (first, {second}) => first + second + document.first; sum(1, {second: 2});")
    'const a = (b, {second:c}) => b + c + document.first; a(1, {second: 2});'
    """
    grammar = Language(language())
    root = Parser(grammar).parse(script.encode()).root_node

    def found(query: str) -> dict[str, list[Node]]:
        return QueryCursor(Query(grammar, query)).captures(root)

    marked = [(node, kind == "both") for kind, nodes in found(_NAMES).items() for node in nodes]
    marked.sort(key=lambda mark: mark[0].start_byte)
    declared = declared_names(script) - BROWSERS
    functions = sorted((node.start_byte, -node.end_byte) for node in found(_FUNCTIONS).get("it", ()))
    short = _short_names([(_text(mark), mark.start_byte) for mark, _ in marked], declared, functions)
    parts, at, raw = [], 0, script.encode()
    for mark, both in marked:
        name = _text(mark)
        if name in short:
            parts += [raw[at : mark.start_byte], f"{name}:{short[name]}".encode() if both else short[name].encode()]
            at = mark.end_byte
    return b"".join((*parts, raw[at:])).decode()


def declared_names(script: str) -> set[str]:
    """Return every name that a script declares anywhere.

    >>> sorted(declared_names("const sum = (first, {second: other = first}) => first + other;"))
    ['first', 'other', 'sum']
    """
    grammar = Language(language())
    patterns = QueryCursor(Query(grammar, _DECLARED)).captures(Parser(grammar).parse(script.encode()).root_node)
    return {_text(name) for pattern in patterns.get("it", ()) for name in _names_in(pattern)}


def _text(node: Node) -> str:
    return (node.text or b"").decode()


def _names_in(pattern: Node) -> Iterator[Node]:
    """Yield the names that a pattern declares: no default values, no keys."""
    match pattern.type:
        case "identifier" | "shorthand_property_identifier_pattern":
            yield pattern
        case "assignment_pattern" | "object_assignment_pattern":
            yield from _names_in(pattern.named_children[0])
        case "pair_pattern":
            yield from _names_in(pattern.named_children[1])
        case "array_pattern" | "object_pattern" | "rest_pattern":
            for child in pattern.named_children:
                yield from _names_in(child)


def _short_names(names: list[tuple[str, int]], declared: set[str], functions: list[tuple[int, int]]) -> dict[str, str]:
    """Return a short name for each declared one, given all names with their places, and the spans of functions.

    A name belongs to the smallest function that holds it wherever it stands: there it differs from all names around.
    """
    homes: dict[str, tuple[int, ...]] = {}
    used: Counter[str] = Counter()
    waiting, open_ = iter([*functions, (1 << 60, 0)]), [(0, -(1 << 60))]
    next_ = next(waiting)
    for name, place in names:
        while next_[0] <= place:
            open_ = [around for around in open_ if -around[1] > next_[0]] + [next_]
            next_ = next(waiting)
        open_ = [around for around in open_ if -around[1] > place]
        if name in declared:
            used[name] += 1
            path = tuple(start for start, _ in open_)
            before = homes.get(name, path)
            homes[name] = tuple(one for one, other in zip(before, path, strict=False) if one == other)
    fixed = {name for name, _ in names} - declared | _RESERVED
    letters = [letter for letter in islice(_letters(), len(used) + len(fixed)) if letter not in fixed]
    taken: dict[tuple[int, ...], set[str]] = {}
    short: dict[str, str] = {}
    for name, home in sorted(homes.items(), key=lambda home: (len(home[1]), home[1], -used[home[0]], home[0])):
        around = [taken.setdefault(home[:depth], set()) for depth in range(1, len(home) + 1)]
        beside = set().union(*around)
        short[name] = next(letter for letter in letters if letter not in beside)
        around[-1].add(short[name])
    return short


def _letters() -> Iterator[str]:
    """Yield names of letters, the shortest first."""
    for size in count(1):
        for letters in product(ascii_letters, repeat=size):
            yield "".join(letters)
