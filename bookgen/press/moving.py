"""From a leaf's PDF into the binder: what can be reached from its pages, under new numbers, each thing once."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from typing import Any

from .fonts import Fonts
from .objects import Name, Ref, parse, renumbered
from .pdffile import Source, Stream, Writer
from .tidy import MARK


class Moving:
    """One leaf on its way."""

    def __init__(
        self, source: Source, writer: Writer, fonts: Fonts, once: dict[bytes, int], numbers: dict[int, int]
    ) -> None:
        """`once` holds what other leaves brought, by digest; `numbers` the new number of what is not to be moved."""
        self._source, self._writer, self._fonts, self._once, self._numbers = source, writer, fonts, once, numbers
        self._waiting: list[int] = []

    def moved(self, starts: Sequence[Ref]) -> Iterator[tuple[int, bytes]]:
        """Old number and new bytes of all that can be reached from the starts; streams are written at once."""
        for start in starts:
            self._new(start.number)
        while self._waiting:
            number = self._waiting.pop()
            stream = self._source.streams.get(number)
            if stream is None:
                yield number, self.led(self._source.objects[number])
            else:
                entries = self.led(stream.entries)
                self._writer.put_stream(self._numbers[number], Stream(entries=entries, body=stream.body))

    def led(self, raw: bytes) -> bytes:
        """The bytes with their references led to where things stand in the binder."""
        return renumbered(raw, self._new)

    def _new(self, number: int) -> int:
        """The new number of something that is referred to."""
        known = self._numbers.get(number)
        if known is None:
            stream = self._source.streams.get(number)
            known = self._once_for_all(stream) if stream else None
            if known is None:
                known = self._writer.number()
                self._waiting.append(number)
                raw = self._source.objects.get(number, b"")
                font = parse(raw) if b"/CIDFontType2" in raw else {}  # words on the page may say so too
                if isinstance(font, dict) and font.get("Subtype") == Name("CIDFontType2"):
                    self._share(font)
            self._numbers[number] = known
        return known

    def _share(self, font: dict[str, Any]) -> None:
        """Let a font's file be its cut, which all leaves have in common."""
        file = self._source.read(font["FontDescriptor"])["FontFile2"]
        mark = parse(self._source.streams[file.number].entries).get(MARK)
        shared = self._fonts.use(mark.decode(), font["W"]) if mark else None
        if shared is not None:
            self._numbers[file.number] = shared

    def _once_for_all(self, stream: Stream) -> int | None:
        """The number of a stream that refers to nothing, such as a picture or a map: all leaves share it."""
        if b" 0 R" in stream.entries:
            return None
        digest = hashlib.sha256(stream.entries + b"\0" + stream.body).digest()
        if digest not in self._once:
            self._once[digest] = self._writer.number()
            self._writer.put_stream(self._once[digest], stream)
        return self._once[digest]
