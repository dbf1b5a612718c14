"""A body in blocks and pieces: what the Markdown says, and nothing of how its library tells it."""

from __future__ import annotations

import pytest

from bookgen.source.blocks import blocks_of
from bookgen.source.body import _MARKDOWN
from bookgen.written import (
    Code,
    Divide,
    Emphasis,
    LineBreak,
    Linked,
    Picture,
    Verbatim,
    WrittenBlock,
    WrittenCell,
    WrittenHeading,
    WrittenList,
    WrittenParagraph,
    WrittenQuote,
    WrittenTable,
    addresses_of,
    lines_of,
    plain_text,
)

WRITTEN: dict[str, WrittenBlock] = {
    "Stir *well* **now**,\n`fast`\\\nand on.": WrittenParagraph(
        (
            "Stir ",
            Emphasis(("well",), strong=False),
            " ",
            Emphasis(("now",), strong=True),
            ",",
            "\n",
            Code("fast"),
            LineBreak(),
            "and on.",
        )
    ),
    "[*half* of it](amount:oil*1/2) ![a *blue*\njar](jar.png)": WrittenParagraph(
        (
            Linked("amount:oil*1/2", (Emphasis(("half",), strong=False), " of it")),
            " ",
            Picture("jar.png", "a blue\njar"),
        )
    ),
    "### Wash": WrittenHeading(3, ("Wash",)),
    "3. a\n4. b\n   - c": WrittenList(
        3,
        (
            (WrittenParagraph(("a",), tight=True),),
            (WrittenParagraph(("b",), tight=True), WrittenList(None, ((WrittenParagraph(("c",), tight=True),),))),
        ),
    ),
    "- a\n\n- b": WrittenList(None, ((WrittenParagraph(("a",)),), (WrittenParagraph(("b",)),))),
    "> a\n>\n> ---": WrittenQuote((WrittenParagraph(("a",)), Divide())),
    "| a | b |\n|:--|--:|\n| [c](x.md) | |": WrittenTable(
        (
            (WrittenCell(("a",), "left"), WrittenCell(("b",), "right")),
            (WrittenCell((Linked("x.md", ("c",)),), "left"), WrittenCell((), "right")),
        )
    ),
    "```text more\na  b\n```": Verbatim("a  b\n", "text"),
    "    a": Verbatim("a\n"),
    "<b>a</b>": WrittenParagraph(("<b>a</b>",)),
}
"""Markdown → the one block that it says."""


@pytest.mark.parametrize("text", WRITTEN)
def test_a_block_is_held_as_what_it_says(text: str) -> None:
    assert blocks_of(_MARKDOWN.parse(text)) == (WRITTEN[text],)


def test_a_text_is_read_line_by_line_with_where_it_leads() -> None:
    lines = list(lines_of(WRITTEN.values()))
    assert [plain_text(words).strip() for words in lines] == [
        "Stir well now, fast and on.", "half of it a blue jar", "Wash", "a", "b", "c", "a", "b", "a", "a", "b", "c", "",
        "a  b", "a", "<b>a</b>",
    ]  # fmt: skip
    assert [address for words in lines for address in addresses_of(words)] == ["amount:oil*1/2", "jar.png", "x.md"]


def test_where_thousands_lead_is_held_once() -> None:
    first, second = (next(lines_of(blocks_of(_MARKDOWN.parse("[a](amount:rose-water)"))))[0] for _ in range(2))
    assert isinstance(first, Linked)
    assert isinstance(second, Linked)
    assert first.address is second.address
