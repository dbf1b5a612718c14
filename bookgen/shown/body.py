"""The Markdown of a file as pieces: amounts beside their words, durations, links between pages, pictures.

Enters: sections of tokens as `source/` kept them, what each amount link prints at the batch, the ways to other pages.
Leaves: prose, in which what the file's author typed as HTML is text.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from markdown_it.common.utils import unescapeAll
from markdown_it.token import Token

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..model import Body, Section, TimeLink
from ..reckon.batchline import Aliquot
from ..reckon.doubt import is_doubtful, measuring_error
from ..reckon.links import LinkAmount
from .figures import drops, usual, volume, weight
from .phrases import (
    Amount,
    Block,
    Code,
    Danger,
    Divide,
    Duration,
    Figure,
    Grid,
    GridCell,
    Heading,
    Image,
    Inline,
    LineBreak,
    LinkTo,
    Listing,
    Paragraph,
    Phrase,
    Prose,
    Quote,
    Stressed,
    ToldOfStep,
    Verbatim,
    phrase,
)
from .plans import ratio, stock_word
from .sentences import SENTENCES, said
from .shelf import Way
from .spelt import says_duration
from .table import within_figure


def no_dangers(rows: Sequence[int]) -> tuple[Danger, ...]:
    """Return what is said of hazards outside a method: nothing."""
    return ()


@dataclass(slots=True, kw_only=True)
class Pen:
    """What one body's rendering carries along; amounts and durations are taken in the order of reading."""

    body: Body
    """The body."""
    way: Way
    """How pages lead to each other."""
    picture: Way
    """Where a picture stands, by its path in the book; empty when it is left out."""
    signs: show.Signs
    """How numbers are printed."""
    amounts: Iterator[tuple[int, LinkAmount]]
    """What amount links print; empty where no weights are printed."""
    up_to: Mapping[int, Figure]
    """Number of an amount link → the volume its line is made up to, where the line has no known weight."""
    about: frozenset[int]
    """Numbers of the lines whose amount is only usual."""
    times: Iterator[TimeLink]
    """The durations."""
    dangers: ToldOfStep
    """What is said where a step lets in something dangerous."""
    let_in: list[int]
    """Lines that the step being read lets in, in the order of its amount links."""


def pen_for(
    body: Body,
    links: Sequence[LinkAmount],
    way: Way,
    picture: Way,
    signs: show.Signs,
    up_to: Mapping[int, Figure] | None = None,
    about: frozenset[int] = frozenset(),
) -> Pen:
    """Return what it takes to render the sections of one body, in order."""
    return Pen(
        body=body,
        way=way,
        picture=picture,
        signs=signs,
        amounts=iter(list(enumerate(links))),
        times=iter(body.times),
        dangers=no_dangers,
        let_in=[],
        up_to=up_to or {},
        about=about,
    )


def amount_of(
    number: int, amount: LinkAmount, signs: show.Signs, up_to: Figure | None = None, *, about: bool = False
) -> Amount:
    """Return what an amount link prints beside its words: drops, a volume or a weight.

    `about` says that the amount of a line it means is only usual.
    """
    name, grams, ml = f"link-{number}", amount.grams, amount.ml
    inner = Phrase()
    if isinstance(grams, Fraction):
        inner += Phrase((usual(weight(f"{name}.metered", grams, amount.step, signs), about),))
    if amount.only is not None and isinstance(amount.only.metered, Aliquot):
        stock = stock_word(amount.only.metered.thinned)
        inner += said("of-stock", stock=stock, ratio=ratio(amount.only.metered.plan.factor))
    entire = amount.entire
    if entire is not None and entire.blended is not None and entire.blended.water_g:
        inner += phrase(
            SENTENCES["both"],
            strong=weight(f"{name}.strong", entire.blended.strong_g, entire.step, signs),
            water=weight(f"{name}.water", entire.blended.water_g, entire.step, signs),
        )
    if amount.drops is not None:
        counted = usual(drops(f"{name}.drops", amount.drops), about)
        inner = phrase("{counted} ({weight})" if inner else "{counted}", counted=counted, weight=inner)
    elif isinstance(ml, Fraction):
        measured = usual(volume(f"{name}.ml", ml, signs), about)
        inner = phrase("{weight} ({measured})" if inner else "{measured}", measured=measured, weight=inner)
    elif not inner and up_to is not None:
        inner = phrase(SENTENCES["fill-to"], volume=up_to)
    # A whole count of drops means what it says; how far off a weight may be is told.
    if inner and entire is not None and not about and (entire.is_coarse or (not entire.drops and is_doubtful(entire))):
        off = measuring_error(entire)
        if entire.is_unshown:
            inner += f", {said('unshown')}"
        elif off is not None and entire.blended is None:
            inner += ", "
            inner += phrase(SENTENCES["coarse"], within=within_figure(f"{name}.within", off, signs))
    if inner:
        return Amount(number, inner.parts, known=True)
    reason = grams.says.words(signs) if isinstance(grams, Missing) else ""
    return Amount(number, phrase(SENTENCES["no-amount"], reason=reason).parts, known=False)


def prose_of(section: Section, pen: Pen) -> Prose:
    """Return the text of one section; sections have to come in the order of the file."""
    return Prose(tuple(_Reader(section.tokens, pen).steps()))


class _Reader:
    """Reads the flat tokens of a section into blocks that hold one another."""

    def __init__(self, tokens: Sequence[Token], pen: Pen) -> None:
        self.tokens, self.pen, self.at, self.depth = tokens, pen, 0, 0

    def steps(self) -> Iterator[Block]:
        """Yield the blocks of the section, what is dangerous in each behind it; a list has that in its items."""
        while self.at < len(self.tokens):
            yield from self.blocks("", most=1)
            yield from self.dangers()

    def dangers(self) -> Iterator[Block]:
        """Yield what is dangerous in the step that has been read, in which no item of a list has told it yet."""
        found = self.pen.dangers(self.pen.let_in)
        self.pen.let_in.clear()
        yield from found

    def blocks(self, end: str, most: int | None = None) -> tuple[Block, ...]:
        """Return the blocks up to the token that closes what they stand in, or so many of them."""
        found: list[Block] = []
        while self.at < len(self.tokens) and len(found) != most:
            token = self.tokens[self.at]
            self.at += 1
            match token.type:
                case "paragraph_open":
                    found.append(Paragraph(self.words(), tight=token.hidden))
                case "heading_open":  # within a section it ranks below the section's own
                    found.append(Heading(max(3, int(token.tag[1:])), self.words()))
                case "bullet_list_open" | "ordered_list_open":
                    ordered = token.type == "ordered_list_open"
                    found.append(Listing(ordered, int(token.attrGet("start") or 1), tuple(self.items())))
                case "blockquote_open":
                    found.append(Quote(self.blocks("blockquote_close")))
                case "table_open":
                    found.append(self.grid())
                case "code_block":
                    found.append(Verbatim(token.content))
                case "fence":
                    info = unescapeAll(token.info).split()
                    found.append(Verbatim(token.content, info[0] if info else ""))
                case "hr":
                    found.append(Divide())
                case kind if kind == end:
                    break
        return tuple(found)

    def words(self) -> tuple[Inline, ...]:
        """Return the words of a paragraph, a heading or a cell, and pass what closes it."""
        token = self.tokens[self.at]
        self.at += 2
        return _Line(token.children or (), self.pen).parts("")

    def items(self) -> Iterator[tuple[Block, ...]]:
        """Yield the items of a list."""
        while self.tokens[self.at].type == "list_item_open":
            self.at += 1
            self.depth += 1
            item = self.blocks("list_item_close")
            self.depth -= 1
            yield (*item, *self.dangers()) if self.depth == 0 else item
        self.at += 1

    def grid(self) -> Grid:
        """Return a table."""
        rows: list[list[GridCell]] = []
        while self.tokens[self.at].type != "table_close":
            token = self.tokens[self.at]
            self.at += 1
            if token.type == "tr_open":
                rows.append([])
            elif token.type in ("th_open", "td_open"):
                side = str(token.attrGet("style") or "").removeprefix("text-align:")
                rows[-1].append(GridCell(self.words(), side))
        self.at += 1
        head, *others = (tuple(row) for row in rows)
        return Grid(head, tuple(others))


class _Line:
    """Reads the flat tokens of a paragraph into pieces that hold one another."""

    def __init__(self, tokens: Sequence[Token], pen: Pen) -> None:
        self.tokens, self.pen, self.at = tokens, pen, 0

    def parts(self, end: str) -> tuple[Inline, ...]:
        """Return the pieces up to the token that closes what they stand in."""
        found: list[Inline] = []
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            self.at += 1
            match token.type:
                case "text":  # numbers stay together with their units
                    found.append(show.glued(token.content))
                case "html_inline":
                    found.append(token.content)
                case "softbreak":
                    found.append("\n")
                case "hardbreak":
                    found.append(LineBreak())
                case "code_inline":
                    found.append(Code(token.content))
                case "em_open" | "strong_open":
                    close = token.type.replace("open", "close")
                    found.append(Stressed(self.parts(close), strong=token.type == "strong_open"))
                case "image":
                    found.append(self.image(token))
                case "link_open":
                    found += self.link(token)
                case kind if kind == end:
                    break
        return tuple(found)

    def image(self, token: Token) -> Inline:
        """Return a picture of the book; its words alone where there is none."""
        words, pen = _said_of(token.children or ()), self.pen
        address = pen.picture(pen.body.images.get(str(token.attrGet("src") or ""), ""))
        return Image(address, words) if address else words

    def link(self, token: Token) -> tuple[Inline, ...]:
        """Return the words of a link, with what it is for: an amount, a duration, another page."""
        pen, href = self.pen, str(token.attrGet("href") or "")
        scheme, _, rest = href.partition(":")
        if scheme == "amount":
            number, amount = next(pen.amounts, (0, None))
            pen.let_in += amount.rows if amount else ()
            words = self.parts("link_close")
            return (*words, _amount(number, amount, pen)) if amount else words
        if scheme == "time":
            time = next(pen.times, None)
            words = self.parts("link_close")
            if time is None:
                return words
            beside = "" if says_duration(time.words, time.seconds) else show.duration(time.seconds)
            return (Duration(show.duration_machine(time.seconds), words, beside),)
        target = pen.body.page_links.get(href)
        words = self.parts("link_close")
        if target is not None:
            address = pen.way(target)
            return (LinkTo(address, words, outside=False),) if address else words
        if scheme in ("http", "https", "mailto") and rest:
            return (LinkTo(href, words, outside=True),)
        return words


def _amount(number: int, amount: LinkAmount, pen: Pen) -> Amount:
    about = not pen.about.isdisjoint(amount.rows)
    return amount_of(number, amount, pen.signs, pen.up_to.get(number), about=about)


def _said_of(tokens: Sequence[Token]) -> str:
    """Return what a picture shows, in plain words."""
    found = []
    for token in tokens:
        if token.type in ("softbreak", "hardbreak"):
            found.append("\n")
        elif token.type == "image":
            found.append(_said_of(token.children or ()))
        elif token.type in ("text", "code_inline", "html_inline"):
            found.append(token.content)
    return "".join(found)
