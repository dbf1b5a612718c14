"""The front and back matter of the book: which pages there are, in which order, and what they are called."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache

from ...language import noted, spoken, word
from ..accounts.anchors import PAGE
from ..records import Passage


@dataclass(frozen=True, slots=True, kw_only=True)
class Matter:
    """One page of the front or back matter."""

    path: str
    """Its file in the site's folder."""
    title: str
    """Its heading."""
    way: str
    """What it is called at the foot of the other pages; empty for one that is reached from the contents alone."""
    says: str = ""
    """What stands in it, for the contents."""


CONTENTS = "index.html"
CODES = "by-code.html"
MATERIALS = "by-material.html"
PURPOSES = "by-purpose.html"
FUNCTIONS = "by-function.html"
STORAGE = "by-storage.html"
USES = "uses.html"
BATCHES = "batches.html"
ON_SHELF = "shelf.html"
SEARCH = "search.html"
POSSIBLE = "possible.html"
FINDINGS = "findings.html"

MATTER = (
    Matter(path=CONTENTS, title=noted("Contents"), way=noted("Contents")),
    Matter(
        path=CODES, title=noted("Formulas by code"), way=noted("By code"), says=noted("every formula under its code")
    ),
    Matter(
        path=MATERIALS,
        title=noted("Formulas by material"),
        way=noted("By material"),
        says=noted("every material under each of its names, with the formulas that hold it"),
    ),
    Matter(
        path=PURPOSES, title=noted("Formulas by purpose"), way=noted("By purpose"), says=noted("what a formula is for")
    ),
    Matter(
        path=FUNCTIONS,
        title=noted("Materials and formulas by function"),
        way=noted("By function"),
        says=noted("what a material or an ingredient does"),
    ),
    Matter(
        path=STORAGE,
        title=noted("Formulas by storage"),
        way=noted("By storage"),
        says=noted("where it is kept, and what keeps shortest"),
    ),
    Matter(
        path=USES,
        title=noted("What uses what"),
        way=noted("What uses what"),
        says=noted("the intermediates and what is made of them"),
    ),
    Matter(path=BATCHES, title=noted("Batches"), way="", says=noted("what was made, for the keeper")),
    Matter(
        path=ON_SHELF,
        title=noted("On the shelf"),
        way="",
        says=noted("what is there, what is past its date, what is to be tested again, for the keeper"),
    ),
    Matter(path=SEARCH, title=noted("Search"), way=noted("Search"), says=noted("any word of the book")),
    Matter(
        path=POSSIBLE,
        title=noted("What is at hand"),
        way=noted("What is at hand"),
        says=noted("what can be made of it"),
    ),
    Matter(
        path=PAGE,
        title=noted("How the figures are found"),
        way=noted("The figures"),
        says=noted("every rule, worked, with its source"),
    ),
    Matter(path=FINDINGS, title=noted("Findings"), way="", says=noted("what the check has to say, for the keeper")),
)
"""In the order of the book.  A page is listed only where the site has it."""

_BY_PATH = {page.path: page for page in MATTER}


def title_of(path: str) -> str:
    """Return the heading of a page of the matter; empty for any other."""
    return word(_BY_PATH[path].title) if path in _BY_PATH else ""


def ways(paths: Collection[str], root: str, here: str = "") -> tuple[Passage, ...]:
    """Return the ways to those pages that the site has, from a page below `root`, in the order of the book."""
    return _ways(tuple(paths), root, here, spoken())


@lru_cache(maxsize=64)
def _ways(paths: tuple[str, ...], root: str, here: str, language: str) -> tuple[Passage, ...]:
    return tuple(
        Passage(words=word(page.way), href=root + page.path, here=page.path == here)
        for page in MATTER
        if page.way and page.path in paths
    )
