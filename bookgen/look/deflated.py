"""Text in small: deflated, and written with signs that may stand in a page's script.

Enters: a text.  Leaves: how many bytes it is deflated to, a space, and those bytes, four of them in five signs.
"""

from __future__ import annotations

import zlib
from base64 import b85encode

_B85 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%&()*+-;<=>?@^_`{|}~"
"""The digits to the base of 85 of the library, four bytes in five of them."""
DIGITS = _B85.translate(str.maketrans("<>&", ".:,"))
"""Those of the page: none has a meaning in a script's text, nor for who reads the page for its elements."""
_TO_PAGE = str.maketrans(_B85, DIGITS)


def deflated(text: str) -> str:
    """Return a text in small; what a browser's script makes of it is the text again.

    >>> deflated("aaaaaaaaaaaaaaaa")
    '5 OH4!s00000'
    """
    pressed = zlib.compressobj(9, zlib.DEFLATED, -15, 9)
    packed = pressed.compress(text.encode()) + pressed.flush()
    return f"{len(packed)} {b85encode(packed + bytes(-len(packed) % 4)).decode().translate(_TO_PAGE)}"
