"""Shown figures: a number, its exact value and its name in one record, and that record in HTML.

Every printed number of a page goes through `figure_html`, so that a test can find it by name and recompute it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from markupsafe import Markup, escape

from .. import show
from ..findings import Missing
from ..model import Known, Percent, Period
from .shown import Cell, Figure, Link

_CODE = re.compile(r"`([^`]+)`")
_PERCENT = re.compile(r"(\d+(?:[.,]\d+)?) ?%")
DASH = "\u2013"
NOT_KNOWN = "not known"
LONGEST_WORD = 18
"""Letters of a word that a column of a table always has room for."""


def weight(name: str, grams: Fraction, step: Fraction | None, signs: show.Signs, unit: str = "g") -> Figure:
    """A weight with the digits its balance reads."""
    return Figure(text=show.metered(grams, step, signs), value=show.exact(grams), name=name, unit=unit)


def volume(name: str, ml: Fraction, signs: show.Signs, unit: str = "mL") -> Figure:
    """A volume."""
    return Figure(text=show.millilitres(ml, signs), value=show.exact(ml), name=name, unit=unit)


def percent(name: str, share: Fraction, signs: show.Signs, unit: str = "%", side: show.Side = show.NEAREST) -> Figure:
    """A computed share (1 = all) as a percentage of three significant figures; its value is the percentage."""
    hundredfold = share * 100
    text = show.significant(hundredfold, 3, signs, side)
    return Figure(text=text, value=show.exact(hundredfold), name=name, unit=unit)


def stated_percent(name: str, stated: Percent, signs: show.Signs, unit: str = "%") -> Figure:
    """A percentage with the digits it is written in; computed where it is written otherwise, as `1 in 2000`."""
    text, value = _stated(stated.text, stated.share, signs)
    return Figure(text=text, value=value, name=name, unit=unit)


@lru_cache(maxsize=1024)
def _stated(text: str, share: Fraction, signs: show.Signs) -> tuple[str, str]:
    """Return digits and exact value of a percentage as it is written."""
    hundredfold = share * 100
    match = _PERCENT.match(text)
    if match is None or Fraction(match[1].replace(",", ".")) != hundredfold:
        return show.significant(hundredfold, 3, signs), show.exact(hundredfold)
    return show.written(match[1], signs), show.exact(hundredfold)


def drops(name: str, count: int) -> Figure:
    """A count of drops."""
    return Figure(text=str(count), value=str(count), name=name, unit="drop" if count == 1 else "drops")


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
    most = max((show.decimals(one.text, signs) for one in figures if one), default=0)
    return tuple(
        Cell(figure=one, pad=show.padding(one.text, most, signs)) if one else Cell(word=word)
        for one, word in zip(figures, words, strict=True)
    )


def sentence(template: str, **figures: Figure) -> Markup:
    """Return a sentence with figures in it, each under its name in braces; the sentence itself is ours."""
    return Markup(template).format(**{name: figure_html(figure) for name, figure in figures.items()})


def period_html(name: str, period: Period) -> Markup:
    """Return a period as an element that names its figure and carries it by ISO 8601."""
    machine = f"P{period.months}M" if period.months else f"P{period.days}D"
    said = escape(show.period(period.text))
    return Markup(f'<time data-figure="{escape(name)}" datetime="{machine}">{said}</time>')


def figure_html(figure: Figure) -> Markup:
    """Return the figure as HTML: digits in an element that names the figure and carries its exact value.

    Digits and exact values are made by `show`; only the name and the unit can hold what somebody typed.
    """
    name, unit = figure.name, figure.unit
    digits = f'<data data-figure="{escape(name)}" value="{figure.value}">{figure.text}</data>'
    if figure.unshown:
        digits = f"({digits})"
    if figure.about:
        digits = f'<span class="about">{show.ABOUT}</span>{digits}'
    if not unit:
        return Markup(digits)
    space = show.NBSP if unit.startswith("drop") else show.THIN
    return Markup(f'{digits}{space}<span class="unit">{escape(unit)}</span>')


def code_html(text: str) -> Markup:
    """Return a message of ours as HTML: escaped first, then what stands in backticks as code."""
    return Markup(_CODE.sub(r"<code>\1</code>", str(escape(text))))


def breakable(text: str) -> Markup:
    """Return words as HTML, with places to break in those too long for a column of a table."""
    if len(text) <= LONGEST_WORD:
        return escape(text)
    return Markup(" ").join(
        Markup("<wbr>").join(escape(word[at : at + LONGEST_WORD]) for at in range(0, len(word), LONGEST_WORD))
        for word in text.split(" ")
    )


def link_html(link: Link) -> Markup:
    """Return words that lead to another page; bare words where there is none."""
    words = breakable(link.words)
    return Markup(f'<a href="{escape(link.href)}">{words}</a>') if link.href else words
