"""A page with the rules of its style that may apply to it, so that none carries those of what stands on others.

Enters: a page as its template made it, and the names that its scripts may put into it.  Leaves: the same page, without
the rules in whose way a class stands that the page does not have.

Source: Selectors Level 4 (W3C), 3.1, 4.2, 4.3.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

Names = frozenset[str]
"""Classes."""

_OPENS, _CLOSES, _SCRIPTS = b"<style>", b"</style>", b"<script"
_CLASSES = re.compile(rb' class=("[^"]*"|[^\s>"]+)')
_NOTHING: Names = frozenset()
_LARGE = 1 << 20
"""Bytes of a page of which no copy is made: an index of thousands is none the lighter for a few rules."""
_LITERAL = re.compile(r"""(["'`])([a-z][\w -]*)\1""")
_FILLED = re.compile(r"[`}]([\w -]+)(?=\$\{|`)")
"""What stands in a text beside what is put into it."""
_CLASSES_MADE = re.compile(r"""class=\\?["']?([\w -]+)""")
_BRACE_OR_TEXT = re.compile(r'"[^"]*"|[{}]')
_BETWEEN = re.compile(r",(?![^()]*\))")
_ONE_OF = re.compile(r":(?:is|where)\(([^()]*)\)")
_BESIDE_NAMES = re.compile(r"\[[^\]]*\]|::?[\w-]+(?:\([^()]*\))?")
_NAME = re.compile(r"\.([\w-]+)")
_GROUPS = ("@media", "@container", "@supports")


def made_by(script: str) -> Names:
    """Return the names that a script may put into a page: what stands in it as a text of words alone, or as a class.

    >>> sorted(made_by('make("ul", {className: "plain"}, `<b class=amount>${first}</b>`)'))
    ['amount', 'plain', 'ul']
    >>> sorted(made_by("mark(`stamp ${STAMPS[status]} small`)"))
    ['small', 'stamp']
    """
    literals = (text for _, text in _LITERAL.findall(script))
    texts = [*literals, *_FILLED.findall(script), *_CLASSES_MADE.findall(script)]
    return frozenset(word for text in texts for word in text.split())


def styled(page: bytes, made: Names) -> bytes:
    """Return a page without the rules that nothing on it can match, nor what is `made` by scripts where it has any.

    >>> styled(b"<style>p,.note b{margin:0}.plain{color:red}</style><p class=first>oil", frozenset())
    b'<style>p{margin:0}</style><p class=first>oil'
    """
    start, end = page.find(_OPENS) + len(_OPENS), page.find(_CLOSES)
    if end < start or len(page) > _LARGE:
        return page
    scripts = page.find(_SCRIPTS, end)  # they stand last
    classes = b" ".join(set(_CLASSES.findall(page, end, scripts if scripts >= 0 else len(page))))
    names = frozenset(classes.replace(b'"', b"").decode().split())
    return b"".join((page[:start], _applied(page[start:end], names, made if scripts >= 0 else _NOTHING), page[end:]))


@lru_cache(maxsize=256)  # pages of one kind have few sets of names
def _applied(style: bytes, names: Names, made: Names) -> bytes:
    return "".join(_rules(_read(style.decode()), names | made)).encode()


_Rule = tuple[str, str, tuple["_Rule", ...], tuple[tuple[str, Names, tuple[tuple[Names, ...], ...]], ...]]
"""What stands before a brace and within it, the rules of a group, and each selector with the names in its way."""


def _rules(rules: tuple[_Rule, ...], names: Names) -> Iterator[str]:
    """Yield the rules that may apply where there are such names."""
    for head, body, inner, selectors in rules:
        if inner:
            within = "".join(_rules(inner, names))
            if within:
                yield f"{head}{{{within}}}"
        elif not selectors:
            yield f"{head}{{{body}}}"
        else:
            kept = [
                selector
                for selector, needed, choices in selectors
                if needed <= names and all(any(choice <= names for choice in of) for of in choices)
            ]
            if kept:
                yield f"{','.join(kept)}{{{body}}}"


@lru_cache(maxsize=16)
def _read(style: str) -> tuple[_Rule, ...]:
    """Return the rules of a style sheet; what is no rule for elements, such as a face of type, has no selectors."""
    found: list[_Rule] = []
    at = 0
    while (opens := style.find("{", at)) >= 0:
        depth, end = 1, opens + 1
        while depth and (mark := _BRACE_OR_TEXT.search(style, end)):
            depth += {"{": 1, "}": -1}.get(mark[0], 0)
            end = mark.end()
        head, body = style[at:opens].strip(), style[opens + 1 : end - 1]
        at = end
        if head.startswith(_GROUPS):
            found.append((head, body, _read(body), ()))
        else:
            selectors = () if head.startswith("@") else tuple(map(_needed, _BETWEEN.split(head)))
            found.append((head, body, (), selectors))
    return tuple(found)


def _needed(selector: str) -> tuple[str, Names, tuple[tuple[Names, ...], ...]]:
    """Return a selector, the names that it needs, and those of which it needs the one or the other.

    >>> [part if isinstance(part, str) else sorted(part) for part in _needed(".why summary:hover, ")[:2]]
    ['.why summary:hover, ', ['why']]
    """
    choices = tuple(tuple(_names_of(part) for part in each.split(",")) for each in _ONE_OF.findall(selector))
    return selector, _names_of(_ONE_OF.sub("", selector)), choices


def _names_of(selector: str) -> Names:
    return frozenset(_NAME.findall(_BESIDE_NAMES.sub("", selector)))
