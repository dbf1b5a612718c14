"""From a leaf's PDF into the binder: what can be reached from its pages, under new numbers, each thing once."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence

from .fonts import Fonts
from .objects import Ref, renumbered
from .pdffile import PdfSource, Stream, Writer


class Moving:
    """One leaf on its way."""

    def __init__(
        self, source: PdfSource, writer: Writer, fonts: Fonts, once: dict[bytes, int], numbers: Mapping[int, int]
    ) -> None:
        """`once` holds what other leaves brought, by digest; `numbers` the new number of what is not to be moved."""
        self._source, self._writer, self._fonts, self._once = source, writer, fonts, once
        self._numbers = _Numbers({b"%d" % old: b"%d" % new for old, new in numbers.items()}, self._new)
        self._waiting: list[int] = []

    def moved(self, starts: Sequence[Ref]) -> Iterator[tuple[int, int, bytes]]:
        """Old number, new number and new bytes of all that can be reached from the starts.

        Streams are written at once.
        """
        for start in starts:
            self.number(start)
        while self._waiting:
            number = self._waiting.pop()
            stream = self._source.streams.get(number)
            if stream is None:
                yield number, self.number(Ref(number)), self.led(self._source.objects[number])
            else:
                self._writer.put_stream(
                    self.number(Ref(number)), Stream(entries=self.led(stream.entries), body=stream.body)
                )

    def led(self, raw: bytes) -> bytes:
        """The bytes with their references led to where things stand in the binder."""
        return renumbered(raw, self._numbers)

    def number(self, old: Ref) -> int:
        """The new number of something that is referred to."""
        return int(self._numbers[b"%d" % old.number])

    def _new(self, number: int) -> int:
        """A number for something that is met for the first time."""
        stream = self._source.streams.get(number)
        known = (self._fonts.use(stream.entries) or self._once_for_all(stream)) if stream else None
        if known is None:
            known = self._writer.number()
            self._waiting.append(number)
        return known

    def _once_for_all(self, stream: Stream) -> int | None:
        """The number of a stream that refers to nothing, such as a picture or a map: all leaves share it."""
        if b" 0 R" in stream.entries:
            return None
        digest = hashlib.sha256(stream.entries + b"\0" + stream.body).digest()
        if digest not in self._once:
            self._once[digest] = self._writer.number()
            self._writer.put_stream(self._once[digest], stream)
        return self._once[digest]


class _Numbers(dict[bytes, bytes]):
    """Old number to new as they are written, each given out when it is asked for: there are a thousand a leaf."""

    def __init__(self, known: Mapping[bytes, bytes], new: Callable[[int], int]) -> None:
        super().__init__(known)
        self._new = new

    def __missing__(self, old: bytes) -> bytes:
        new = self[old] = b"%d" % self._new(int(old))
        return new
