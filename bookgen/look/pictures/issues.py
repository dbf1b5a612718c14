"""One ingredient over the issues of a formula: a bar for each, side by side, the present one filled."""

from __future__ import annotations

from markupsafe import Markup, escape

from ... import show
from ...fraction import Fraction
from ...language import word
from ...shown.kept_records import IssueBars
from .lettering import em

_HIGH = 16
"""Height in tenths of an em, and of the tallest bar."""
_WIDE, _APART = 7, 10
"""Width of a bar, and from bar to bar."""


def issue_bars(picture: IssueBars) -> Markup:
    """Return the bars of one ingredient, each as high as its share, the largest as high as the picture.

    What has no share, or none that is known, has no bar but stands in the title, which tells every issue.

    >>> from bookgen.shown.kept_records import IssueBar
    >>> bars = (IssueBar(issue="1", text="6 %", value="6"), IssueBar(issue="2", text="3 %", value="3"))
    >>> str(issue_bars(IssueBars(name="gly", bars=bars))).count("V8H")
    1
    """
    shares = [Fraction(bar.value) if bar.value else Fraction(0) for bar in picture.bars]
    most = max(shares, default=Fraction(0)) or Fraction(1)
    wide = _APART * len(shares)
    told = show.listing([word("{share} in issue {issue}", share=bar.text, issue=bar.issue) for bar in picture.bars])
    paths = ["", ""]
    for at, share in enumerate(shares):
        top = _HIGH - int(share / most * _HIGH + Fraction(1, 2))
        if share:
            left = at * _APART
            paths[at == len(shares) - 1] += f"M{left} {_HIGH}V{top}H{left + _WIDE}V{_HIGH}Z"
    return Markup(
        f'<svg class="issues" role="img" width="{em(wide)}" height="{em(_HIGH)}" viewBox="0 0 {wide} {_HIGH}">'
        f"<title>{escape(picture.name)}: {escape(told)}</title>"
        f'<path d="{paths[0]}"/><path class="now" d="{paths[1]}"/><path d="M0 {_HIGH}H{wide}"/></svg>'
    )
