"""Pages in few bytes, as they are published: the same page to whoever reads it, and to its scripts.

Enters: what a template says, and the name of a figure.  Leaves: the text without what a browser puts in by itself (the
end of an item, a cell or a row; quotes around one word; lines that are broken between two blocks), and whether
the page's scripts look for a figure of that name.  All others are printed as digits alone; a page whose figures are
recomputed by their names is printed with all of them, and says the same.

Source: HTML Living Standard (WHATWG), 13.1.2.3 unquoted attribute values, 13.1.2.4 optional tags.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from jinja2.ext import Extension
from jinja2.lexer import Token, TokenStream

_ENDS = re.compile(r"</(?:li|td|th|tr|dt|dd|thead|tbody)>\s*")
_TAG = re.compile(r"<[a-z][^<>]*>")
_QUOTED = re.compile(r'(=)"([^\s"\'=<>`]+)"(?=[\s>])')
_BLOCK = (
    "(?:html|head|meta|title|style|body|header|footer|main|section|nav|div|ul|ol|li|dl|dt|dd|p|h[1-6]|table|thead|tbody"
    r"|tr|t[dh]|details|summary|form|figure|script)\b"
)
_BROKEN = re.compile(rf"(</?{_BLOCK}[^<>]*>)\n\s*|\n\s*(?=</?{_BLOCK})")
_PLAIN = re.compile(r"[^\s\"'=<>`&]+")
_FOLLOWED = re.compile(
    r"(?:obtain|pieces|start|first-|link-|printed-total|left-out|accepted-error|smallest-batch|enough-batch|period)"
    r"|line-\d+\.(?!(?:written|percent|low|high|drop)$)"
)


@lru_cache(maxsize=4096)
def followed(name: str) -> bool:
    """Return whether the scripts of a page look for a figure of that name, or print it anew for another batch.

    >>> followed("line-3.metered"), followed("line-3.percent"), followed("composition-wax")
    (True, False, False)
    """
    return _FOLLOWED.match(name) is not None


def tight(text: str) -> str:
    """Return what a template says without what a browser puts in by itself.

    >>> tight('<ul class="plain">\\n<li id="a b">one <b>x</b> </li>\\n</ul>\\n')
    '<ul class=plain><li id="a b">one <b>x</b> </ul>'
    """
    return _BROKEN.sub(lambda found: found[1] or "", _ENDS.sub("", unquoted(text)))


def unquoted(text: str) -> str:
    """Return tags and text without quotes around one word.

    >>> unquoted('<svg class="acid"><path d="M0 0" id="a"/> x="1" </svg>')
    '<svg class=acid><path d="M0 0" id="a"/> x="1" </svg>'
    """
    return _TAG.sub(lambda tag: unquoted_alone(tag[0]), text)


def unquoted_alone(text: str) -> str:
    """Return tags without quotes around one word, and text that holds no quotes, such as that of a picture.

    >>> unquoted_alone('<svg class="acid"><path d="M0 0" id="a"/></svg>')
    '<svg class=acid><path d="M0 0" id="a"/></svg>'
    """
    return "".join(_QUOTED.split(text))  # all but the quotes: each `=`, the word behind it, what stands between two


@lru_cache(maxsize=4096)
def quoted(text: str) -> str:
    """Return the value of an attribute, which is text of HTML already: quoted where it has to be.

    >>> quoted("../wax.html"), quoted("a b"), quoted("")
    ('../wax.html', '"a b"', '""')
    """
    return text if _PLAIN.fullmatch(text) else f'"{text}"'


class Tight(Extension):
    """Templates say what they say in few bytes, but for what stands in a script."""

    def filter_stream(self, stream: TokenStream) -> Iterator[Token]:
        """Yield what a template consists of, its own text tight."""
        script = False
        for token in stream:
            if token.type != "data":
                yield token
                continue
            text = str(token.value)
            opens, closes = text.rfind("<script"), text.rfind("</script")
            kept = script or opens >= 0
            script = opens > closes if max(opens, closes) >= 0 else script
            yield token if kept else Token(token.lineno, "data", tight(text))
