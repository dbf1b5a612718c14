"""The names of all findings that reading can have, which are stable; beside each, what it is about."""

from __future__ import annotations

RULES = (
    # the book and its files
    "no-book",  # The folder holds no `formulas/`.
    "unreadable-workroom",  # `workroom.yaml` cannot be read; without it nothing else is right, so all stops here.
    "unreadable-file",  # A file or folder cannot be opened, is not UTF-8, or holds a NUL.
    "control-character",  # The text holds a character that cannot be printed.
    "file-too-large",  # A file is larger than any formula is.
    "link-out-of-book",  # A file of the book is a link that leads out of it or nowhere, or a folder is a link.
    "bad-name",  # A code or file name has characters other than letters, digits and hyphens, is too long or a device.
    "wrong-file-name",  # A file is not read under the name that it has.
    "duplicate-name",  # Two formulas, materials or batches are called by one code, file name or number.
    "shared-name",  # Two materials have the same name.
    # the front matter as YAML
    "empty-file",  # A file is empty.
    "no-front-matter",  # A file does not begin with a line `---`.
    "unclosed-front-matter",  # The second line `---` is missing.
    "unreadable-line",  # A line of the front matter cannot be read.
    "missing-space",  # A colon has no space after it.
    "colon-in-value",  # A value holds a colon followed by a space and is not in quotes.
    "unclosed-quote",  # A quote or bracket is opened and not closed.
    "text-after-quote",  # Text follows the closing quote of a value.
    "needs-quotes",  # A value begins with a character that needs quotes around the value.
    "tab-indentation",  # A line is indented with a tab.
    "wrong-indentation",  # A line is not indented like its neighbours.
    "yaml-mark",  # A tag, an anchor or an alias is used.
    "nested-too-deep",  # Something is nested deeper than the format goes.
    "cut-at-comma",  # A comma inside { } or [ ] ends a value too early.
    "swallowed-comment",  # A # after a space makes the rest of the line a remark.
    # keys and their values
    "unknown-key",  # A key is not one of the format's.
    "repeated-key",  # A key is written twice.
    "missing-key",  # A compulsory key is missing.
    "empty-value",  # A key that needs a value has none.
    "wrong-shape",  # A list, a text or keys stand where another form is expected.
    "wrong-value",  # A value is not one of a closed list.
    "unreadable-value",  # A value cannot be read.
    "value-too-long",  # A value or a name is longer than any that is read.
    "unreadable-number",  # A number is written in a way that is refused.
    "ambiguous-number",  # A number can be read in two ways.
    "unreadable-date",  # A date is not written as 2026-04-03.
    "impossible-date",  # A date does not exist.
    "impossible-value",  # A figure is outside what is possible.
    "missing-unit",  # A number lacks its unit.
    "unknown-unit",  # A unit is not one of the format's.
    "refused-unit",  # A unit is refused because it is ambiguous or not a measure.
    # ingredients
    "unreadable-amount",  # An amount cannot be read.
    "ambiguous-ratio",  # `1:2` can be read as 1 in 2 or as 1 + 2.
    "zero-amount",  # An amount is zero.
    "each-of-what",  # `each` stands in a formula that makes no pieces, or a fill does not say what a piece weighs.
    "mould-without-pieces",  # A mould stands in a formula that makes no pieces.
    "mould-without-fill",  # A mould stands in a formula in which no base fills it.
    "capsule-without-capsules",  # A size of capsules stands in a formula that makes none.
    "capsule-and-mould",  # A size of capsules stands beside a mould.
    "mould-and-fill",  # A mould stands beside a fill that says itself what a piece weighs.
    "bare-percent",  # A percentage in a formula by volume lacks w/w, w/v or v/v.
    "material-twice",  # A material is written twice in one phase.
    "line-without-phase",  # A line stands beside phases, outside of them.
    "wrong-phase",  # A phase is not one capital letter, or is empty.
    # trials
    "no-base",  # A trial is based on a formula that is not there, or on itself through others.
    "key-of-base",  # A trial has a key that follows its base.
    "trial-line",  # A line of a trial takes out or replaces one that its base does not have, or in a formula of none.
    # earlier issues, lots and batch records
    "earlier-name",  # An earlier issue lies in a file of another name than its code and issue.
    "lot-unquoted",  # A lot's code would be read as a number or a date by other programs.
    "batch-name",  # A batch number is another than that of its file, its formula or its day.
    # the Markdown below
    "unread-markup",  # Something is written as markup that is not read, and is printed as it is typed.
    "nested-lists",  # Lists or quotations are nested deeper than six.
    "bad-amount-link",  # An `amount:` link cannot be read.
    "bad-time-link",  # A `time:` link cannot be read.
    "dead-link",  # A link does not lead to a formula or a material of the book.
    "refused-link",  # A link is neither http(s), mailto, amount:, time: nor a file of the book.
    "refused-image",  # An image is not a picture file inside the book.
    # the batch asked for
    "unreadable-batch",  # The batch asked for cannot be read.
)
