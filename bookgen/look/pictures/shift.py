"""One share in two formulas: a hollow dot where it was, a full one where it is, and the way between them."""

from __future__ import annotations

from markupsafe import Markup, escape

from ...fraction import Fraction
from ...shown.kept_records import ShiftPicture
from .lettering import em

_WIDE, _HIGH, _DOT = 60, 10, 4
"""Tenths of an em: from nothing to the larger share, the height, and the radius of a dot."""


def shift_picture(picture: ShiftPicture) -> Markup:
    """Return both shares on a line from nothing to the larger of the two.

    >>> from bookgen.shown.kept_records import ShiftPicture
    >>> svg = str(shift_picture(ShiftPicture(first="3", second="6", told="gly")))
    >>> 'cx="34"' in svg and 'cx="64"' in svg
    True
    """
    first, second = Fraction(picture.first), Fraction(picture.second)
    most = max(first, second) or Fraction(1)
    ends = [int(share / most * _WIDE + Fraction(1, 2)) + _DOT for share in (first, second)]
    wide, middle = _WIDE + 2 * _DOT, _HIGH // 2
    return Markup(
        f'<svg class="shift" role="img" width="{em(wide)}" height="{em(_HIGH)}" viewBox="0 0 {wide} {_HIGH}">'
        f"<title>{escape(picture.told)}</title>"
        f'<path class="scale" d="M{_DOT} {middle}H{_WIDE + _DOT}"/>'
        f'<path d="M{ends[0]} {middle}H{ends[1]}"/>'
        f'<circle cx="{ends[0]}" cy="{middle}" r="{_DOT - 1}"/>'
        f'<circle class="now" cx="{ends[1]}" cy="{middle}" r="{_DOT - 1}"/></svg>'
    )
