"""The text below the front matter: links, images, and what the Markdown does not take."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # links of our own
    "amount-link-unread": "`{address:typed}` is not understood: write amount:NAME, amount:NAME@A or amount:NAME*1/2.",
    "amount-link-empty": "`amount:` lacks the name of a line or a phase.",
    "link-to-no-phase": "`{phase:typed}` after @ is not a phase: write one capital letter.",
    "no-portion": "`{portion:typed}` after * is not a portion: write it as in 1/2, or rest.",
    "time-link-unread": "`{address:typed}` is not understood: write a number and s, min, h, days or weeks, time:5min.",
    "no-duration": "`{address:typed}` is not a duration in whole seconds above zero.",
    "space-in-link": "This is not a link, because of the space in it: write {address}.",
    # links to pages
    "link-refused": "The link to `{address}` is left out: links are http(s), mailto, or to a file of the book.",
    "link-without-ending": "The link to `{address}` is left out: write the file with its ending, `{address}.md`.",
    "link-in-heading": "The link to `{address}` is left out: a heading holds only words, so put it in the text below.",
    "space-in-page-link": "This is not a link, because of the space in it: write `[words]({address})`.",
    "dead-link": "The link leads to {target}, which is not a formula or a material of this book.{hint}",
    "page-elsewhere": " Write `{address}`.",
    # what is not read
    "footnote": "`[{words}]` is not read: there are no footnotes, so put its words into the text.",
    "footnote-mark": "`{text}` is printed as it is typed: there are no footnotes, so put its words into the text or "
    "under `## Notes`.",
    "double-brackets": "`{text}` is printed as it is typed: write a link as `[{words}]({page})`.",
    "lists-too-deep": "Lists or quotations are nested more than {most} deep here: what is deeper could be lost.",
    "too-many-brackets": "The text below the front matter holds more than {most} brackets [ and is not read.",
    # images
    "image-refused": "The image `{address}` is left out: {why}.",
    "image-outside": "images are files inside the book, nothing is fetched",
    "image-ending": "an image ends in {endings:or}",
    "no-such-file": "there is no such file",
    "picture-leads-out": "it is a link that leads out of the book",
    "picture-too-large": "it is larger than {most} MB",
    "picture-closed": "it cannot be opened",
    "picture-damaged": "it is damaged or cut short; copy it anew",
    "no-picture": "it holds no PNG, JPEG, GIF or WebP picture",
    "too-many-pixels": "it has {width} × {height} pixels, {millions} million; make it smaller, at most {most} million",
}
"""Name → sentence."""
