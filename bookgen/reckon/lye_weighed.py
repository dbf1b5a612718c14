"""Lye that was weighed, against the fats that were: whether a batch of soap can be caustic.

Enters: a reckoned book and one of its batch records.  Leaves: `LyeWeighed`.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import BatchRecord, BenchLine
from ..reference.dangers import dangers
from .figures import Reckoning
from .known import ONE, ZERO, times
from .lastdays import figures_of
from .lot_content import alkali_of, content_of_lot, nominal_content
from .lots import taken_grams
from .recognised import recognised_among
from .soap import taking_up


@dataclass(frozen=True, slots=True, kw_only=True)
class LyeWeighed:
    """What the fats of a batch left of its lye."""

    line: BenchLine
    """The line of the record where lye was weighed last."""
    beyond: Fraction
    """The lye ÷ what the fats take up at the least, − 1; above 0 where some of it may be left."""


def lye_weighed(reckoning: Reckoning, record: BatchRecord) -> LyeWeighed | None:
    """Return how far the lye that was weighed goes beyond what the fats that were weighed are sure to take up.

    Lye at the high end of what it holds, by its lot where that tells its content; fats at the low end of their ranges.

    Source: as `lye_line`.

    `None` where the formula makes no sound soap, or something that was weighed is not known or not of the formula.
    """
    book, figures = reckoning.book, figures_of(reckoning, record)
    made = None if figures is None else figures.soap.made
    if figures is None or made is None or not made.is_sound:
        return None
    known_as = recognised_among({key: book.materials[key] for key in made.lyes}, dangers().names)
    done = reckoning.figures
    taking = taking_up(
        book,
        known_as,
        {key: its.composition for key, its in done.items()},
        {key: its.soap for key, its in done.items()},
    )
    caustic = {key for key, its in done.items() if (its.composition.materials - its.soap.taken_up) & known_as.keys()}
    caustic |= known_as.keys()
    lines = {line.key: line.line for line in figures.amounts.lines if line.counts}
    aids = {line.key for line in figures.amounts.lines} - lines.keys()
    given, taken, last = ZERO, ZERO, None
    for line in record.weighed:
        key = book.key_of(line.material)
        if key in aids:
            continue
        if key not in lines:
            return None
        grams = taken_grams(line, book.at(key), book)
        lye = ZERO if key not in caustic else times(grams, taking.alkali(lines[key]))
        lye, fat = times(lye, _of_lot(reckoning, key, line)), times(grams, taking.fat(lines[key]))
        if isinstance(lye, Missing) or isinstance(fat, Missing):
            return None
        given, taken, last = given + lye, taken + fat, line if lye else last
    return LyeWeighed(line=last, beyond=given / taken - 1) if last is not None and taken else None


def _of_lot(reckoning: Reckoning, key: str, line: BenchLine) -> Fraction:
    """Return how many times as much alkali a lot holds at the most as its material says of all lots."""
    material, account = reckoning.book.materials.get(key), reckoning.lots.accounts.get((key, line.lot.casefold()))
    substance = None if material is None else alkali_of(material)
    if material is None or account is None or account.lot is None or substance is None:
        return ONE
    nominal, actual = nominal_content(material, substance), content_of_lot(material, account.lot, substance)
    return ONE if nominal is None or actual is None else actual / nominal
