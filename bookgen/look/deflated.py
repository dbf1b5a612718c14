"""Text in small: deflated, and written with signs that may stand in a page's script.

Enters: a text.  Leaves: by how many bytes what follows is too long, and the deflated bytes, five in six of the page.
"""

from __future__ import annotations

import zlib
from functools import lru_cache
from struct import iter_unpack

from zopfli.zlib import compress

_BYTES, _EACH = 5, 3
"""So many bytes are written as so many digits of two bytes each."""
_BASE = 10_322
"""The least number of digits that tells all five bytes apart in three."""
_SIGNS = [chr(code) for code in range(ord(" "), ord("~") + 1) if chr(code) not in '"<\\']
"""92 signs of one byte: all but those that end a text in a script, or begin an element for who reads the page."""
_PAIRS = len(_SIGNS) ** 2
"""Digits written as two of them; the others are one sign of two bytes each, from the no-break space on."""
_DIGITS = [first + second for first in _SIGNS for second in _SIGNS] + [
    chr(ord("\u00a0") + more) for more in range(_BASE - _PAIRS)
]

INFLATE = (
    "async t=>{let b=[],i=1,n,k,d,"
    "g=c=>(c=t.charCodeAt(i++))-32-(c>34)-(c>60)-(c>92);"
    f"for(;i<t.length;){{for(n=k=0;k++<{_EACH};n=n*{_BASE}+(d<92?d*92+g():d+{_PAIRS - ord(chr(0xA0)) + 35}))d=g();"
    f"for(k={_BYTES};k--;)b.push(n/256**k&255)}}"
    "return new Response(new Blob([Uint8Array.from(b).slice(0,b.length-t[0])]).stream()"
    '.pipeThrough(new DecompressionStream("deflate-raw"))).text()}'
)
"""A function of a browser's script that makes the text again of one in small."""


@lru_cache(maxsize=4)  # a page's data are printed twice: once for the page's policy, once for the page
def deflated(text: str) -> str:
    """Return a text in small; what a browser's script makes of it is the text again.

    >>> deflated("aaaaaaaaaaaaaaaa")
    '0B~N5=9'
    """
    pressed = zlib.compressobj(9, zlib.DEFLATED, -15, 7)  # blocks of 8,192 signs, each with codes of its own
    return _written(pressed.compress(text.encode()) + pressed.flush())


def deflated_once(text: str) -> str:
    """Return a text in small that is made once for all pages: smaller by a thirtieth, and a hundred times slower.

    >>> len(deflated_once("a rose is a rose is a rose")) <= len(deflated("a rose is a rose is a rose"))
    True
    """
    return _written(compress(text.encode(), numiterations=1)[2:-4])  # without what tells the kind, and the sum


def _written(packed: bytes) -> str:
    """Return bytes as digits, after the number of those that were added to have a whole number of fives.

    >>> _written(b"mould"), _written(b"oil")
    ('0Qz_7o_', '2Rn8U@P')
    """
    more = -len(packed) % _BYTES
    numbers = [high << 32 | low for high, low in iter_unpack(">BI", packed + bytes(more))]
    square, base, digits = _BASE**2, _BASE, _DIGITS
    return f"{more}" + "".join(
        [
            digit
            for number in numbers
            for digit in (digits[number // square], digits[number // base % base], digits[number % base])
        ]
    )
