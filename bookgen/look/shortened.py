"""Scripts with short names and few signs, so that a page that carries them stays light.

Enters: a script's text.  Leaves: the same script in which every name that a function or block declares is a short one.
Each name is taken for the one that the nearest scope around it declares, as the language has it; properties, names
declared outside any function and names of the browser's own stay.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count, pairwise, product
from string import ascii_uppercase

from tree_sitter import Language, Node, Parser, Query, QueryCursor
from tree_sitter_javascript import language

_NAMES = "(identifier) @plain (shorthand_property_identifier) @both (shorthand_property_identifier_pattern) @both"
_SCOPES = """
[(arrow_function) (function_expression) (function_declaration) (generator_function) (generator_function_declaration)
 (method_definition)] @function
[(statement_block) (for_statement) (for_in_statement) (catch_clause) (switch_body) (class)] @block
"""
_DECLARED = """
(lexical_declaration (variable_declarator name: (_) @here)) (for_in_statement kind: ["let" "const"] left: (_) @here)
(function_expression name: (_) @here) (generator_function name: (_) @here) (catch_clause parameter: (_) @here)
(class name: (_) @here) (class_declaration name: (_) @here)
(formal_parameters (_) @here) (arrow_function parameter: (_) @here)
(variable_declaration (variable_declarator name: (_) @body)) (for_in_statement kind: "var" left: (_) @body)
(function_declaration name: (_) @around) (generator_function_declaration name: (_) @around)
"""
"""Where a name is declared: in the scope that holds it, in the body of its function, or around what it names."""
_CONSTANT = '(lexical_declaration "const" @it) (for_in_statement "const" @it)'
_IN_A_ROW = '((lexical_declaration ";" @end) . (lexical_declaration kind: _ @kind . (_) @next))'
_ONE_PARAMETER = "(arrow_function parameters: (formal_parameters . (identifier) .) @it)"
_LAST = """
(statement_block [(expression_statement) (lexical_declaration) (variable_declaration) (return_statement)
 (throw_statement) (break_statement) (continue_statement)] @it . "}")
"""
"""What may be written in fewer signs: `let` for `const`, and once for what is declared in a row; one parameter without
brackets, no `;` before a `}`."""
_YES_OR_NO = "(true) @yes (false) @no"
_WITHIN_TEXT = "(template_substitution) @it"
_TEXTS = frozenset({"string", "template_string", "regex"})
_ENDED_BY_LINE = frozenset(
    {
        "expression_statement",
        "lexical_declaration",
        "variable_declaration",
        "return_statement",
        "throw_statement",
        "break_statement",
        "continue_statement",
        "do_statement",
        "debugger_statement",
        "field_definition",
    }
)
"""What a new line ends where no `;` does."""
_UNSAFE = '(with_statement) @it ((identifier) @it (#eq? @it "eval"))'
"""With these a name may be read that does not stand in the text."""
_RESERVED = frozenset({"as", "do", "if", "in", "is", "of"})
_OUTSIDE = 0
_MANY = 40
"""A scope that declares more names than this leaves to small functions the letters that these share."""
_FREQUENT = "etnrisouadlcfmphgvbywjkqxz"
"""The letters of a script's words, the most frequent first: what is alike is deflated better."""
_SHARED = _FREQUENT + ascii_uppercase
_LEFT = ascii_uppercase + _FREQUENT[::-1]
"""What small functions take last, first."""

Declared = tuple[int, str]
"""A name and the number of the scope that declares it; outside where none does."""


@dataclass
class _Scope:
    """A stretch of the script with names of its own."""

    start: int
    end: int
    function: bool
    owner: int = 0
    """The number of the function or `catch` whose braces these are: no name of the one may be declared in the other."""
    names: set[str] = field(default_factory=set)
    """What it declares."""
    used: set[Declared] = field(default_factory=set)
    """What is used in it but declared around it."""


def shortened(script: str) -> str:
    """Return a script with short names and without signs that say nothing to a browser.

    Functions use the same short names for what stands in one of them alone.

    >>> shortened("(() => { const sum = (first, {second}) => first + second + document.first; sum(1, one); })();")
    '(() => { let e = (e, {second:t}) => e + t + document.first; e(1, one) })();'
    >>> shortened("(() => {const first=1;let second;for(const each of first)second=each})();")
    '(() => {let e=1,t;for(let n of e)t=n})();'
    >>> shortened("(() => {const first=1;\\nconst second=2; // as a book may write\\nuse(first,second)})();")
    '(() => {let e=1,t=2; // as a book may write\\nuse(e,t)})();'
    """
    grammar = Language(language())
    raw = script.encode()
    root = Parser(grammar).parse(raw).root_node

    def found(query: str) -> dict[str, list[Node]]:
        return QueryCursor(Query(grammar, query)).captures(root)

    if found(_UNSAFE):
        return script
    marked = [(node, kind == "both") for kind, nodes in found(_NAMES).items() for node in nodes]
    marked.sort(key=lambda each: each[0].start_byte)
    kinds = {
        node.start_byte: kind
        for kind, patterns in found(_DECLARED).items()
        for pattern in patterns
        for node in _names_in(pattern)
    }
    scopes = _scopes(found(_SCOPES), len(raw))
    paths = _paths([node.start_byte for node, _ in marked], scopes)
    names = [_text(node) for node, _ in marked]
    meant = _meant(names, [kinds.get(node.start_byte) for node, _ in marked], paths, scopes)
    short = _short_names(meant, paths, scopes)
    edits = [
        (node.start_byte, node.end_byte, (f"{name[1]}:{short[name]}" if both else short[name]).encode())
        for (node, both), name in zip(marked, meant, strict=True)
        if short.get(name, name[1]) != name[1]
    ]
    rows = [each for _, each in QueryCursor(Query(grammar, _IN_A_ROW)).matches(root)]
    again = {each["kind"][0].start_byte for each in rows}
    edits += [(each["end"][0].start_byte, each["next"][0].start_byte, b",") for each in rows]
    edits += [
        (node.start_byte, node.end_byte, b"let")
        for node in found(_CONSTANT).get("it", ())
        if node.start_byte not in again
    ]
    for node in found(_ONE_PARAMETER).get("it", ()):
        if node.child_count > 3:
            continue  # a comma or a comment stands beside the name
        apart = b" " if raw[node.start_byte - 1 : node.start_byte].isalnum() else b""  # `async(a)=>` is `async a=>`
        edits += [(node.start_byte, node.start_byte + 1, apart), (node.end_byte - 1, node.end_byte, b"")]
    edits += [
        (node.end_byte - 1, node.end_byte, b"")
        for node in found(_LAST).get("it", ())
        if raw[node.end_byte - 1 : node.end_byte] == b";"
    ]
    for kind, text in (("yes", b"!0"), ("no", b"!1")):
        edits += [(node.start_byte, node.end_byte, text) for node in found(_YES_OR_NO).get(kind, ())]
    for node in found(_WITHIN_TEXT).get("it", ()):
        edits += _space_between(list(_leaves(node)), raw)
    edits += [(at, at + 1, b"") for at in _needless_lines(root, raw)]
    parts, at = [], 0
    for start, end, text in sorted(edits):
        if start < at:
            continue  # the end of a line within what goes as a whole
        parts += [raw[at:start], text]
        at = end
    return b"".join((*parts, raw[at:])).decode()


def _leaves(node: Node) -> Iterator[Node]:
    """Yield the words and signs of a part of a script; a text within it is one of them."""
    if node.type in _TEXTS or not node.children:
        yield node
    else:
        for child in node.children:
            yield from _leaves(child)


def _space_between(leaves: list[Node], raw: bytes) -> Iterator[tuple[int, int, bytes]]:
    """Yield what to take out between words and signs that stay apart without it."""
    for before, after in pairwise(leaves):
        start, end = before.end_byte, after.start_byte
        if start < end and not raw[start:end].strip(b" ") and not _run_together(raw[start - 1], raw[end]):
            yield start, end, b""


def _needless_lines(root: Node, raw: bytes) -> Iterator[int]:
    """Yield where a line ends without ending a statement."""
    at = raw.find(b"\n")
    while at >= 0:
        before = root.descendant_for_byte_range(max(at - 1, 0), at)
        around = root.descendant_for_byte_range(at, at + 1)
        remark = before is not None and before.type == "comment" and raw.startswith(b"//", before.start_byte)
        while before is not None and before.end_byte == at and before.type not in _ENDED_BY_LINE:
            before = before.parent
        ends = before is not None and before.end_byte == at
        inside = around is not None and (around.type in _TEXTS or "_fragment" in around.type)
        kept = ends or inside or remark
        if 0 < at < len(raw) - 1 and not kept and not _run_together(raw[at - 1], raw[at + 1]):
            yield at
        at = raw.find(b"\n", at + 1)


def _run_together(before: int, after: int) -> bool:
    """Return whether two signs read otherwise without space between: parts of one word, `+ +`, `- -`."""
    word = (chr(sign).isalnum() or chr(sign) in "_$" or sign > 127 for sign in (before, after))
    return all(word) or (before == after and chr(before) in "+-")


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
            for part in pattern.named_children:
                yield from _names_in(part)


def _scopes(found: dict[str, list[Node]], end: int) -> list[_Scope]:
    """Return the scopes of a script, each before those in it; the first is the script."""
    nodes = [(node, True) for node in found.get("function", ())] + [(node, False) for node in found.get("block", ())]
    nodes.sort(key=lambda each: (each[0].start_byte, -each[0].end_byte))
    owners = {
        body.start_byte: number
        for number, (node, function) in enumerate(nodes, start=1)
        if function or node.type == "catch_clause"
        if (body := node.child_by_field_name("body")) is not None and body.type == "statement_block"
    }
    return [_Scope(0, end + 1, False)] + [
        _Scope(node.start_byte, node.end_byte, function, 0 if function else owners.get(node.start_byte, 0))
        for node, function in nodes
    ]


def _paths(places: list[int], scopes: list[_Scope]) -> list[tuple[int, ...]]:
    """Return for each place the numbers of the scopes around it, the widest first."""
    paths, open_, next_ = [], [_OUTSIDE], 1
    for place in places:
        while next_ < len(scopes) and scopes[next_].start <= place:
            open_ = [scope for scope in open_ if scopes[scope].end > scopes[next_].start] + [next_]
            next_ += 1
        open_ = [scope for scope in open_ if scopes[scope].end > place]
        paths.append(tuple(open_))
    return paths


def _meant(
    names: list[str], kinds: list[str | None], paths: list[tuple[int, ...]], scopes: list[_Scope]
) -> list[Declared]:
    """Return which scope's name each name is."""
    homes: dict[int, int] = {}
    held = set()
    for at, (name, kind, path) in enumerate(zip(names, kinds, paths, strict=True)):
        if kind is None:
            continue
        around = path[:-1] if kind == "around" else path
        if kind == "around" and around[-1] != _OUTSIDE and not scopes[around[-1]].owner:
            held.add(name)  # a function in a block belongs to the block or to more, as the script is strict or not
        homes[at] = around[-1] if kind == "here" else _body(around, name, scopes)
        scopes[homes[at]].names.add(name)
    found = []
    for at, (name, path) in enumerate(zip(names, paths, strict=True)):
        home = homes.get(at, next((scope for scope in reversed(path) if name in scopes[scope].names), _OUTSIDE))
        found.append((_OUTSIDE if name in held else home, name))
    return found


def _body(path: tuple[int, ...], name: str, scopes: list[_Scope]) -> int:
    """Return the scope of what belongs to a function as a whole: its body, its parameters for one of their names."""
    for at in reversed(range(len(path))):
        if scopes[path[at]].function:
            parameters, body = path[at], path[at + 1 : at + 2]
            inside = body and scopes[body[0]].owner == parameters and name not in scopes[parameters].names
            return body[0] if inside else parameters
    return _OUTSIDE


def _short_names(meant: list[Declared], paths: list[tuple[int, ...]], scopes: list[_Scope]) -> dict[Declared, str]:
    """Return a short name for each that a scope declares: another than all that are used in that scope."""
    for name, path in zip(meant, paths, strict=True):
        for scope in path:
            if scope > name[0] or name[0] == _OUTSIDE:
                scopes[scope].used.add(name)
    counts = Counter(meant)
    own: dict[int, list[Declared]] = {}
    for name in counts:  # as they stand, so that functions that begin alike do so under short names too
        if name[0] != _OUTSIDE:
            own.setdefault(name[0], []).append(name)
    short: dict[Declared, str] = {}
    for home in sorted(own):
        used = {*scopes[home].used, *own.get(scopes[home].owner, ())}
        taken = {short.get(name, name[1]) for name in used} | _RESERVED
        letters, names = _letters(_SHARED), own[home]
        if len(names) > _MANY:
            letters, names = _letters(_LEFT), sorted(names, key=lambda name: -counts[name])
        short.update(zip(names, (letter for letter in letters if letter not in taken), strict=False))
    return short


def _letters(alphabet: str) -> Iterator[str]:
    """Yield names, the shortest first: of one letter as the alphabet has them, longer ones of frequent letters."""
    yield from alphabet
    for size in count(2):
        for letters in product(_FREQUENT, repeat=size):
            yield "".join(letters)
