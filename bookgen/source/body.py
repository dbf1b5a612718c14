"""The Markdown below the front matter: sections, links, images, typed quantities.

What leaves here needs no further check: a link is http(s), mailto, `amount:`, `time:` or one of
`Body.page_links`; an image is one of `Body.images`; everything else has become plain text and a finding.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from posixpath import basename, dirname, relpath
from typing import Any, NamedTuple

from markdown_it import MarkdownIt
from markdown_it.token import Token

from ..findings import Place, did_you_mean
from ..model import METHOD, AmountLink, Body, Section, TimeLink, TypedQuantity
from ..units import Complaint
from ..wording.saying import Saying, says
from .blocks import blocks_of
from .desk import Desk
from .links import OUTSIDE, path_in_book, read_amount_link, read_time_link, scheme_of
from .pictures import flaw_of
from .typed import Names, holds_quantity, typed_quantities

_LISTS = frozenset({"bullet_list_open", "ordered_list_open"})
DEEPEST = 6
"""Lists or quotations inside one another; the parser would silently drop what lies much deeper."""

MOST_BRACKETS = 2000
"""Opening brackets in one body: the parser's time grows with the square of their number."""

PICTURES = (".png", ".jpg", ".jpeg", ".gif", ".webp")
"""Endings of image files; SVG is refused because it can load other files."""


class _Markdown(MarkdownIt):
    """CommonMark with tables; every address becomes a link token as it is written, to be judged here."""

    def validateLink(self, url: str) -> bool:
        return True

    def normalizeLink(self, url: str) -> str:
        return url


_MARKDOWN = _Markdown("commonmark", {"html": False, "maxNesting": 40}).enable("table")


def parsed(text: str, env: dict[str, Any]) -> list[Token]:
    """Return the tokens of a text as the Markdown has them, nothing judged; what it defines goes into `env`."""
    return _MARKDOWN.parse(text, env)


def plain_words(token: Token) -> str:
    """Return the words of an inline token."""
    return _plain(token.children or [])


class Surroundings(NamedTuple):
    """What a body may refer to."""

    pages: Mapping[str, str]
    """Path of a formula's or material's file → its key in the book."""
    names: Names
    """What the formula's ingredients may be called."""
    picture: Callable[[str], bytes | Saying]
    """Path of an image → its content, or why it cannot be had."""


class _Reading:
    """The state of reading one body."""

    def __init__(self, text: str, first_line: int, desk: Desk, around: Surroundings) -> None:
        self.lines = text.split("\n")
        self.first_line = first_line
        self.desk = desk
        self.around = around
        self.amounts: list[AmountLink] = []
        self.times: list[TimeLink] = []
        self.typed: list[TypedQuantity] = []
        self.page_links: dict[str, str] = {}
        self.images: dict[str, str] = {}
        self.files: dict[str, bytes] = {}
        self.unread: set[str] = set()
        self.step: int | None = None
        """The step of the method that is read, None outside the method."""
        self.steps = 0
        self._cursor = (0, 0)

    def enter(self, title: str) -> None:
        """Begin a section."""
        self.step = self.steps if title.casefold() == METHOD else None

    def count(self, token: Token) -> None:
        """Begin the next step of the method, where a token opens one: a block, or an item of a list."""
        if self.step is None or token.nesting < 0 or token.type in _LISTS:
            return
        if token.level == 0 or (token.level == 1 and token.type == "list_item_open"):
            self.step, self.steps = self.steps, self.steps + 1

    def locate(self, needle: str, token: Token) -> tuple[int, int]:
        """Return line and column of a text inside a token's lines, going on from the last one found there."""
        start, end = token.map or (0, 0)
        line, column = max(self._cursor, (start, 0))
        for number in range(line, min(max(end, start + 1), len(self.lines))):
            found = self.lines[number].find(needle, column if number == line else 0)
            if found >= 0:
                self._cursor = (number, found + len(needle))
                return number + self.first_line, found + 1
        return start + self.first_line, 0

    def locate_link(self, address: str, token: Token) -> tuple[int, int]:
        """Return line and column of the bracket that opens the link with that address."""
        line, column = self.locate(address, token)
        if not column:
            return line, column
        source = self.lines[line - self.first_line]
        close = source.rfind("](", 0, column - 1)
        if close < 0:
            return line, column
        depth = 0
        for index in range(close, -1, -1):
            depth += (source[index] == "]") - (source[index] == "[")
            if not depth:
                return line, index + (0 if index and source[index - 1] == "!" else 1)
        return line, column


def read_body(text: str, first_line: int, desk: Desk, around: Surroundings) -> tuple[Body, dict[str, bytes]]:
    """Return the body and the images it uses (path → content); `first_line` counts from 1."""
    if not text.strip():
        return Body(), {}
    if text.count("[") > MOST_BRACKETS:
        desk.report("file-too-large", says("too-many-brackets", most=MOST_BRACKETS), first_line)
        return Body(), {}
    reading = _Reading(text, first_line, desk, around)
    body = Body(
        sections=_sections(_MARKDOWN.parse(text), reading),
        amounts=tuple(reading.amounts),
        times=tuple(reading.times),
        typed=tuple(reading.typed),
        page_links=reading.page_links,
        images=reading.images,
    )
    return body, reading.files


def _sections(tokens: list[Token], reading: _Reading) -> tuple[Section, ...]:
    found: list[Section] = []
    title, place = "", reading.desk.place(reading.first_line)
    content: list[Token] = []
    depth = 0
    heading = False
    too_deep = False
    for token in tokens:
        kind = token.type
        if kind == "heading_open" and token.tag == "h2" and token.level == 0:
            if content or title:
                found.append(Section(title=title, blocks=blocks_of(content), place=place))
            content, heading = [], True
            place = reading.desk.place((token.map or [0])[0] + reading.first_line)
        elif heading:
            if kind == "inline":
                title = _plain(token.children or [])
                reading.enter(title)
                _no_links_here(token, reading)
            else:
                heading = False
        else:
            reading.count(token)
            if kind in _LISTS or kind == "blockquote_open":
                depth += 1
                if depth > DEEPEST and not too_deep:
                    too_deep = True
                    line = (token.map or [0])[0] + reading.first_line
                    reading.desk.report("nested-lists", says("lists-too-deep", most=DEEPEST), line)
            elif kind in {"bullet_list_close", "ordered_list_close", "blockquote_close"}:
                depth -= 1
            elif kind == "inline":
                _inline(token, reading)
            content.append(token)
    if content or title:
        found.append(Section(title=title, blocks=blocks_of(content), place=place))
    return tuple(found)


def _plain(children: list[Token]) -> str:
    """Return the words of an inline token."""
    return "".join(
        " " if child.type in {"softbreak", "hardbreak"} else child.content
        for child in children
        if child.type in {"text", "code_inline", "softbreak", "hardbreak", "image", "text_special"}
    )


def _inline(token: Token, reading: _Reading) -> None:
    """Judge the links and images of one inline token, and look for typed quantities."""
    children = token.children or []
    if any(child.type in {"link_open", "image"} for child in children):
        token.children = _judged(children, token, reading)
    if "](" in token.content or "] (" in token.content:
        _broken_links(token, reading)
    if "[[" in token.content or "[^" in token.content:
        _unread_markup(token, reading)
    if not holds_quantity(token.content):
        return
    reading._cursor = (0, 0)
    for typed in typed_quantities(_plain(children), reading.around.names, reading.desk.comma):
        line, column = reading.locate(typed.words, token)
        place = reading.desk.place(line, column)
        reading.typed.append(TypedQuantity(quantity=typed.quantity, material=typed.material, place=place))
    reading._cursor = (0, 0)


def _no_links_here(token: Token, reading: _Reading) -> None:
    """Ask about links and pictures in a heading of level 2, which becomes the title of a section: words alone."""
    _unread_markup(token, reading)
    for child in token.children or []:
        if child.type not in {"link_open", "image"}:
            continue
        address = str(child.attrGet("href") or child.attrGet("src") or "")
        line, column = reading.locate_link(address, token)
        reading.desk.query("refused-link", says("link-in-heading", address=address), line, column)


_MEANT = re.compile(r"\](?:\((?!amount:|time:)| \()(<?[^()]*\.md(?:#[^()]*)?)\)")


def _broken_links(token: Token, reading: _Reading) -> None:
    """Report a link that the Markdown does not take for one, because of a space in it or before it."""
    for child in token.children or []:
        if child.type != "text" or "]" not in child.content:
            continue  # a link that was taken for one leaves no bracket
        meant = _MEANT.search(child.content)
        if meant:
            line, column = reading.locate(meant[0], token)
            told = says("space-in-page-link", address=meant[1].strip().replace(" ", "%20"))
            reading.desk.query("refused-link", told, line, column)
        for kind, words in _SPACED.findall(child.content):
            line, column = reading.locate(f"]({kind}:", token)
            told = says("space-in-link", address=_without_spaces(kind, words))
            reading.desk.report(f"bad-{kind}-link", told, line, column + 2 if column else 0)


_SPACED = re.compile(r"\]\((amount|time):([^()]*)")
"""What begins as a link of the method; in text it is none, as Markdown takes it for one but for a space in it."""


def _without_spaces(kind: str, words: str) -> str:
    """Return the address that an `amount:` or `time:` link with spaces in it was meant to have.

    The spaces inside a name become hyphens, and those around the signs of a portion and in a duration go.

    >>> _without_spaces("amount", " rose water @A *1/2"), _without_spaces("time", "5 min")
    ('amount:rose-water@A*1/2', 'time:5min')
    """
    close = re.sub(r"\s*([@*/])\s*", r"\1", words.strip(" \t\"'"))
    return f"{kind}:" + ("-" if kind == "amount" else "").join(close.split())


_UNREAD = re.compile(r"(?<!\\)(?:\[\^[^\[\]\n]{1,80}\]|\[\[[^\[\]\n]{1,80}\]\])")

_CODE = re.compile(r"(`+)(?!`).*?(?<!`)\1(?!`)", re.DOTALL)


def _unread_markup(token: Token, reading: _Reading) -> None:
    """Ask about footnotes and double brackets, which are printed as they are typed; each once in a body."""
    text = "\n".join(child.content for child in token.children or [] if child.type == "text")
    for found in dict.fromkeys(_UNREAD.findall(_CODE.sub("", token.content))):
        if found not in text or found in reading.unread:
            continue
        reading.unread.add(found)
        line, column = reading.locate(found, token)
        if found.startswith("[^"):
            told = says("footnote-mark", text=found)
        else:
            words = found[2:-2].strip()
            told = says("double-brackets", text=found, words=words, page=_page_called(words, reading))
        reading.desk.query("unread-markup", told, line, column)


def _page_called(words: str, reading: _Reading) -> str:
    """Return the address of the page that is called so by its file or code, else an example of one."""
    name = words.casefold()
    for path, key in reading.around.pages.items():
        if name in (key.casefold(), basename(path).casefold().removesuffix(".md")):
            return relpath(path, dirname(reading.desk.path))
    return "file.md"


def _judged(children: list[Token], token: Token, reading: _Reading) -> list[Token]:
    """Return the children with refused links and images as plain text."""
    kept: list[Token] = []
    keep_link = True
    for index, child in enumerate(children):
        if child.type == "link_open":
            words = _plain(children[index : _end_of_link(children, index)])
            keep_link = _link(child, words, token, reading)
            if keep_link:
                kept.append(child)
        elif child.type == "link_close":
            if keep_link:
                kept.append(child)
        elif child.type == "image":
            kept.append(child if _image(child, token, reading) else _words(child))
        else:
            kept.append(child)
    return kept


def _end_of_link(children: list[Token], index: int) -> int:
    for end in range(index, len(children)):
        if children[end].type == "link_close":
            return end
    return len(children)


def _words(image: Token) -> Token:
    return Token("text", "", 0, content=image.content, level=image.level)


def _link(child: Token, words: str, token: Token, reading: _Reading) -> bool:
    """Return whether the link is kept; file what it says, or report it."""
    address = str(child.attrGet("href") or "")
    line, column = reading.locate_link(address, token)
    place = reading.desk.place(line, column)
    scheme = scheme_of(address)
    if words.startswith("^"):
        line, column = reading.locate(f"[{words}]", token)
        reading.desk.query("unread-markup", says("footnote", words=words), line, column)
        return False
    if scheme in {"amount", "time"}:
        return _own_link(scheme, address, words, place, reading)
    if scheme in OUTSIDE:
        child.attrSet("href", MarkdownIt.normalizeLink(_MARKDOWN, address))
        return True
    target = None if scheme else path_in_book(reading.desk.path, address)
    if target is None or not target.endswith(".md"):
        bare = target is not None and f"{target}.md" in reading.around.pages
        told = says("link-without-ending" if bare else "link-refused", address=address)
        reading.desk.query("refused-link", told, line, column)
        return False
    key = reading.around.pages.get(target)
    if key is None:
        hint = _elsewhere(target, reading) or did_you_mean(target, reading.around.pages)
        reading.desk.query("dead-link", says("dead-link", target=target, hint=hint), line, column)
        return False
    reading.page_links[address] = key
    return True


def _elsewhere(target: str, reading: _Reading) -> Saying | None:
    """Return what to write when a file of that name lies in another folder; None when none does."""
    name = basename(target).casefold()
    found = [path for path in reading.around.pages if basename(path).casefold() == name]
    if len(found) != 1:
        return None
    return says("page-elsewhere", address=relpath(found[0], dirname(reading.desk.path)))


def _own_link(scheme: str, address: str, words: str, place: Place, reading: _Reading) -> bool:
    read: AmountLink | TimeLink | Complaint
    if scheme == "amount":
        read = read_amount_link(address, words, place, reading.step)
    else:
        read = read_time_link(address, words, place, reading.desk.comma)
    if isinstance(read, Complaint):
        reading.desk.report(read.rule, read.says, place.line, place.column)
        return False
    if isinstance(read, AmountLink):
        reading.amounts.append(read)
    else:
        reading.times.append(read)
    return True


def _image(child: Token, token: Token, reading: _Reading) -> bool:
    """Return whether the image is kept; file it, or report it."""
    address = str(child.attrGet("src") or "")
    line, column = reading.locate_link(address, token)
    path = None if scheme_of(address) else path_in_book(reading.desk.path, address)
    why: Saying | None
    if path is None:
        why = says("image-outside")
    elif not path.lower().endswith(PICTURES):
        why = says("image-ending", endings=PICTURES)
    else:
        content = reading.files.get(path) or reading.around.picture(path)
        why = content if isinstance(content, Saying) else None if path in reading.files else flaw_of(content)
        if isinstance(content, bytes) and why is None:
            reading.images[address] = path
            reading.files[path] = content
            return True
    reading.desk.query("refused-image", says("image-refused", address=address, why=why), line, column)
    return False
