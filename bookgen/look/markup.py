"""Pieces as HTML: for a page of the site, for a sheet, and bare, as only what shows on paper.

Every printed number of a page goes through here, so that a test can find it by name and recompute it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache, partial
from typing import Any

from markupsafe import Markup, escape

from .. import show
from ..language import spoken
from ..language.syllables import parted
from ..shown.judged_records import AcidPicture
from ..shown.kept_records import IssueBars, ShiftPicture
from ..shown.made_records import OffPicture
from ..shown.phrases import (
    Amount,
    Block,
    Danger,
    Data,
    Duration,
    Figure,
    Grid,
    GridCell,
    Heading,
    Image,
    Inline,
    LinkTo,
    Listing,
    Paragraph,
    PeriodFigure,
    Phrase,
    Prose,
    Quote,
    Stressed,
    Text,
)
from ..shown.records import BarPicture, LineagePicture, Link, ShareBar
from ..written import Code, Divide, LineBreak, Verbatim
from .deflated import deflated
from .light import followed, quoted, unquoted_alone
from .pictures.acids import acid_picture
from .pictures.composition import composition_picture
from .pictures.deviations import off_picture
from .pictures.issues import issue_bars
from .pictures.lineage import lineage_pictures
from .pictures.share import share_bar
from .pictures.shift import shift_picture

LONGEST_WORD = 18
"""Letters of a word that a column of a table always has room for."""

marked: Callable[[str], Markup] = partial(str.__new__, Markup)
"""Text that is HTML already, marked as such.  The library's own constructor first asks a text whether it is one."""


class _Ways(dict[type, Callable[[Any], str]]):
    """Kind of what is printed → what makes HTML of it; what has no way of its own is plain text, and escaped."""

    def __missing__(self, kind: type) -> Callable[[Any], str]:
        self[kind] = _as_text
        return _as_text


def _as_text(shown: object) -> str:
    return str(escape(shown))


class Printer:
    """Prints pieces as HTML.

    Not `named`, it leaves out names, addresses and exact values: what is left is what shows on paper.  `light`, it
    names only the figures that a page's scripts follow, and leaves out what a browser puts in by itself.
    """

    def __init__(self, *, named: bool, light: bool = False) -> None:
        self._named = named
        self.light = light
        self._quoted: Callable[[str], str] = quoted if light else '"{}"'.format
        self._ends = "" if light else "</li>\n"
        self._unit = f"<span class={self._quoted('unit')}>{{}}</span>"
        self._inline: dict[type, Callable[[Any], str]] = {
            str: words_of if named else escaped,
            Figure: self.figure,
            PeriodFigure: self._period,
            Code: lambda code: f"<code>{_typed(code.text)}</code>",
            Duration: self._duration,
            Amount: self._amount,
            LinkTo: self._link,
            Stressed: self._stressed,
            Image: self._image,
            LineBreak: lambda _: "<br />\n" if named else "<br>\n",
        }
        self._block: dict[type, Callable[[Any], str]] = {
            Paragraph: lambda paragraph: (
                self._run(paragraph.parts) if paragraph.tight else f"<p>{self._run(paragraph.parts)}</p>\n"
            ),
            Danger: self._danger,
            Heading: lambda heading: f"<h{heading.rank}>{self._run(heading.parts)}</h{heading.rank}>\n",
            Listing: self._listing,
            Quote: self._quote,
            Verbatim: self._verbatim,
            Divide: lambda _: "<hr />\n" if named else "<hr>\n",
            Grid: self._grid,
        }
        self.ways: Mapping[type, Callable[[Any], str]] = _Ways(
            {
                str: words_of,
                int: str,
                Markup: str,
                Phrase: self.text,
                Prose: self.text,
                Figure: self.figure,
                Data: lambda data: deflated(data.json),
                **{kind: self._picture(way) for kind, way in _PICTURES.items()},
            }
        )
        """Kind of what is printed → what makes HTML of it."""

    def _picture(self, way: Callable[[Any], str]) -> Callable[[Any], str]:
        return (lambda picture: unquoted_alone(way(picture))) if self.light else way

    def printed(self, shown: object) -> str:
        """Return what a template prints: pieces as HTML, plain text escaped."""
        return self.ways[type(shown)](shown)

    def html(self, shown: Text) -> Markup:
        """Return words as HTML that a template takes as it is."""
        return marked(self.text(shown))

    def digits(self, shown: Figure | Markup) -> Markup:
        """Return a figure as HTML that a template takes as it is; a hole for one stays as it is."""
        return shown if isinstance(shown, Markup) else marked(self.figure(shown))

    def stands_for(self, shown: Markup, name: str) -> Markup:
        """Return words that are a figure by their name, though no number of ours."""
        if self.light and not followed(name):
            return shown
        return marked(f"<span data-figure={self._quoted(escaped(name))}>{shown}</span>")

    def breakable(self, text: str | Phrase) -> Markup:
        """Return words as HTML, with places to break in those too long for a column; none in a name's `60 %`."""
        if isinstance(text, Phrase):
            language, inline = spoken(), self._inline
            return marked(
                "".join(
                    [
                        _breakable(part, language) if type(part) is str else inline[type(part)](part)
                        for part in text.parts
                    ]
                )
            )
        return text if isinstance(text, Markup) else _breakable_name(text, spoken())

    def link(self, link: Link) -> Markup:
        """Return words that lead to another page; bare words where there is none."""
        words = self.breakable(link.words)
        return marked(f"<a href={self._quoted(escaped(link.href))}>{words}</a>") if link.href else words

    def text(self, shown: Text) -> str:
        """Return words as HTML."""
        if type(shown) is Phrase:
            return self._run(shown.parts)
        if type(shown) is Prose:
            return self._blocks(shown.blocks).rstrip()
        return words_of(str(shown)) if self._named else escaped(str(shown))

    def figure(self, figure: Figure) -> str:
        """Return a figure: digits in an element that names the figure and carries its exact value.

        Digits and exact values are made by `show`; only the name and the unit can hold what somebody typed.
        """
        digits = figure.text
        if not self.light or followed(figure.name):
            name, value = self._quoted(escaped(figure.name)), self._quoted(figure.value)
            names = self._attributes(f"data-figure={name} value={value}")
            digits = f"<data{names}>{digits}</data>"
        if figure.unshown:
            digits = f"({digits})"
        if figure.about:
            digits = f"<span class={self._quoted('about')}>{show.ABOUT}</span>{digits}"
        return digits + _with_space(figure.unit, self._unit, spoken()) if figure.unit else digits

    def _attributes(self, attributes: str) -> str:
        """Return attributes that do not show on paper."""
        return f" {attributes}" if self._named else ""

    def _run(self, parts: tuple[Inline, ...]) -> str:
        inline = self._inline
        return "".join([inline[type(part)](part) for part in parts])

    def _period(self, period: PeriodFigure) -> str:
        name, value = self._quoted(escaped(period.name)), self._quoted(period.machine)
        names = self._attributes(f"data-figure={name} datetime={value}")
        return f"<time{names}>{escaped(period.words)}</time>"

    def _duration(self, duration: Duration) -> str:
        names = self._attributes(f"datetime={self._quoted(duration.machine)}")
        beside = f' <span class="beside">({duration.beside})</span>' if duration.beside else ""
        return f"<time class={self._quoted('duration')}{names}>{self._run(duration.parts)}</time>{beside}"

    def _amount(self, amount: Amount) -> str:
        number, inner = self._attributes(f"data-link={self._quoted(str(amount.number))}"), self._run(amount.parts)
        if amount.known:
            # On paper an amount stays beside its word; a narrow screen may have no room for the two.
            return f"{' ' if self._named else '&nbsp;'}<b class={self._quoted('amount')}{number}>{inner}</b>"
        return f' <span class="amount unknown"{number}>{inner}</span>'

    def _link(self, link_to: LinkTo) -> str:
        outside = ' rel="noreferrer"' if link_to.outside else ""
        names = self._attributes(f"href={self._quoted(escaped(link_to.href))}{outside}")
        return f"<a{names}>{self._run(link_to.parts)}</a>"

    def _stressed(self, stressed: Stressed) -> str:
        tag = "strong" if stressed.strong else "em"
        return f"<{tag}>{self._run(stressed.parts)}</{tag}>"

    def _image(self, image: Image) -> str:
        shows = f'src="{escaped(image.address)}" alt="{escaped(image.words)}"'
        lazy = self._attributes('loading="lazy"')
        return f"<img {shows}{lazy}>"

    def _blocks(self, blocks: tuple[Block, ...]) -> str:
        """Return blocks, each on lines of its own."""
        found, tight = [], False
        for block in blocks:
            close = type(block) is Paragraph and block.tight
            if tight and not close and type(block) in (Paragraph, Danger, Listing, Quote, Divide):
                found.append("\n")
            found.append(self._block[type(block)](block))
            tight = close
        return "".join(found)

    def _danger(self, danger: Danger) -> str:
        words = self._run(danger.parts)
        if danger.folds:
            words = f"<details class={self._quoted('long')}><summary>{words}</summary></details>"
            return f"<div class={self._quoted('danger')}>{words}</div>\n"
        return f"<p class={self._quoted('danger')}>{words}</p>\n"

    def _listing(self, listing: Listing) -> str:
        tag = "ol" if listing.ordered else "ul"
        start = f' start="{listing.start}"' if listing.ordered and listing.start != 1 else ""
        items = "".join(f"<li>{self._item(item)}{self._ends}" for item in listing.items)
        return f"<{tag}{start}>\n{items}</{tag}>\n"

    def _item(self, blocks: tuple[Block, ...]) -> str:
        first = blocks[0] if blocks else None
        close = first is None or (type(first) is Paragraph and first.tight)
        return ("" if close else "\n") + self._blocks(blocks)

    def _quote(self, quote: Quote) -> str:
        return "<blockquote>" + ("\n" if quote.blocks else "") + self._blocks(quote.blocks) + "</blockquote>\n"

    def _verbatim(self, verbatim: Verbatim) -> str:
        language = f' class="language-{_typed(verbatim.language)}"' if verbatim.language else ""
        return f"<pre><code{language}>{_typed(verbatim.text)}</code></pre>\n"

    def _grid(self, grid: Grid) -> str:
        """A table of the text may be wider than a phone: it alone then moves sideways, by keyboard too."""
        wide = self._attributes('role="group" aria-label="Table" tabindex="0"')
        body = "".join(self._cells(row, "td") for row in grid.rows)
        body = self._ended("tbody", body) if body else ""
        head = self._ended("thead", self._cells(grid.head, "th"))
        wide, text = f"{self._quoted('wide')}{wide}", self._quoted("text")
        return f"<div class={wide}><table class={text}>\n{head}{body}</table></div>\n"

    def _ended(self, tag: str, inner: str) -> str:
        """Return a part of a table, with an end where a browser does not put it in by itself."""
        return f"<{tag}>{inner}" if self.light else f"<{tag}>\n{inner}</{tag}>\n"

    def _cells(self, row: tuple[GridCell, ...], tag: str) -> str:
        return self._ended("tr", "".join(self._cell(cell, tag) for cell in row))

    def _cell(self, grid_cell: GridCell, tag: str) -> str:
        side = f' style="text-align:{grid_cell.side}"' if grid_cell.side else ""
        words = self._run(grid_cell.parts)
        return f"<{tag}{side}>{words}" if self.light else f"<{tag}{side}>{words}</{tag}>\n"


@lru_cache(maxsize=8192)
def escaped(text: str) -> str:
    """Return text as HTML."""
    return str(escape(text))


@lru_cache(maxsize=256)
def _with_space(unit: str, template: str, language: str) -> str:
    """Return a unit as HTML behind the space that stands between a number and it."""
    return show.space_before(unit) + template.format(escaped(unit))


@lru_cache(maxsize=8192)
def words_of(text: str) -> str:
    """Return words as HTML in which no line ends between a number and its unit."""
    return escaped(show.bound(text))


def _typed(text: str) -> str:
    """Return what is typed, as HTML."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


_PICTURES: Mapping[type, Callable[[Any], str]] = {
    BarPicture: lambda picture: composition_picture(picture.title, picture.shares),
    AcidPicture: acid_picture,
    IssueBars: issue_bars,
    ShiftPicture: shift_picture,
    OffPicture: off_picture,
    LineagePicture: lambda picture: "".join(lineage_pictures(picture.nodes, picture.edges, here=picture.here)),
    ShareBar: lambda bar: share_bar(bar.percent),
}

PAGE = Printer(named=True)
"""For sheets, and pages in which every figure has its name."""
LIGHT = Printer(named=True, light=True)
"""For pages as they are published."""
BARE = Printer(named=False)
"""What shows on paper."""


def html_of(shown: Text) -> Markup:
    """Return words as HTML for a page."""
    return PAGE.html(shown)


@lru_cache(maxsize=8192)
def _breakable(text: str, language: str) -> Markup:
    if len(text) <= LONGEST_WORD:
        return marked(escaped(text))
    return marked(" ".join(_parted(word, language) for word in text.split(" ")))


@lru_cache(maxsize=8192)
def _breakable_name(text: str, language: str) -> Markup:
    return _breakable(show.bound(text), language)


def _parted(word: str, language: str) -> str:
    """Return a word with places to break; a German compound gets hyphens there, between its words."""
    if language == "de" and len(word) > LONGEST_WORD and word.isalpha():
        return "\N{SOFT HYPHEN}".join(map(escaped, parted(word)))
    return "<wbr>".join(escaped(word[at : at + LONGEST_WORD]) for at in range(0, len(word), LONGEST_WORD))
