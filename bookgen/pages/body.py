"""The Markdown of a file into HTML: amounts beside their words, durations, links between pages, pictures.

Enters: sections of tokens as `source/` kept them, what each amount link prints at the batch, the ways to other pages.
Leaves: HTML without anything that the file's author typed as HTML.  One renderer serves all pages; what differs from
page to page travels in the environment of one call.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.renderer import RendererHTML
from markdown_it.token import Token
from markdown_it.utils import OptionsDict
from markupsafe import Markup, escape

from .. import show
from ..findings import Missing
from ..model import Body, Section, TimeLink
from ..reckon.batchline import Aliquot
from ..reckon.doubt import is_doubtful, measuring_error
from ..reckon.links import LinkAmount
from .figures import drops, figure_html, sentence, volume, weight
from .plans import ratio, stock_word
from .rows import within_figure
from .sentences import SENTENCES, said
from .shelf import Way
from .shown import Figure


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
    closing: list[str] = field(default_factory=list)
    """What closes the links that are open."""


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
        up_to=up_to or {},
        about=about,
    )


def amount_html(
    number: int, amount: LinkAmount, signs: show.Signs, up_to: Figure | None = None, *, about: bool = False
) -> str:
    """Return what an amount link prints beside its words, as HTML: drops, a volume or a weight.

    `about` says that the amount of a line it means is only usual.
    """
    name, grams, ml = f"link-{number}", amount.grams, amount.ml
    inner = ""
    if isinstance(grams, Fraction):
        inner = figure_html(replace(weight(f"{name}.metered", grams, amount.step, signs), about=about))
    if amount.only is not None and isinstance(amount.only.metered, Aliquot):
        stock = stock_word(amount.only.metered.thinned)
        inner += said("of-stock", stock=stock, ratio=ratio(amount.only.metered.plan.factor))
    entire = amount.entire
    if entire is not None and entire.blended is not None and entire.blended.water_g:
        inner += sentence(
            SENTENCES["both"],
            strong=weight(f"{name}.strong", entire.blended.strong_g, entire.step, signs),
            water=weight(f"{name}.water", entire.blended.water_g, entire.step, signs),
        )
    if amount.drops is not None:
        counted = figure_html(replace(drops(f"{name}.drops", amount.drops), about=about))
        inner = f"{counted} ({inner})" if inner else counted
    elif isinstance(ml, Fraction):
        measured = figure_html(replace(volume(f"{name}.ml", ml, signs), about=about))
        inner = f"{inner} ({measured})" if inner else measured
    elif not inner and up_to is not None:
        inner = said("fill-to", volume=figure_html(up_to))
    # A whole count of drops means what it says; how far off a weight may be is told.
    if inner and entire is not None and not about and (entire.is_coarse or (not entire.drops and is_doubtful(entire))):
        off = measuring_error(entire)
        if entire.is_unshown:
            inner = f"{inner}, {said('unshown')}"
        elif off is not None and entire.blended is None:
            within = figure_html(within_figure(f"{name}.within", off, signs))
            inner = f"{inner}, {said('coarse', within=within)}"
    if inner:
        return f'&nbsp;<b class="amount" data-link="{number}">{inner}</b>'
    reason = grams.reason if isinstance(grams, Missing) else ""
    return f' <span class="amount unknown" data-link="{number}">{said("no-amount", reason=escape(reason))}</span>'


def _amount(number: int, amount: LinkAmount, pen: Pen) -> str:
    about = not pen.about.isdisjoint(amount.rows)
    return amount_html(number, amount, pen.signs, pen.up_to.get(number), about=about)


class _Renderer(RendererHTML):
    """The library's renderer with our links, and with pictures and HTML kept harmless."""

    def link_open(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]) -> str:
        """Open a link of ours or to elsewhere, and note what closes it."""
        pen: Pen = env["pen"]
        href = str(tokens[idx].attrGet("href") or "")
        scheme, _, rest = href.partition(":")
        if scheme == "amount":
            number, amount = next(pen.amounts, (0, None))
            pen.closing.append(_amount(number, amount, pen) if amount else "")
            return ""
        if scheme == "time":
            time = next(pen.times, None)
            if time is None:
                pen.closing.append("")
                return ""
            shown = show.duration(time.seconds)
            beside = "" if any(sign.isdigit() for sign in time.words) else f' <span class="beside">({shown})</span>'
            pen.closing.append(f"</time>{beside}")
            return f'<time class="duration" datetime="{show.duration_machine(time.seconds)}">'
        target = pen.body.page_links.get(href)
        if target is not None:
            address = pen.way(target)
            pen.closing.append("</a>" if address else "")
            return f'<a href="{escape(address)}">' if address else ""
        if scheme in ("http", "https", "mailto") and rest:
            pen.closing.append("</a>")
            return f'<a href="{escape(href)}" rel="noreferrer">'
        pen.closing.append("")
        return ""

    def link_close(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]) -> str:
        """Close the link that was opened last."""
        pen: Pen = env["pen"]
        return pen.closing.pop() if pen.closing else ""

    def image(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]) -> str:
        """Show a picture of the book; its words alone where there is none."""
        pen: Pen = env["pen"]
        token = tokens[idx]
        words = self.renderInlineAsText(token.children, options, env) if token.children else ""
        address = pen.picture(pen.body.images.get(str(token.attrGet("src") or ""), ""))
        if not address:
            return str(escape(words))
        return f'<img src="{escape(address)}" alt="{escape(words)}" loading="lazy">'

    def text(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]) -> str:
        """Numbers stay together with their units."""
        return str(escape(show.glued(tokens[idx].content)))

    def html_block(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]) -> str:
        """HTML is text."""
        return f"<p>{escape(tokens[idx].content)}</p>\n"

    def html_inline(
        self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]
    ) -> str:
        """HTML is text."""
        return str(escape(tokens[idx].content))

    def heading_open(
        self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]
    ) -> str:
        """A heading inside a section ranks below the section's own."""
        return f"<{_rank(tokens[idx].tag)}>"

    def heading_close(
        self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]
    ) -> str:
        """Close it by the same rank."""
        return f"</{_rank(tokens[idx].tag)}>\n"

    def table_open(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]) -> str:
        """A table of the text may be wider than a phone: it alone then moves sideways, by keyboard too."""
        return '<div class="wide" role="group" aria-label="Table" tabindex="0"><table class="text">\n'

    def table_close(
        self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: MutableMapping[str, Any]
    ) -> str:
        """Close the table and what holds it."""
        return "</table></div>\n"


def _rank(tag: str) -> str:
    """Return the rank of a heading within a section: h3 at least."""
    return tag if tag > "h3" else "h3"


_OPTIONS = MarkdownIt("commonmark", {"html": False}).options
_RENDERER = _Renderer()


def section_html(section: Section, pen: Pen) -> Markup:
    """Return one section as HTML; sections have to come in the order of the file."""
    env: dict[str, Any] = {"pen": pen}
    return Markup(_RENDERER.render(list(section.tokens), _OPTIONS, env).rstrip())
