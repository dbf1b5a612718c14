"""The scripts of a formula's page in a small packet, so that the page stays one light file that can be sent to a phone.

Enters: the theme's scripts and the style that only they need.  Leaves: one script element's text, which unpacks them
in the browser, together with the data of the page.  A browser that cannot unpack shows the page as written.
"""

from __future__ import annotations

import json
from functools import lru_cache

from markupsafe import Markup

from ..language import spoken
from ..look.deflated import INFLATE, deflated_once
from ..look.policy import source_of
from ..look.shortened import shortened
from ..look.styled import Names, made_by
from ..look.themes import Theme
from ..reckon.same import Same
from .following import common
from .fragments import fragments

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

_UNPACK = (
    "(async()=>{{"
    "const u={inflate},"
    'f=document.getElementById("following"),'
    "j=await u(f.textContent),"
    'e=document.createElement("script");'
    'e.textContent=await u("{packet}");'
    "f.textContent=j;"
    "document.body.append(e)"
    "}})()"
)
"""Unpacks the data of the page and what it does, and starts it; where a browser cannot, both stay as they are."""


def unpacked(theme: Theme, *, alone: bool = False) -> str:
    """Return the script that the packet holds: everything that a formula's page does by itself.

    Where the page stands `alone` nothing leads to how the figures are found.
    """
    return _unpacked(Same(theme), spoken(), alone)


@lru_cache(maxsize=2)
def _unpacked(same: Same[Theme], language: str, alone: bool) -> str:
    theme = same.record
    shared_by_all = common() | ({"found": {}} if alone else {}) | {"fragments": fragments(theme)}
    scripts, shared = theme.scripts, json.dumps(shared_by_all, ensure_ascii=False, separators=(",", ":"))
    style = json.dumps("".join(theme.styles[name] for name in STYLES))
    following = "".join(scripts[name] for name in FOLLOWING)
    text = shortened(
        f'(()=>{{"use strict";const element=document.createElement("style");element.textContent={style};'
        f"document.head.append(element);\nconst common={shared};\n{following}}})();\n"
        f"{scripts[BENCH]}"
    )
    return text.replace("<\\/", "</")


def page_scripts(theme: Theme, *, alone: bool = False) -> dict[str, Markup]:
    """Return what templates call scripts: the theme's own, the packet, and the source of what is in it."""
    return _page_scripts(Same(theme), spoken(), alone)


@lru_cache(maxsize=2)
def _page_scripts(same: Same[Theme], language: str, alone: bool) -> dict[str, Markup]:
    within = unpacked(same.record, alone=alone)
    return {**same.record.scripts, PACKET: packet(within), UNPACKED: Markup(source_of(within))}


def made_by_scripts(theme: Theme) -> Names:
    """Return the classes that the theme's scripts may put into a page."""
    return _made_by_scripts(Same(theme), spoken())


@lru_cache(maxsize=2)
def _made_by_scripts(same: Same[Theme], language: str) -> Names:
    return made_by("\n".join((unpacked(same.record), *same.record.scripts.values())))


def packet(text: str) -> Markup:
    """Return the script that unpacks and starts another."""
    return Markup(_UNPACK.format(inflate=INFLATE, packet=deflated_once(text)))
