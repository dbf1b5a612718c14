"""What a page may load and run, told to the browser in the page itself: its own scripts and nothing else.

Enters: the part of a page that holds its scripts.  Leaves: a policy for a meta element; whatever slipped into another
part of the page is not run, and nothing is fetched from anywhere, whether the page is opened from disk or served.

Source: Content Security Policy Level 3 (W3C), 2.3, 3.3, 6.7.
"""

from __future__ import annotations

import re
from base64 import b64encode
from functools import lru_cache
from hashlib import sha256

from markupsafe import Markup

_NAME = "[sS][cC][rR][iI][pP][tT]"
_SCRIPT = re.compile(rf"<{_NAME}\b([^>]*)>([^<]*(?:<(?!/{_NAME}>)[^<]*)*)</{_NAME}>")
"""In either case, spelt out, and from one `<` to the next: so the search runs over a page's own 30 kB of script."""
_BESIDE = "'self' file:"
"""Files beside the page: on disk not every browser takes the page's own place for itself."""


def policy(part: str, unpacked: str = "", alone: bool = False) -> Markup:
    """Return the policy of a page whose scripts all stand in that part of it.

    `unpacked` is the source of a script that they put into the page themselves, as `source_of` tells it.  A page that
    stands `alone` has its fonts and pictures in itself.

    >>> "script-src 'sha256-" in policy("<script>go()</script>"), "script-src 'none'" in policy("")
    (True, True)
    """
    sources: dict[str, None] = {}
    for attributes, text in _SCRIPT.findall(part):
        if "src=" in attributes:
            sources[_BESIDE] = None
        elif "type=" not in attributes:  # data for a script is not run
            sources[source_of(text)] = None
    if sources and unpacked:
        sources[unpacked] = None
    beside = "data:" if alone else _BESIDE
    return Markup(
        f"default-src 'none'; script-src {' '.join(sources) or _NONE}; style-src 'unsafe-inline'; "
        f"font-src {beside}; img-src {beside}{'' if alone else ' data:'}; base-uri 'none'; "
        f"form-action {_NONE if alone else _BESIDE}"
    )


_NONE = "'none'"


@lru_cache(maxsize=16)
def source_of(script: str) -> str:
    """Return what names a script in a policy: the digest of its text."""
    return f"'sha256-{b64encode(sha256(script.encode()).digest()).decode()}'"


def not_run(html: str) -> str:
    """Return what of a page its own policy keeps from running, in words; empty where all runs, or where it has none.

    >>> page = f'<meta http-equiv="Content-Security-Policy" content="{policy("")}">'
    >>> not_run(page), not_run(page + "<p onclick='go()'>"), not_run("<script>go()</script>")
    ('', 'the browser runs no `onclick`; let a script listen for it', '')
    """
    allowed = _POLICY.search(html)
    if allowed is None:
        return ""
    for attributes, text in _SCRIPT.findall(html):
        if "type=" not in attributes and "src=" not in attributes and source_of(text) not in allowed[1]:
            return "the browser runs no script that stands outside the block `script`; put it there"
    handler = _HANDLER.search(_SCRIPT.sub("", html))
    return f"the browser runs no `{handler[1]}`; let a script listen for it" if handler else ""


_POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')
_ATTRIBUTE = r"""\s+[^\s=>"']+(?:=(?:"[^"]*"|'[^']*'|[^\s>"']+))?"""
_HANDLER = re.compile(rf"<[a-z][^\s>]*(?:{_ATTRIBUTE})*?\s+(on[a-z]+)=", re.IGNORECASE)


def allowing(html: str, script: str) -> str:
    """Return a page whose policy also runs that script, and lets it listen to where the page came from."""
    return html.replace("script-src 'none'", "script-src", 1).replace(
        "script-src", f"connect-src 'self'; script-src {source_of(script)}", 1
    )
