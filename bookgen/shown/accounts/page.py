"""The page "How the figures are found": the docstrings of the reckoning as paragraphs, each with a worked line.

Nothing is written twice: the text is that of the functions themselves, the worked lines are reckoned by them, and the
published tables say their own documents.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from inspect import getdoc

from ... import show
from ...language import spoken
from ...reference import published_tables
from ..phrases import Phrase, coded
from ..records import Fact
from ..shelf import Shelf, at_root
from .paragraphs import PARTS, Account
from .records import FoundPart, FoundShown, ParagraphShown, PublishedShown, RuleShown
from .words import words_shown
from .working import Words

_BLANK = re.compile(r"\n\s*\n")
_SOURCE = "Source: "
_FOR_PROGRAMMERS = ("Raises ", "`")
"""How a paragraph begins that tells of exceptions or of an argument by its name."""
_CHECKS = re.compile(r"T\d\d-\d\d(?:(?:,| to| and) T\d\d-\d\d)*")


def found_shown(shelf: Shelf) -> FoundShown:
    """Return the page of a book: the rules are everybody's, the decimal sign of the worked lines is the book's."""
    return FoundShown(
        frame=at_root(shelf).frame(),
        words=words_shown(),
        parts=_parts(shelf.signs, spoken()),
        published=published_shown(),
    )


@cache
def _parts(signs: show.Signs, language: str) -> tuple[FoundPart, ...]:
    """Return the parts of the page, reckoned once for each decimal sign and language however often pages are made."""
    words = Words(signs)
    return tuple(
        FoundPart(
            title=part.title,
            anchor=f"on-{part.paragraphs[0].anchor}",
            paragraphs=tuple(_shown(paragraph, words) for paragraph in part.paragraphs),
        )
        for part in PARTS
    )


def _shown(paragraph: Account, words: Words) -> ParagraphShown:
    accounts = [account_of(rule.function) for rule in paragraph.rules]
    return ParagraphShown(
        anchor=paragraph.anchor,
        title=paragraph.title,
        rules=tuple(
            RuleShown(text=text, worked=rule.worked(words))
            for rule, (text, _) in zip(paragraph.rules, accounts, strict=True)
        ),
        sources=tuple(dict.fromkeys(source for _, sources in accounts for source in sources)),
    )


def account_of(function: Callable[..., object]) -> tuple[tuple[Phrase, ...], tuple[Phrase, ...]]:
    """Return what a function's docstring says, and its sources, paragraph by paragraph.

    What stands before the first example counts; what is for programmers alone is left out.

    >>> def half(): '''Return one half.\\n\\nSource: own arithmetic.\\n\\n>>> 1\\n1'''
    >>> account_of(half)
    ((Phrase(parts=('One half.',)),), (Phrase(parts=('Own arithmetic.',)),))
    """
    said, sources = [], []
    for paragraph in _BLANK.split(getdoc(function) or ""):
        text = " ".join(paragraph.split())
        if text.startswith(">>>"):
            break
        if text.startswith(_SOURCE):
            sources.append(_told(text.removeprefix(_SOURCE)))
        elif text and not text.startswith(_FOR_PROGRAMMERS):
            said.append(_told(text.removeprefix("Return ")))
    return tuple(said), tuple(sources)


def _told(text: str) -> Phrase:
    """Return a paragraph as a sentence, with its code, its units held together, and its check values named as such."""
    checks = _CHECKS.sub(lambda match: f"check value{'s' if ' ' in match[0] else ''} {match[0]}", text)
    return coded(show.glued(show.sentence(checks)))


@cache
def published_shown() -> tuple[PublishedShown, ...]:
    """Return the published tables with their document, edition, section, day and how they were seen."""
    return tuple(
        PublishedShown(
            title=show.sentence(table.holds).rstrip("."),
            facts=(
                Fact(term="Document", text=table.document),
                Fact(term="Edition", text=table.edition),
                Fact(term="Section", text=table.section),
                Fact(term="Taken", text=table.taken),
                Fact(term="How seen", text=table.seen),
            ),
            values=tuple(Fact(term=name, text=show.glued(value)) for name, value in table.values),
        )
        for table in published_tables()
    )
