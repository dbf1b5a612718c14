"""Rules on what is made in pieces: moulds, and what takes the place of the base in them."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing, Severity
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


def missing_tapped_density(case: Case) -> Iterator[Said]:
    """What fills a capsule up is not known without the tapped densities, an error; nor whether what is written fits, a
    query.

    Source: mass = volume × tapped density, from memory.
    """
    capsule = case.figures.capsule
    if capsule is None:
        return
    yield from _whole_unknown(case, "missing-tapped-density", says("write-tapped"))
    why = capsule.takes_ml
    asked = not capsule.filled_up and isinstance(why, Missing)
    if asked and isinstance(why, Missing) and why.cause == "missing-tapped-density":
        told = says("lacking", why=why.says, way=says("write-tapped"))
        yield Said(place=why.place, says=told, severity=Severity.QUERY)


def capsule_too_small(case: Case) -> Iterator[Said]:
    """What each capsule is to hold goes into it by its size, an error where it does not; a query where it does by one
    of the figures printed for that size and not by another.

    Source: `capsules.yaml`.
    """
    capsule = case.figures.capsule
    if capsule is None:
        return
    size, takes = capsule.size, capsule.takes_ml
    larger = says("larger-capsule", size=capsule.larger.size.value) if capsule.larger else says("more-capsules")
    place = case.place_of("capsule")
    full = isinstance(case.makes.grams, Missing)
    if isinstance(takes, Missing):
        for told in _whole_unknown(case, "capsule-too-small", says("more-capsules")):
            yield Said(place=place, says=told.says)
    elif takes > size.ml or full:
        why = says("beyond-capsule", takes=takes, size=size.size.value, holds=size.ml)
        yield Said(place=place, says=says("lacking", why=why, way=larger))
    elif takes >= size.least_ml and not capsule.filled_up:
        if size.least_ml < size.ml:
            why = says("to-the-brim", takes=takes, size=size.size.value, least=size.least_ml, holds=size.ml)
        else:
            why = says("just-full", takes=takes, size=size.size.value)
        yield Said(place=place, says=says("lacking", why=why, way=larger), severity=Severity.QUERY)


def _whole_unknown(case: Case, cause: str, way: Saying) -> Iterator[Said]:
    """Yield why it is not known what the pieces weigh, where that is the cause, with the way out."""
    grams = case.makes.grams
    if isinstance(grams, Missing) and grams.cause == cause and not grams.reported:
        place = grams.place if grams.place.line else case.place_of("mould", "makes")
        yield Said(place=place, says=says("lacking", why=grams.says, way=way))
