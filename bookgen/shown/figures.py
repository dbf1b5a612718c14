"""Shown figures: a number, its exact value and its name in one record."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import word
from ..model import Known, Percent, Period
from .phrases import Figure, PeriodFigure, Phrase, phrase
from .records import Cell
from .sentences import said

_PERCENT = re.compile(r"(\d+(?:[.,]\d+)?) ?%")
DASH = "\u2013"
NOT_KNOWN = "not known"


def weight(name: str, grams: Fraction, step: Fraction | None, signs: show.Signs, unit: str = "g") -> Figure:
    """A weight with the digits its balance reads."""
    return Figure(text=show.metered(grams, step, signs), value=show.exact(grams), name=name, unit=unit)


def small_weight(name: str, grams: Fraction, signs: show.Signs, side: show.Side = show.NEAREST) -> Figure:
    """What one piece or one dose holds, of three significant figures, in g, mg or µg; its value is in that unit."""
    unit, per_gram = show.unit_for(grams)
    much = grams * per_gram
    return Figure(text=show.significant(much, signs=signs, side=side), value=show.exact(much), name=name, unit=unit)


def usual(figure: Figure, about: bool) -> Figure:
    """A figure, marked where the amount that it tells is only usual."""
    return replace(figure, about=True) if about else figure


def count(name: str, number: int) -> Figure:
    """A number of things."""
    return Figure(text=str(number), value=str(number), name=name)


def volume(name: str, ml: Fraction, signs: show.Signs, unit: str = "mL") -> Figure:
    """A volume."""
    return Figure(text=show.millilitres(ml, signs), value=show.exact(ml), name=name, unit=unit)


def percent(name: str, share: Fraction, signs: show.Signs, unit: str = "%", side: show.Side = show.NEAREST) -> Figure:
    """A computed share (1 = all) as a percentage of three significant figures; its value is the percentage."""
    hundredfold = share * 100
    text = show.significant(hundredfold, signs=signs, side=side)
    return Figure(text=text, value=show.exact(hundredfold), name=name, unit=unit)


def stated_percent(name: str, stated: Percent, signs: show.Signs, unit: str = "%") -> Figure:
    """A percentage with the digits it is written in; computed where it is written otherwise, as `1 in 2000`."""
    share = stated.share
    text, value = _stated(stated.text, share.numerator, share.denominator, signs)
    return Figure(text=text, value=value, name=name, unit=unit)


@lru_cache(maxsize=1024)
def _stated(text: str, above: int, below: int, signs: show.Signs) -> tuple[str, str]:
    """Return digits and exact value of a percentage as it is written; by whole numbers, whose hash is ready."""
    hundredfold = Fraction(100 * above, below)
    match = _PERCENT.match(text)
    if match is None or Fraction(match[1].replace(",", ".")) != hundredfold:
        return show.significant(hundredfold, signs=signs), show.exact(hundredfold)
    return show.written(match[1], signs), show.exact(hundredfold)


def off_by(name: str, off: Fraction, signs: show.Signs) -> Phrase:
    """Return an error in words: a percentage, and on which side."""
    text, value = show.significant(abs(off) * 100, show.Fine.ERROR, signs), show.exact(off * 100)
    figure = Figure(text=text, value=value, name=name, unit="%")
    return phrase("{off} {side}", off=figure, side=said("over" if off > 0 else "under"))


def drops(name: str, count: int) -> Figure:
    """A count of drops."""
    return Figure(text=str(count), value=str(count), name=name, unit=word(show.DROPS[count != 1]))


def batch(name: str, value: Known, unit: str, step: Fraction | None, signs: show.Signs) -> tuple[Figure, ...]:
    """A batch, if it is known, for a list of facts; `step` is that of the finest balance."""
    if isinstance(value, Missing):
        return ()
    return (Figure(text=show.batch(value, unit, step, signs), value=show.exact(value), name=name, unit=unit),)


def known(name: str, value: Known | None, unit: str, signs: show.Signs) -> tuple[Figure, ...]:
    """A plain figure if it is known, for a list of facts."""
    if value is None or isinstance(value, Missing):
        return ()
    return (Figure(text=show.plain(value, signs), value=show.exact(value), name=name, unit=unit),)


def column(figures: Sequence[Figure | None], words: Sequence[str], signs: show.Signs) -> tuple[Cell, ...]:
    """Return the cells of one column, padded so that the decimal signs stand below each other."""
    own = [show.decimals(figure.text, signs) if figure else 0 for figure in figures]
    most = max(own, default=0)
    return tuple(
        [
            Cell(figure=figure, pad=show.spaces(decimals, most)) if figure else Cell(word=word)
            for figure, word, decimals in zip(figures, words, own, strict=True)
        ]
    )


def period_figure(name: str, period: Period) -> PeriodFigure:
    """Return a period that names its figure and carries it by ISO 8601; five weeks are printed as 35 days."""
    machine = f"P{period.months}M" if period.months else f"P{period.days}D"
    return PeriodFigure(name, machine, show.period(period.days, period.months))
