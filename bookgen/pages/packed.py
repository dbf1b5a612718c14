"""The scripts of a formula's page in a small packet, so that the page stays one light file that can be sent to a phone.

Enters: the theme's scripts and the style that only they need.  Leaves: one script element's text, which unpacks them
in the browser.  A browser that cannot unpack shows the page as written.
"""

from __future__ import annotations

import json
import zlib
from base64 import b85encode

from markupsafe import Markup

from .following import COMMON
from .fragments import fragments
from .policy import source_of
from .themes import Theme

FOLLOWING = ("exact", "scale", "sure", "text", "asked", "follow", "field")
"""Scripts that follow the batch, in the order of reading; they share their names."""
PACKET = "packet"
"""What templates call the packet among the scripts."""
UNPACKED = "unpacked"
"""What they call the source of the script in it, for the policy of the page."""
BENCH = "bench"
"""The script of the working surface."""
STYLES = ("field", "bench")
"""Styles of what only these scripts show."""

_B85 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%&()*+-;<=>?@^_`{|}~"
"""The digits to the base of 85 of the library, four bytes in five of them."""
_DIGITS = _B85.translate(str.maketrans("<>&", ".:,"))
"""Those of the page: none has a meaning in a script's text, nor for who reads the page for its elements."""

_UNPACK = (
    "(async()=>{{"
    'const digits="{digits}",bytes=[];let number=0,count=0;'
    'for(const sign of "{packet}"){{'
    "number=number*85+digits.indexOf(sign);"
    "if(++count%5===0){{bytes.push(number>>>24,number>>>16,number>>>8,number);number=0}}}}"
    "const stream=new Blob([Uint8Array.from(bytes).slice(0,{length})]).stream();"
    'const plain=stream.pipeThrough(new DecompressionStream("deflate-raw"));'
    'const element=document.createElement("script");'
    "element.textContent=await new Response(plain).text();"
    "document.body.append(element)"
    "}})()"
)


def unpacked(theme: Theme) -> str:
    """Return the script that the packet holds: everything that a formula's page does by itself."""
    common = COMMON | {"fragments": fragments(theme)}
    scripts, style = theme.scripts, json.dumps("".join(theme.styles[name] for name in STYLES))
    following = "".join(scripts[name] for name in FOLLOWING)
    text = (
        f'(()=>{{"use strict";const element=document.createElement("style");element.textContent={style};'
        f"document.head.append(element);\nconst common={json.dumps(common, ensure_ascii=False)};\n{following}}})();\n"
        f"{scripts[BENCH]}"
    )
    return text.replace("<\\/", "</")


def page_scripts(theme: Theme) -> dict[str, Markup]:
    """Return what templates call scripts: the theme's own, the packet, and the source of what is in it."""
    within = unpacked(theme)
    return {**theme.scripts, PACKET: packet(within), UNPACKED: Markup(source_of(within))}


def packet(text: str) -> Markup:
    """Return the script that unpacks and starts another."""
    pressed = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = pressed.compress(text.encode()) + pressed.flush()
    padded = packed + bytes(-len(packed) % 4)
    to_page = str.maketrans(_B85, _DIGITS)
    return Markup(_UNPACK.format(digits=_DIGITS, packet=b85encode(padded).decode().translate(to_page), length=len(packed)))
