"""How far batches were off their plan, one bar a batch, the oldest first: over above a rule, under below it.

The accepted error is shaded.  The list of the same batches stands beside the picture and says each figure in words.
"""

from __future__ import annotations

from markupsafe import Markup, escape

from ...fraction import Fraction
from ...shown.made_records import OffPicture
from .lettering import em

_PLACE, _BAR = 20, 8
_HALF = 50
"""From the rule to either edge."""
_TEXT, _TOP, _PLOT, _BELOW, _ALL = 9, 13, 40, 64, 68  # tenths of an em


def off_picture(picture: OffPicture) -> Markup:
    """Return the picture of some batches, to stand beside their list."""
    width = len(picture.offs) * _PLACE
    band = _up(picture.accepted, picture.scale)
    return Markup(
        f'<svg class="plot" role="img" aria-label="{escape(picture.label)}" width="100%" height="{em(_ALL)}">'
        f'<text y="{em(_TEXT)}">{escape(picture.edge)}</text>'
        f'<svg y="{em(_TOP)}" viewBox="0 0 {width} {2 * _HALF}" preserveAspectRatio="none" height="{em(_PLOT)}">'
        f'<rect y="{_HALF - band}" width="{width}" height="{2 * band}" fill-opacity=".15"/>'
        f'<path d="M0 {_HALF}H{width}"/>{_bars(picture)}</svg>'
        f'<text y="{em(_BELOW)}">{escape(picture.first)}</text>'
        f'<text text-anchor="end" x="100%" y="{em(_BELOW)}">{escape(picture.last)}</text></svg>'
    )


def _up(off: Fraction, scale: Fraction) -> int:
    """Return how far above the rule an error is drawn."""
    return round(off / scale * _HALF)


def _bars(picture: OffPicture) -> str:
    """Return the bars; a batch of which nothing is known has an empty place."""
    start = (_PLACE - _BAR) // 2
    return "".join(
        f'<rect x="{at * _PLACE + start}" y="{_HALF - max(_up(off, picture.scale), 0)}" width="{_BAR}" '
        f'height="{abs(_up(off, picture.scale))}"/>'
        for at, off in enumerate(picture.offs)
        if off is not None
    )
