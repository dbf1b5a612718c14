"""A value in quotes, as YAML reads it back: what advice about quotes shows."""

from __future__ import annotations

from ..wording.saying import Saying, says

LONGEST = 60
"""Signs of the longest value that advice repeats."""


def quoted(text: str) -> str:
    """Return the text in quotes, so that YAML reads the very same text.

    >>> print(quoted('Blend "citrus: #3"'), quoted("Rose: the third"))
    'Blend "citrus: #3"' "Rose: the third"
    """
    if '"' not in text and "\\" not in text:
        return f'"{text}"'
    return "'" + text.replace("'", "''") + "'"


def in_quotes(text: str) -> Saying:
    """Return the rest of a sentence that tells how to quote the value: `in quotes, "Rose: the third"`."""
    text = text.strip()
    if len(text) <= LONGEST:
        return says("in-quotes", quoted=quoted(text))
    if quoted(text)[0] == '"':
        return says("in-double-quotes")
    return says("in-quotes-doubled" if "'" in text else "in-single-quotes")
