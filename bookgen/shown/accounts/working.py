"""Numbers of the worked lines in words: each with its unit, as the book prints it."""

from __future__ import annotations

from ... import show
from ...findings import Missing
from ...fraction import Fraction
from ...model import Known


def exactly(value: Known | None) -> Fraction:
    """Return a figure that is known.  Raises ValueError where it is not: an example of ours is then wrong."""
    if value is None or isinstance(value, Missing):
        raise ValueError("an example's figure is not known")
    return value


class Words:
    """Numbers with their units, as the book prints them."""

    def __init__(self, signs: show.Signs) -> None:
        self.signs = signs

    def g(self, grams: Known | None, step: Fraction | None = None, side: show.Side = show.NEAREST) -> str:
        """Grams, with the digits of a balance where one is named; without one the end of a range may be meant."""
        if step is None:
            return show.with_unit(show.plain(exactly(grams), self.signs, side=side), "g")
        return show.weight(exactly(grams), step, self.signs)

    def ml(self, ml: Known | None) -> str:
        """Millilitres."""
        return show.with_unit(show.plain(exactly(ml), self.signs), "mL")

    def percent(self, share: Known | None, figures: int = 4, side: show.Side = show.NEAREST) -> str:
        """A share as a percentage."""
        return show.with_unit(show.plain(exactly(share) * 100, self.signs, figures, side), "%")

    def number(self, value: Known | None, figures: int = 4, side: show.Side = show.NEAREST) -> str:
        """A bare number."""
        return show.plain(exactly(value), self.signs, figures, side)

    def density(self, value: Known | None, places: int = 5) -> str:
        """Grams per millilitre."""
        return show.with_unit(show.fixed(exactly(value), places, self.signs), "g/mL")
