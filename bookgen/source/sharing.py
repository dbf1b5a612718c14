"""A file of the book as another book can take it in: written anew from what was read in it, and from nothing else.

Enters: the bytes of a formula's or a material's file.  Leaves: its keys but for the keeper's own, each as it was read,
and of its text the blocks of the sections that are not headed `For the keeper`.  Remarks, unused addresses and keys of
the keeper's are not taken out: they are never put in.  The same content makes the same bytes, and what was written so
comes out as it went in.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Iterator
from functools import partial
from typing import Any

from ..model import Formula, Material
from ..wording.saying import Saying, says
from .amounts import tidy
from .blank import written
from .body import PICTURES, parsed, plain_words
from .book import MATERIALS
from .desk import Desk
from .edition import PRIVATE, is_keepers
from .front import decode, split_front
from .links import path_in_book, scheme_of
from .quotes import quoted
from .signs import front_turned, time_turned
from .tree import Branch, ListBranch, Node, TextLeaf, read_tree


class CannotShare(Exception):
    """A file cannot be written so that it says the same; the text is a sentence for the user."""

    def __init__(self, told: Saying) -> None:
        super().__init__(str(told))
        self.says = told


def shared(path: str, content: bytes, keep: Collection[str], *, comma: bool, into: bool | None = None) -> bytes:
    """Return a file as others may have it.

    `path` is its path in the book, `keep` those of the files that go with it: a link to any other becomes its words.
    `comma` is the decimal sign that it is read with, `into` that of the book that takes it in, where that is another.
    Raises CannotShare.
    """
    desk = Desk(path, comma=comma)
    text = decode(content, desk)
    if text is None:
        raise CannotShare(says("share-unread", path=path))
    split = split_front(text, desk)
    branch, whole = read_tree(split.front, split.front_line, desk)
    if not (whole and split.whole):
        raise CannotShare(says("share-unread", path=path))
    if into is not None and into is not comma:
        record = Material if path.startswith(f"formulas/{MATERIALS}/") else Formula
        branch = front_turned(branch, record, comma=into)
    front = [line for key, value in branch.entries if key.text not in PRIVATE for line in _entry(key.text, value, "")]
    body = _body(path, split.body, keep, partial(time_turned, comma=comma if into is None else into))
    return "\n".join(["---", *front, "---", *(["", body] if body else []), ""]).encode()


# ── The keys ──────────────────────────────────────────────────────────────────────────────────────────────────────


def _entry(key: str, value: Node, indent: str) -> Iterator[str]:
    head = f"{indent}{_scalar(key)}:"
    if isinstance(value, TextLeaf):
        yield f"{head} {_scalar(value.text)}" if value.text or not value.plain else head
    else:
        inner = [*_inner(value, indent + "  ")]
        yield head if inner else f"{head} {'{}' if isinstance(value, Branch) else '[]'}"
        yield from inner


def _inner(node: Branch | ListBranch, indent: str) -> Iterator[str]:
    if isinstance(node, Branch):
        for key, value in node.entries:
            yield from _entry(key.text, value, indent)
        return
    for item in node.items:
        if isinstance(item, TextLeaf):
            yield f"{indent}- {_scalar(item.text)}"
        else:
            yield f"{indent}-"
            yield from _inner(item, indent + "  ")


_PLAIN = re.compile(r"[0-9][^:#\"'\\]*|[^\W_][^:#\"'\\]*[, %°.)][^:#\"'\\]*")
"""What stands as it is where nothing else stands beside it: a figure, or several words."""


def _scalar(text: str) -> str:
    if "\n" in text or "\t" in text:
        return json.dumps(text, ensure_ascii=False)
    if tidy(text) != text or text.endswith(","):
        return quoted(text)
    return text if _PLAIN.fullmatch(text) else written(text)


# ── The text ──────────────────────────────────────────────────────────────────────────────────────────────────────


def _body(path: str, text: str, keep: Collection[str], turned: Callable[[str], str]) -> str:
    env: dict[str, Any] = {}
    lines, blocks = text.split("\n"), list[str]()
    addresses: dict[str, set[str]] = {}
    words: list[str] = []
    kept = True
    tokens = parsed(text, env)
    for at, token in enumerate(tokens):
        if token.level == 0 and token.type == "heading_open" and token.tag == "h2":
            kept = not is_keepers(plain_words(tokens[at + 1]))
        if not kept:
            continue
        words += [plain_words(token)] if token.children else []
        for child in token.children or ():
            address = str(child.attrGet("href") or child.attrGet("src") or "")
            if address:
                addresses.setdefault(address, set()).add(str(child.attrGet("title") or ""))
        if token.level == 0 and token.nesting >= 0 and token.map:
            first, last = token.map
            blocks.append("\n".join(lines[first:last]).rstrip())
    body = "\n\n".join(block for block in blocks if block.strip())
    for address in addresses:
        if not _stays(path, address, keep):
            body = re.sub(_LINK.format(re.escape(address)), r"\1", body)
        elif turned(address) != address:
            body = re.sub(rf"(\]\(\s*<?){re.escape(address)}(?=[\s>)])", rf"\g<1>{turned(address)}", body)
    used = [
        (label, ref) for label, ref in sorted(env.get("references", {}).items()) if _is_used(ref, addresses, path, keep)
    ]
    if used:
        body += "\n\n" + "\n".join(_definition(label, ref, turned) for label, ref in used)
    return _checked(path, body, words, keep)


_LINK = r"(?<!!)\[((?:[^\[\]\\]|\\.|\[[^\[\]]*\])*)\]\(\s*<?{}>?(?:\s+(?:\"[^\"]*\"|'[^']*'|\([^()]*\)))?\s*\)"
"""A link written in its place, with the address in the hole."""


def _stays(path: str, address: str, keep: Collection[str]) -> bool:
    """Tell whether a link or picture leads to something that goes along, or out into the world."""
    if scheme_of(address):
        return True
    target = path_in_book(path, address)
    return target is not None and (target in keep or target.lower().endswith(PICTURES))


def _is_used(ref: Any, addresses: dict[str, set[str]], path: str, keep: Collection[str]) -> bool:
    address, title = str(ref["href"]), str(ref.get("title") or "")
    return title in addresses.get(address, ()) and _stays(path, address, keep)


def _definition(label: str, ref: Any, turned: Callable[[str], str]) -> str:
    title = str(ref.get("title") or "")
    return f"[{label}]: <{turned(str(ref['href']))}>" + (f" {json.dumps(title, ensure_ascii=False)}" if title else "")


def _checked(path: str, body: str, words: list[str], keep: Collection[str]) -> str:
    """Return a text in which every address is one that is shown and stays, and that has these words.

    Raises CannotShare.
    """
    env: dict[str, Any] = {}
    shown: set[str] = set()
    again: list[str] = []
    for token in parsed(body, env):
        again += [plain_words(token)] if token.children else []
        for child in token.children or ():
            address = str(child.attrGet("href") or child.attrGet("src") or "")
            if address and not _stays(path, address, keep):
                raise CannotShare(says("share-link", path=path, address=address))
            shown.add(address)
    for ref in env.get("references", {}).values():
        if str(ref["href"]) not in shown:
            raise CannotShare(says("share-hidden", path=path, address=str(ref["href"])))
    if again != words:
        raise CannotShare(says("share-otherwise", path=path))
    return body
