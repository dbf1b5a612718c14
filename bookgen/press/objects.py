"""The objects a PDF is made of, as Python values and as bytes (ISO 32000-1, 7.3).

A dictionary is a `dict` by names without their solidus, an array a `list`, a string `bytes`, a whole number `int`. The
rest are small types of this module. What is read here was written by the press itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any


class NotOurs(ValueError):
    """The bytes are laid out in a way the press does not write."""


@dataclass(frozen=True, slots=True)
class Name:
    """A name."""

    text: str
    """As it is written after the solidus."""


@dataclass(frozen=True, slots=True)
class Ref:
    """A reference to an object of generation 0."""

    number: int
    """The object's number."""


@dataclass(frozen=True, slots=True)
class Plain:
    """A number with a fraction, true, false or null."""

    text: bytes
    """As it is written."""


NULL, TRUE = Plain(b"null"), Plain(b"true")

_TOKEN = re.compile(
    rb"\s*(?:(?P<ref>\d+)\s+0\s+R(?![^\s\]>/(<\[])|(?P<name>/[^\s()<>\[\]{}/%]*)|(?P<open><<|\[)|(?P<close>>>|\])"
    rb"|\((?P<string>(?:[^()\\]|\\.)*)\)|<(?P<hex>[0-9A-Fa-f\s]*)>|(?P<plain>[^\s()<>\[\]{}/%]+))",
    re.DOTALL,
)
_REFERENCE = re.compile(rb"(\((?:[^()\\]|\\.)*\))|(?<![^\s\[>])(\d+)(?= 0 R(?![^\s\]>/]))", re.DOTALL)
"""A string, which may read like a reference, or the number in one."""
_ESCAPED = re.compile(rb"\\(\r\n|[0-7]{1,3}|.)", re.DOTALL)
_LETTERS = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


def parse(raw: bytes) -> Any:
    """The one object the bytes hold. Raises NotOurs."""
    holders: list[list[Any]] = [[]]
    ends: list[bytes] = []
    at, end = 0, len(raw.rstrip())
    while at < end:
        token = _TOKEN.match(raw, at)
        if token is None:
            raise NotOurs("an object that cannot be read")
        at = token.end()
        kind, text = token.lastgroup, token.group(token.lastgroup or 0)
        if kind == "open":
            holders.append([])
            ends.append(b">>" if text == b"<<" else b"]")
        elif kind == "close":
            if not ends or ends.pop() != text:
                raise NotOurs("a bracket without its other")
            held = holders.pop()
            holders[-1].append(held if text == b"]" else _paired(held))
        else:
            holders[-1].append(_value(kind, text))
    if ends or len(holders[0]) != 1:
        raise NotOurs("not one object")
    return holders[0][0]


def _paired(held: list[Any]) -> dict[str, Any]:
    """The dictionary of these names and values, one after the other."""
    names = held[::2]
    if len(held) % 2 or not all(isinstance(name, Name) for name in names):
        raise NotOurs("a dictionary with something else than names")
    return {name.text: value for name, value in zip(names, held[1::2], strict=True)}


def _value(kind: str | None, text: bytes) -> Any:
    """The value of a token that holds nothing else."""
    if kind == "ref":
        return Ref(int(text))
    if kind == "name":
        return Name(text[1:].decode("latin-1"))
    if kind == "string":
        return _ESCAPED.sub(_unescaped, text) if b"\\" in text else text
    if kind == "hex":
        digits = b"".join(text.split())
        return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode())
    return int(text) if text.isdigit() else Plain(text)


def _unescaped(found: re.Match[bytes]) -> bytes:
    """What a backslash and what follows it stand for (7.3.4.2)."""
    said = found[1]
    if said in (b"\n", b"\r", b"\r\n"):
        return b""
    return bytes([int(said, 8) % 256]) if said[:1].isdigit() else _LETTERS.get(said, said)


def write(value: Any) -> bytes:
    """The object's bytes."""
    if isinstance(value, dict):
        return b"<<" + b"".join(b"/%b %b" % (name.encode("latin-1"), write(of)) for name, of in value.items()) + b">>"
    if isinstance(value, list | tuple):
        return b"[" + b" ".join(map(write, value)) + b"]"
    if isinstance(value, Ref):
        return b"%d 0 R" % value.number
    if isinstance(value, Name):
        return b"/" + value.text.encode("latin-1")
    if isinstance(value, bytes):
        return _string(value)
    return value.text if isinstance(value, Plain) else str(int(value)).encode()


def _string(raw: bytes) -> bytes:
    """A string, literal where all of it can be read."""
    if raw.isascii() and raw.decode().isprintable():
        return b"(" + re.sub(rb"([\\()])", rb"\\\1", raw) + b")"
    return b"<" + raw.hex().encode() + b">"


def words(text: str) -> bytes:
    """A text string: ASCII as it is, anything else in UTF-16 with its mark (7.9.2.2)."""
    return text.encode() if text.isascii() else b"\xfe\xff" + text.encode("utf-16-be")


def text_of(raw: bytes) -> str:
    """The text of such a string."""
    return raw[2:].decode("utf-16-be") if raw.startswith(b"\xfe\xff") else raw.decode("latin-1")


def paired(listed: Sequence[Any]) -> Iterator[tuple[Any, Any]]:
    """Key and value, one after the other in the array of a tree's leaf."""
    return zip(listed[::2], listed[1::2], strict=True)


def entries_of(raw: bytes) -> dict[int, bytes]:
    """The entries of a number tree without kids, each as it is written: there are hundreds, and few are looked at."""
    found = re.match(rb"\s*<<\s*/Nums\s*\[(.*)\]\s*>>\s*$", raw, re.DOTALL)
    if found is None:
        raise NotOurs("another form of tree")
    return {int(key): value for key, value in re.findall(rb"(\d+)\s+(\[[^\]]*\]|\d+ 0 R)", found[1])}


def renumbered(raw: bytes, numbers: Mapping[bytes, bytes]) -> bytes:
    """The object's bytes with its references led to new numbers; old and new as they are written."""
    parts = _REFERENCE.split(raw)
    parts[2::3] = [number and numbers[number] for number in parts[2::3]]
    return b"".join(filter(None, parts))
