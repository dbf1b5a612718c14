"""Rules on what is made in pieces: moulds, and what takes the place of the base in them."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing
from ..wording.saying import Saying, says
from .rule import Case, Said


def missing_displacement(case: Case) -> Iterator[Said]:
    """How much base a mould still takes is not known without what displaces it; error.

    Source: base = n (E − f A) and base = n (E − A ÷ D), the two definitions of the texts.
    """
    mould = case.formula.mould
    if mould is not None:
        yield from _whole_unknown(case, "missing-displacement", says("write-displaces", base=mould.base))


def mould_of_other_base(case: Case) -> Iterator[Said]:
    """A mould takes another weight of another base; error.

    Source: a glycerol-gelatin base weighs about 1.2 times as much as cocoa butter, from memory.
    """
    return _whole_unknown(case, "mould-of-other-base", says("weigh-mould"))


def mould_too_full(case: Case) -> Iterator[Said]:
    """Nothing may take more room than the mould has; error.

    Source: own arithmetic.
    """
    return _whole_unknown(case, "mould-too-full", says("less-in-mould"))


def pieces_without_weight(case: Case) -> Iterator[Said]:
    """A share in percent needs the weight of a piece; error.

    Source: own arithmetic.
    """
    return _whole_unknown(case, "pieces-without-weight", says("write-each"))


def _whole_unknown(case: Case, cause: str, way: Saying) -> Iterator[Said]:
    """Yield why it is not known what the pieces weigh, where that is the cause, with the way out."""
    grams = case.makes.grams
    if isinstance(grams, Missing) and grams.cause == cause and not grams.reported:
        place = grams.place if grams.place.line else case.place_of("mould", "makes")
        yield Said(place=place, says=says("lacking", why=grams.says, way=way))
