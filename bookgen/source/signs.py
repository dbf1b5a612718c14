"""The decimal sign of a file turned into the other one, in the values that the schema reads as figures alone.

Enters: the tree of a front matter, or a text with `time:` links.  Leaves: the same with `0.5` for `0,5`, or the other
way.  Words stay as they are written: titles, notes, functions, remarks of the change log, names of keys.  Whether the
outcome says the same is for who asks: it is read again.
"""

from __future__ import annotations

import re
from typing import Any, get_args, get_origin

from ..model import Formula, Line, Material
from .amounts import split_line
from .schema import key_fields
from .tree import Branch, ListBranch, Node, TextLeaf

_DECIMAL = {
    comma: re.compile(rf"(?<![\w.,])([0-9]+){sign}([0-9]+)(?![0-9]|[.,][0-9]|-[^\W\d])")
    for comma, sign in ((True, ","), (False, r"\."))
}
"""A decimal written with a comma, or with a point; not the places in a name such as 1,2-hexanediol."""
_WORDS = frozenset({(Formula, "changes"), (Formula, "preserved by"), (Material, "incompatible with")})
"""Keys whose records hold words alone."""
_INGREDIENTS = "ingredients"
_AMOUNT = "amount"
_TIME = re.compile(r"(time:[0-9]+)[.,]([0-9]+[A-Za-z]+)", re.IGNORECASE)


def figures_turned(text: str, *, comma: bool) -> str:
    """Return a text of figures with its decimals written with a comma, or with a point.

    >>> figures_turned("0,5 % as 1,2-hexanediol", comma=False), figures_turned("5.0 to 5.5", comma=True)
    ('0.5 % as 1,2-hexanediol', '5,0 to 5,5')
    """
    return _DECIMAL[not comma].sub(r"\1,\2" if comma else r"\1.\2", text)


def time_turned(address: str, *, comma: bool) -> str:
    """Return the address of a countdown with the other decimal sign; any other as it is.

    >>> time_turned("time:1,5h", comma=False)
    'time:1.5h'
    """
    match = _TIME.fullmatch(address)
    return address if match is None else f"{match[1]}{',' if comma else '.'}{match[2]}"


def front_turned(branch: Branch, record: type, *, comma: bool) -> Branch:
    """Return the keys of a formula, a material or a line with their figures written so."""
    hints = {key: hint for key, (_, hint, _) in key_fields(record).items()}

    def turned(key: str, node: Node) -> Node:
        if record is Formula and key == _INGREDIENTS:
            return _lines(node, comma)
        if record is Line and key == _AMOUNT:
            return _amount(node, comma)
        if _is_words(hints.get(key, str)) or (record, key) in _WORDS:
            return node
        return _figures(node, comma)

    return _with(branch, turned)


def _is_words(hint: Any) -> bool:
    """Tell whether a field holds words: a text or a list of texts."""
    return hint is str or (get_origin(hint) is tuple and get_args(hint)[0] is str)


def _figures(node: Node, comma: bool) -> Node:
    if isinstance(node, TextLeaf):
        return _leaf(node, figures_turned(node.text, comma=comma))
    if isinstance(node, ListBranch):
        return _list(node, comma)
    return _with(node, lambda key, value: _figures(value, comma))


def _lines(node: Node, comma: bool) -> Node:
    """Return lines, or phases of lines: what has a key of a line is one."""
    if not isinstance(node, Branch):
        return node

    def turned(key: str, value: Node) -> Node:
        if isinstance(value, TextLeaf):
            return _amount(value, comma)
        if isinstance(value, Branch) and any(inner.text in key_fields(Line) for inner, _ in value.entries):
            return front_turned(value, Line, comma=comma)
        return _lines(value, comma)

    return _with(node, turned)


def _amount(node: Node, comma: bool) -> Node:
    """Return `amount, function` with the figures of the amount turned."""
    if not isinstance(node, TextLeaf):
        return node
    amount, _ = split_line(node.text)
    at = node.text.find(amount) + len(amount)
    return _leaf(node, figures_turned(node.text[:at], comma=comma) + node.text[at:])


def _leaf(leaf: TextLeaf, text: str) -> TextLeaf:
    return leaf if text == leaf.text else TextLeaf(text, leaf.line, leaf.column, plain=leaf.plain, spans=leaf.spans)


def _list(node: ListBranch, comma: bool) -> ListBranch:
    found = ListBranch(node.line, node.column, flow=node.flow)
    found.items = [_figures(item, comma) for item in node.items]
    return found


def _with(branch: Branch, turned: Any) -> Branch:
    found = Branch(branch.line, branch.column, flow=branch.flow)
    found.entries = [(key, turned(key.text, value)) for key, value in branch.entries]
    return found
