"""Text in small: deflated, and written with signs that may stand in a page's script.

Enters: a text.  Leaves: how many bytes it is deflated to, a space, and those bytes, thirteen bits in two signs.
"""

from __future__ import annotations

import zlib
from functools import lru_cache
from struct import unpack

_BITS = 13
_APART = 16
"""Bits in which each thirteen are put, so that they can be read as numbers."""
_DIGITS = [chr(code) for code in range(ord("!"), ord("~") + 1) if chr(code) not in '"<\\']
"""91 signs: all that are seen but those that end a text in a script, or begin an element for who reads the page."""
_PAIRS = [_DIGITS[number // len(_DIGITS)] + _DIGITS[number % len(_DIGITS)] for number in range(1 << _BITS)]
"""Two signs for every thirteen bits."""

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
    signs = "".join(map(_PAIRS.__getitem__, _numbers(packed)))
    return f"{len(packed)} {signs[: 2 * -(-8 * len(packed) // _BITS)]}"


def _numbers(packed: bytes) -> tuple[int, ...]:
    """Return every thirteen bits of some bytes as a number; zeros follow.

    All bytes are one number whose halves are moved apart, then the halves of these, until each thirteen bits have
    sixteen to themselves: a dozen steps, where one by one would take thousands.

    >>> _numbers(bytes([0, 8, 0, 128]))[:3]
    (1, 2, 0)
    """
    eights = 1  # so many times thirteen bytes, which are eight times thirteen bits
    while _BITS * eights < len(packed):
        eights *= 2
    count = 8 * eights
    number = int.from_bytes(packed.ljust(_BITS * eights, b"\0"))
    for upper, lower, move in _moves(count):
        number = (number & upper) << move | number & lower
    return unpack(f">{count}H", number.to_bytes(2 * count))


@lru_cache(maxsize=16)
def _moves(count: int) -> tuple[tuple[int, int, int], ...]:
    """Return, for so many thirteen bits, the steps that part them: the bits of the upper halves, those of the lower
    halves, and by how many bits the upper are moved."""
    found, within = [], count
    firsts = 1  # the last bit of each that is halved
    while within > 1:
        half = _BITS * within // 2
        lower = (firsts << half) - firsts
        found.append((lower << half, lower, (_APART - _BITS) * within // 2))
        within //= 2
        firsts |= firsts << _APART * within
    return tuple(found)
