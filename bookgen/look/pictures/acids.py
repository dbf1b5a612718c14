"""The undissociated share of a weak acid over pH: its curve, where it works shaded, the formula's pH ruled.

Its label, and the sentence above it, say the same in words.  The plot is as wide as its column, up to some width.
"""

from __future__ import annotations

from functools import lru_cache
from math import ceil, floor

from markupsafe import Markup, escape

from ... import show
from ...fraction import Fraction
from ...language import noted, word
from ...reckon.acids import forms_of
from ...shown.judged_records import AcidPicture
from .lettering import em

UNDISSOCIATED = noted("undissociated")
"""What is 100 % at the upper edge."""
BESIDE = 2
"""Units of pH that are drawn on either side of the pKa."""
LOWEST, HIGHEST = 0, 14
"""Ends of the scale of pH."""

_UNIT = 30  # of the plot's width to one of pH: a third of it is whole
_HEIGHT = 100
_TICK = 4
_PLOT, _BELOW, _ALL, _UNDER = 65, 78, 81, 12  # tenths of an em
_RIGHT = "99%"
_LN_TEN = Fraction("2.302585")


def acid_picture(picture: AcidPicture) -> Markup:
    """Return the picture of one acid, to stand below the sentence that has its figures."""
    low, high = _ends(picture)
    width = (high - low) * _UNIT
    return Markup(
        f'<svg class="picture plot" role="img" aria-label="{escape(picture.label)}" width="100%" height="{em(_ALL)}">'
        f'<svg viewBox="0 0 {width} {_HEIGHT}" preserveAspectRatio="none" height="{em(_PLOT)}">'
        f'{_shade(picture, low, high)}<path d="M0 0H{width}V{_HEIGHT}H0Z{_ticks(low, high)}{_rules(picture, low)}"/>'
        f'<path stroke-width="2" d="{curve(picture.pkas, low, high)}"/></svg>'
        f'<text y="{em(_BELOW)}">pH {low}</text><text text-anchor="end" x="{_RIGHT}" y="{em(_UNDER)}">'
        f'100{show.THIN}% {word(UNDISSOCIATED)}<tspan x="100%" y="{em(_BELOW)}">{high}</tspan></text></svg>'
    )


@lru_cache(maxsize=64)
def curve(pkas: tuple[Fraction, ...], low: int, high: int) -> str:
    """Return the path of the undissociated share from one pH to another: each unit a cubic with the true slopes.

    Most formulas of a book are kept by one of a few acids.
    """
    drawn = []
    for ph in range(low, high + 1):
        shares = forms_of(pkas, Fraction(ph))
        # An acid's undissociated share falls by itself × protons given up × ln 10 a unit of pH.
        third = _LN_TEN * shares[0] * sum(number * share for number, share in enumerate(shares)) / 3
        at, down = (ph - low) * _UNIT, _down(shares[0])
        before = f"{at - _UNIT // 3} {_down(shares[0] + third)}"
        after = f"M0 {down}C{_UNIT // 3} {_down(shares[0] - third)} " if ph == low else ""
        drawn.append(after or f"{'' if ph == low + 1 else 'S'}{before} {at} {down}")
    return "".join(drawn)


def _ends(picture: AcidPicture) -> tuple[int, int]:
    """Return the whole pH from which and to which it is drawn."""
    low = min(floor(picture.pkas[0]) - BESIDE, floor(picture.low))
    high = max(ceil(picture.pkas[0]) + BESIDE, ceil(picture.high))
    return max(low, LOWEST), min(high, HIGHEST)


def _down(share: Fraction) -> int:
    return round((1 - share) * _HEIGHT)


def _at(ph: Fraction, low: int) -> int:
    return round((ph - low) * _UNIT)


def _shade(picture: AcidPicture, low: int, high: int) -> str:
    """Return the part in which it works, where that is known."""
    if picture.works is None:
        return ""
    least, most = picture.works
    start = 0 if least is None else max(_at(least, low), 0)
    from_ = f'x="{start}" ' if start else ""
    end = _at(Fraction(high) if most is None else min(most, Fraction(high)), low)
    return f'<rect {from_}width="{max(end - start, 0)}" height="{_HEIGHT}" fill-opacity=".1"/>'


def _ticks(low: int, high: int) -> str:
    return f"M{_UNIT} {_HEIGHT - _TICK}v{_TICK}" + f"m{_UNIT}-{_TICK}v{_TICK}" * (high - low - 2)


def _rules(picture: AcidPicture, low: int) -> str:
    """Return lines from the curve down to the formula's pH."""
    return "".join(
        f"M{_at(ph, low)} {_down(forms_of(picture.pkas, ph)[0])}V{_HEIGHT}"
        for ph in dict.fromkeys((picture.low, picture.high))
    )
