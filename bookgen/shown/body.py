"""The Markdown of a file as pieces: amounts beside their words, durations, links between pages, pictures.

Enters: sections as `source/` read them, what each amount link prints at the batch, the ways to other pages.
Leaves: prose, in which what the file's author typed as HTML is text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..model import Body, Section, TimeLink
from ..reckon.batchline import Aliquot
from ..reckon.doubt import is_doubtful, measuring_error
from ..reckon.links import LinkAmount
from ..written import (
    Code,
    Divide,
    Emphasis,
    LineBreak,
    Linked,
    Picture,
    Verbatim,
    Words,
    WrittenBlock,
    WrittenCell,
    WrittenHeading,
    WrittenList,
    WrittenParagraph,
    WrittenQuote,
    WrittenTable,
)
from .figures import drops, usual, volume, weight
from .phrases import (
    Amount,
    Block,
    Danger,
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
    Phrase,
    Prose,
    Quote,
    Stressed,
    ToldOfStep,
    phrase,
)
from .plans import ratio, stock_word
from .sentences import SENTENCES, said
from .shelf import Way
from .spelt import duration, duration_machine, says_duration
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
    """Return what an amount link prints beside its words: drops, a volume or a weight, the surer one first.

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
    if amount.drops_told is not None:
        counted = usual(drops(f"{name}.drops", amount.drops_told), about)
        weighed = "{weight} ({counted})" if amount.drops is None else "{counted} ({weight})"
        inner = phrase(weighed if inner else "{counted}", counted=counted, weight=inner)
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
    return Prose(tuple(_Reader(pen).steps(section.blocks)))


class _Reader:
    """Reads the blocks of a section as they are shown."""

    def __init__(self, pen: Pen) -> None:
        self.pen, self.depth = pen, 0

    def steps(self, blocks: Iterable[WrittenBlock]) -> Iterator[Block]:
        """Yield the blocks of the section, what is dangerous in each behind it; a list has that in its items."""
        for block in blocks:
            yield self.block(block)
            yield from self.dangers()

    def dangers(self) -> Iterator[Block]:
        """Yield what is dangerous in the step that has been read, in which no item of a list has told it yet."""
        if self.pen.let_in:
            found = self.pen.dangers(self.pen.let_in)
            self.pen.let_in.clear()
            yield from found

    def block(self, block: WrittenBlock) -> Block:
        """Return one block."""
        match block:
            case WrittenParagraph():
                return Paragraph(self.parts(block.words), tight=block.tight)
            case WrittenHeading():  # within a section it ranks below the section's own
                return Heading(max(3, block.level), self.parts(block.words))
            case WrittenList():
                return Listing(block.start is not None, block.start or 1, tuple(map(self.item, block.items)))
            case WrittenQuote():
                return Quote(tuple(map(self.block, block.blocks)))
            case WrittenTable():
                head, *others = (tuple(map(self.cell, row)) for row in block.rows)
                return Grid(head, tuple(others))
            case Verbatim() | Divide():
                return block

    def item(self, blocks: Iterable[WrittenBlock]) -> tuple[Block, ...]:
        """Return one item of a list."""
        self.depth += 1
        item = tuple(map(self.block, blocks))
        self.depth -= 1
        return (*item, *self.dangers()) if self.depth == 0 else item

    def cell(self, cell: WrittenCell) -> GridCell:
        """Return one cell of a table."""
        return GridCell(self.parts(cell.words), cell.side)

    def parts(self, words: Iterable[Words]) -> tuple[Inline, ...]:
        """Return the pieces of a line."""
        found: list[Inline] = []
        for piece in words:
            match piece:
                case str():  # numbers stay together with their units
                    found.append(show.glued(piece))
                case Linked():
                    found += self.link(piece)
                case Code() | LineBreak():
                    found.append(piece)
                case Emphasis():
                    found.append(Stressed(self.parts(piece.words), strong=piece.strong))
                case Picture():
                    found.append(self.image(piece))
        return tuple(found)

    def image(self, picture: Picture) -> Inline:
        """Return a picture of the book; its words alone where there is none."""
        pen = self.pen
        address = pen.picture(pen.body.images.get(picture.address, ""))
        return Image(address, picture.words) if address else picture.words

    def link(self, link: Linked) -> tuple[Inline, ...]:
        """Return the words of a link, with what it is for: an amount, a duration, another page."""
        pen = self.pen
        scheme, _, rest = link.address.partition(":")
        if scheme == "amount":
            number, amount = next(pen.amounts, (0, None))
            pen.let_in += amount.rows if amount else ()
            words = self.parts(link.words)
            return (*words, _amount(number, amount, pen)) if amount else words
        if scheme == "time":
            time = next(pen.times, None)
            words = self.parts(link.words)
            if time is None:
                return words
            beside = "" if says_duration(time.words, time.seconds) else duration(time.seconds)
            return (Duration(duration_machine(time.seconds), words, beside),)
        target = pen.body.page_links.get(link.address)
        words = self.parts(link.words)
        if target is not None:
            address = pen.way(target)
            return (LinkTo(address, words, outside=False),) if address else words
        if scheme in ("http", "https", "mailto") and rest:
            return (LinkTo(link.address, words, outside=True),)
        return words


def _amount(number: int, amount: LinkAmount, pen: Pen) -> Amount:
    about = not pen.about.isdisjoint(amount.rows)
    return amount_of(number, amount, pen.signs, pen.up_to.get(number), about=about)
