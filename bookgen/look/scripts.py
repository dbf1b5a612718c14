"""Scripts of a book's own: whether they are JavaScript at all, which a page would otherwise tell nobody.

Enters: a script's text.  Leaves: where it goes wrong.  The grammar is that of a classic script, as it stands in a page;
the parser is asked only where a book brings a script, so that no other book waits for it.
"""

from __future__ import annotations

from collections.abc import Iterator

_IN_MODULES = ("import_statement", "export_statement")
_NOT_OURS = "jsx_"
"""Kinds of node that the parser knows and no browser: elements among the words of a script."""


def slip_in(script: str) -> tuple[int, str] | None:
    """Return the line on which a script goes wrong and what is wrong there; None for one that a browser can read.

    >>> slip_in("const a = b?.c ?? `${1}`;")
    >>> slip_in("let a = 1;\\nthis is no script")
    (2, 'this is not JavaScript')
    """
    from tree_sitter import Language, Node, Parser
    from tree_sitter_javascript import language

    def walk(node: Node) -> Iterator[Node]:
        waiting = [node]
        while waiting:
            node = waiting.pop()
            yield node
            waiting += reversed(node.children)

    root = Parser(Language(language())).parse(script.encode()).root_node
    for node in walk(root):
        line = node.start_point[0] + 1
        if node.is_missing:
            return line, f"this is not JavaScript: `{node.type}` is missing"
        if node.is_error:
            return line, "this is not JavaScript"
        if node.type.startswith(_NOT_OURS):
            return line, "this is not JavaScript: an element stands among the words"
        if node.type in _IN_MODULES:
            return line, "a script of a page imports and exports nothing; put all of it into one file"
    return None
