"""The front matter as it is typed: colons, quotes, brackets, indentation, remarks."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # colons and keys
    "space-missing": "`{text:typed}` lacks a space after the colon: write `{key:typed}: {value:typed}`.",
    "colon-lacking": "`{text:typed}` has no colon: write `key: value`.",
    "colon-in-value": "The value of `{key:typed}` holds a colon and a space: put it {quotes}.",
    "keys-wanted": "Keys are expected here, one a line, such as `title: Rose water`.",
    "key-is-text": "A key is a text; put it in quotes.",
    "value-lacking": "`{key:typed}` has no value: write `{key:typed}: …`.",
    # quotes
    "in-quotes": "in quotes, {quoted:whole}",
    "in-double-quotes": 'in quotes, "…"',
    "in-single-quotes": "in single quotes, '…'",
    "in-quotes-doubled": "in single quotes, '…', and write each ' inside of it twice",
    "key-quote-open": "`{text:typed}` has a quote that is not closed, or no colon after it.",
    "quote-open": "{text:typed} opens a quote that is not closed.",
    "text-after-quote": "Text follows the closing quote: put the whole value in quotes.",
    "text-after-quotes": "Text follows the closing quote: take the quotes out, or put the whole value {quotes}.",
    "backslash": "A backslash in \"…\" begins a special character: use single quotes '…' instead.",
    "cannot-begin": "A value cannot begin with {sign}: put it {quotes}.",
    "yaml-mark": "A value that begins with {sign} is refused: put it in quotes if it belongs to the text.",
    # brackets and commas
    "bracket-open": "The {sign} that opens here is not closed, or a comma is missing.",
    "cut-in-braces": "Inside {{ }} a comma ends the value: put it {quotes}.",
    "cut-decimal": "Inside {{ }} a comma ends the value: write {pointed:whole}, or {other:whole}.",
    "cut-in-brackets": "{key}: inside [ ] a comma ends a sentence: if this is one, put it {quotes}.",
    "comma-first": "`{text:typed}` begins with a comma: write 0{text:typed}, or what stands before the comma.",
    # indentation
    "tab": "This line is indented with a tab: use spaces.",
    "too-deep": "This line is indented deeper than the line above, which already has its value: align the two.",
    "item-among-keys": "A list item stands here among keys, or is not indented like the others.",
    "not-aligned": "This line is not indented like its neighbours: align it with them.",
    "nested-too-deep": "Nothing in a formula is nested deeper than {most} levels.",
    # remarks, and where the front matter ends
    "remark-behind": "`{word:typed}` and what follows it are a remark and are not read: put the whole value in "
    "quotes, or write `# ` with a space if it is meant as a remark.",
    "remark-alone": "`{word:typed}` and what follows it are a remark and are not read: put the whole value in quotes.",
    "front-ended": "The front matter ends above this line; take `...` and further `---` out.",
    "no-front-matter": "The file has no front matter: begin it with a line `---`, the keys, and another line `---`.",
    "front-open": "The front matter is not closed: put a line `---` below its last key.",
    "unprintable": "A character here cannot be printed: take it out.",
    "control-character": "The character U+{code} cannot be printed: take it out.",
}
"""Name → sentence."""
