"""Text in small: deflated, and written with signs that may stand in a page's script.

Enters: a text.  Leaves: how many bytes it is deflated to, a space, and those bytes, thirteen bits in two signs.
"""

from __future__ import annotations

import zlib
from functools import lru_cache

_BITS = 13
_MASK = (1 << _BITS) - 1
_DIGITS = [chr(code) for code in range(ord("!"), ord("~") + 1) if chr(code) not in '"<\\']
"""91 signs: all that are seen but those that end a text in a script, or begin an element for who reads the page."""
_PAIRS = [_DIGITS[number // len(_DIGITS)] + _DIGITS[number % len(_DIGITS)] for number in range(1 << _BITS)]
"""Two signs for every thirteen bits."""
_SHIFTS = range(7 * _BITS, -1, -_BITS)
"""Where in thirteen bytes each of their eight thirteen bits ends."""

INFLATE = (
    'async t=>{let[l,p]=t.split(" "),b=[],n=0,k=0,i=0,'
    "g=c=>(c=p.charCodeAt(i++))-33-(c>34)-(c>60)-(c>92);"
    "for(;i<p.length;){n=n<<13|g()*91+g();for(k+=13;k>7;)b.push(n>>(k-=8)&255)}"
    "return new Response(new Blob([Uint8Array.from(b).slice(0,l)]).stream()"
    '.pipeThrough(new DecompressionStream("deflate-raw"))).text()}'
)
"""A function of a browser's script that makes the text again of one in small."""


@lru_cache(maxsize=4)  # a page's data are printed twice: once for the page's policy, once for the page
def deflated(text: str) -> str:
    """Return a text in small; what a browser's script makes of it is the text again.

    >>> deflated("aaaaaaaaaaaaaaaa")
    '5 =NS!)%!!'
    """
    pressed = zlib.compressobj(9, zlib.DEFLATED, -15, 7)  # blocks of 8,192 signs, each with codes of its own
    packed = pressed.compress(text.encode()) + pressed.flush()
    whole = packed + bytes(-len(packed) % _BITS)
    numbers = [int.from_bytes(whole[start : start + _BITS]) for start in range(0, len(whole), _BITS)]
    signs = "".join([_PAIRS[number >> shift & _MASK] for number in numbers for shift in _SHIFTS])
    return f"{len(packed)} {signs[: 2 * -(-8 * len(packed) // _BITS)]}"
