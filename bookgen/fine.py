"""How finely what is not exact is shown: every choice of digits, in one place."""

from __future__ import annotations


class Fine:
    """How finely what is not exact is shown: every choice of digits, in one place.

    What is metered shows the digits of its instrument, what is written those that are written; both are no choice.

    Source: common practice, no source.
    """

    COMPUTED = 3
    """Significant figures of a computed percentage, a volume, what one drop or one millilitre comes to."""
    ERROR = 2
    """Significant figures of how far off something is, and of what would else be hidden."""
    PLAIN = 4
    """Decimals, or significant figures, that say most amounts exactly."""
    GLANCE = 5
    """Figures of a volume that are still read at a glance."""
    DENSITY = 4
    """Significant figures of a density, and of a factor between two forms of a substance."""
    MOLAR = 6
    """Significant figures of a molar mass that four decimals do not say."""
    RANGE = 6
    """Significant figures of the ends of an interval at most: as few as those of an error, and more only where both
    ends would be the same."""
    DROP = 3
    """Decimals of a drop mass in grams at least: 0.025 g."""
    DROP_WEIGHED = 4
    """Decimals of a drop mass that comes from weighings: 0.0250 g."""
    STRENGTH = 4
    """Significant figures of a strength at the bench, by weight or by volume."""
    HLB = 1
    """Decimals of the HLB of an emulsion."""
    CHANGE = 2
    """Decimals of the millilitres by which volumes shrink or grow in mixing."""
    COLUMN = 4
    """Decimals of a column of amounts at most."""
    MIXED_G = 7
    """Significant figures of the largest exact weight of a mixture."""
    MIXED_ML = 4
    """Significant figures of its largest volume."""
    ETHANOL_ML = 5
    """The same where the alcohol tables give the volumes."""
