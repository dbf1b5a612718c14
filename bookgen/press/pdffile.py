"""The outer form of a PDF: what a piece holds, and a new document written object by object (ISO 32000-1, 7.5).

Both keep their objects in object streams, so a document is small although every word of it is tagged.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from .objects import NotOurs, Ref, parse, write

_TOGETHER = 200
"""Objects in one object stream: a reader unpacks all of a stream to get at one of them."""

_STREAM = re.compile(rb"\d+ 0 obj\s+(<<.*?>>)\s*stream\r?\n", re.DOTALL)
_LENGTH = re.compile(rb"/Length (\d+)")
_FILTER = re.compile(rb"/Filter ?(\[[^\]]*\]|/\w+)")
_PACKED = re.compile(rb"/Type ?/(ObjStm|XRef)\b")


@dataclass(frozen=True, slots=True)
class Stream:
    """A stream object."""

    entries: bytes
    """Its dictionary, as written."""
    body: bytes
    """Its bytes, as packed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PdfSource:
    """What a PDF holds."""

    objects: dict[int, bytes]
    """Every object but streams, by number, as written."""
    streams: dict[int, Stream]
    """The streams, by number."""
    root: Ref
    """The catalogue."""

    def read(self, reference: Any) -> Any:
        """The object referred to, or the value itself where it is none. Raises NotOurs."""
        if not isinstance(reference, Ref):
            return reference
        try:
            return parse(self.objects[reference.number])
        except KeyError:
            raise NotOurs(f"no object {reference.number}") from None

    def change(self, reference: Ref, entries: dict[str, Any]) -> None:
        """Put these entries in place of a dictionary object's."""
        self.objects[reference.number] = write(entries)


def read_pdf(pdf: bytes) -> PdfSource:
    """Take a PDF apart that keeps its objects in object streams, unencrypted, with one cross-reference stream.

    Raises NotOurs for any other.
    """
    found = re.search(rb"startxref\s+(\d+)\s+%%EOF\s*$", pdf[-64:])
    if found is None:
        raise NotOurs("no end of the file")
    index = _stream_at(pdf, int(found[1]))
    entries: dict[str, Any] = parse(index.entries)
    wide = entries.get("W")
    if not isinstance(wide, list) or "Prev" in entries or "Encrypt" in entries:
        raise NotOurs("another form of cross-reference")
    table = unpacked(index)
    objects: dict[int, bytes] = {}
    streams: dict[int, Stream] = {}
    size = sum(wide)
    first, count = entries.get("Index") or (0, entries["Size"])
    for number in range(first, first + count):
        row = (number - first) * size
        if int.from_bytes(table[row : row + wide[0]], "big") == 1:
            stream = _stream_at(pdf, int.from_bytes(table[row + wide[0] : row + wide[0] + wide[1]], "big"))
            packed = _PACKED.search(stream.entries)
            if packed is None:
                streams[number] = stream
            elif packed[1] == b"ObjStm":
                objects.update(_packed(stream))
    return PdfSource(objects=objects, streams=streams, root=entries["Root"])


def _stream_at(pdf: bytes, at: int) -> Stream:
    """The stream object at a place in the file."""
    found = _STREAM.match(pdf, at)
    length = found and _LENGTH.search(found[1])
    if found is None or length is None:
        raise NotOurs("no stream where one should be")
    body = pdf[found.end() : found.end() + int(length[1])]
    if pdf[found.end() + len(body) :][:12].lstrip()[:9] != b"endstream":
        raise NotOurs("a stream of another length")
    return Stream(entries=found[1], body=body)


def unpacked(stream: Stream) -> bytes:
    """The stream's bytes. Raises NotOurs for one that is packed in an unknown way or is damaged."""
    found = _FILTER.search(stream.entries)
    if found is None:
        return stream.body
    if found[1].strip(b"[ ]") != b"/FlateDecode" or b"/DecodeParms" in stream.entries:
        raise NotOurs("a stream packed in another way")
    try:
        return zlib.decompress(stream.body)
    except zlib.error as reason:
        raise NotOurs("a stream that cannot be unpacked") from reason


def _packed(stream: Stream) -> dict[int, bytes]:
    """The objects of an object stream (7.5.7)."""
    entries = parse(stream.entries)
    body, start = unpacked(stream), entries["First"]
    head = [int(number) for number in body[:start].split()]
    places = [start + place for place in head[1::2]]
    return {number: body[at:end] for number, (at, end) in zip(head[::2], pairwise([*places, len(body)]), strict=True)}


class Writer:
    """A document while it is written. Objects may come in any order; each number is given out by `number`."""

    def __init__(self) -> None:
        self._written = bytearray(b"%PDF-1.7\n%\xf0\x9f\x93\x96\n")
        self._places: dict[int, tuple[int, int, int]] = {}
        self._next = 1
        self._waiting: list[tuple[int, bytes]] = []

    def number(self) -> int:
        """A number for one object more."""
        self._next += 1
        return self._next - 1

    def put(self, number: int, raw: bytes) -> None:
        """Write an object that is no stream."""
        self._waiting.append((number, raw.rstrip()))
        if len(self._waiting) == _TOGETHER:
            self._pack()

    def add(self, value: Any) -> Ref:
        """Write an object under a number of its own."""
        number = self.number()
        self.put(number, write(value))
        return Ref(number)

    def put_stream(self, number: int, stream: Stream) -> None:
        """Write a stream."""
        self._places[number] = (1, len(self._written), 0)
        self._written += b"%d 0 obj\n%b\nstream\n%b\nendstream\nendobj\n" % (number, stream.entries, stream.body)

    def add_stream(self, entries: dict[str, Any], body: bytes, *, number: int | None = None, pack: bool = True) -> Ref:
        """Pack and write a stream."""
        number = self.number() if number is None else number
        self.put_stream(number, made_stream(entries, body, pack=pack))
        return Ref(number)

    def _pack(self) -> None:
        """Write the waiting objects into one object stream."""
        if not self._waiting:
            return
        holder = self.number()
        places, at = [], 0
        for order, (number, raw) in enumerate(self._waiting):
            self._places[number] = (2, holder, order)
            places.append(b"%d %d" % (number, at))
            at += len(raw) + 1
        head = b" ".join(places) + b"\n"
        body = head + b"\n".join(raw for _, raw in self._waiting)
        entries = b"/Type /ObjStm/N %d/First %d" % (len(self._waiting), len(head))
        self._waiting = []
        self.put_stream(holder, _made(entries, body))

    def finish(self, root: Ref, about: Ref) -> bytes:
        """Write what is left, and where everything stands; return the document.

        Its identifier comes from its bytes: the same document has the same one.
        """
        self._pack()
        number, at = self.number(), len(self._written)
        self._places[number] = (1, at, 0)
        identity = hashlib.sha256(self._written).hexdigest()[:32].encode()
        wide = (len(self._written).bit_length() + 7) // 8
        rows = [(0, 0, 65535), *(self._places[number] for number in range(1, self._next))]
        table = b"".join(b"%c%b%b" % (kind, where.to_bytes(wide, "big"), order.to_bytes(2, "big"))
                         for kind, where, order in rows)  # fmt: skip
        entries = b"/Type /XRef/Size %d/W [1 %d 2]/Root %b/Info %b/ID [<%b> <%b>]" % (
            self._next, wide, write(root), write(about), identity, identity,
        )  # fmt: skip
        self.put_stream(number, _made(entries, table))
        self._written += b"startxref\n%d\n%%%%EOF\n" % at
        return bytes(self._written)


def made_stream(entries: dict[str, Any], body: bytes, *, pack: bool = True) -> Stream:
    """A stream of these bytes; `pack` makes it small."""
    return _made(write(entries)[2:-2], body, pack=pack)


def _made(entries: bytes, body: bytes, *, pack: bool = True) -> Stream:
    packed = zlib.compress(body) if pack else body
    filter_ = b"/Filter /FlateDecode" if pack else b""
    return Stream(entries=b"<<%b%b/Length %d>>" % (entries, filter_, len(packed)), body=packed)


def tree(writer: Writer, kind: str, entries: Sequence[tuple[int | bytes, Any]]) -> Ref:
    """A number tree (`Nums`) or name tree (`Names`) of two levels over sorted entries (7.9.6 and 7.9.7)."""
    kids = []
    for at in range(0, len(entries), _KIDS):
        some = entries[at : at + _KIDS]
        listed = [part for entry in some for part in entry]
        kids.append(writer.add({"Limits": [some[0][0], some[-1][0]], kind: listed}))
    return writer.add({"Kids": kids})


_KIDS = 64
"""Entries in one node of a number or name tree."""
