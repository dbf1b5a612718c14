"""How much lye turns fats into soap: what a line `q.s. for 5 % superfat` weighs.

Enters: the lines, what each takes up, how strong the lye is.  Leaves: `LyeLine`, which gives its weight for theirs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from ..findings import Missing, Place
from ..fraction import Fraction
from ..model import Known, Line, Superfat
from ..wording.saying import says
from .known import ONE, ZERO, add, less, over, times


@dataclass(frozen=True, slots=True, kw_only=True)
class TakingUp:
    """What fats take up and what lyes give, both in grams of potassium hydroxide for 1 g of a line's ingredient."""

    fat: Callable[[Line], Known]
    """The least that it takes up; 0 for what is no fat."""
    alkali: Callable[[Line], Known]
    """The most that it gives; not known for what gives none."""
    besides: Callable[[Line], Known]
    """The same of what stands beside the line that follows the fats; 0 for what gives none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LyeLine:
    """The line whose lye follows the fats."""

    place: Place
    """Where its amount is written."""
    superfat: Fraction
    """The superfat wanted."""
    per_gram: tuple[Known, ...]
    """Grams of lye for 1 g of each line: 0 for what takes up none, below 0 for lye that is there already."""
    missing: Missing | None
    """Why no weight is known, whatever the fats weigh; None where it is."""

    def weight(self, grams: Iterable[Known]) -> Known:
        """Return the grams of lye for so many grams of each line."""
        if self.missing is not None:
            return self.missing
        return add(times(much, rate) for much, rate in zip(grams, self.per_gram, strict=True) if rate != 0)


def lye_line(lines: Sequence[Line], taking: TakingUp) -> LyeLine | None:
    """Return how much lye the fats ask for, so that at least the wanted share of them stays fat.

    Grams of each fat × the low end of its saponification value, added up, × (1 − superfat), turned from potassium
    hydroxide to the lye's alkali by their molar masses, ÷ the high end of what the lye holds of it.  The low end
    decides, so that the lye never asks more of the fats than all of them can take up; where the fats take up more, more
    of them stays.  Superfat is a share of the lye that is left out, as soapmakers count it, and not fat put in besides.
    Another lye of a written amount comes first: what it gives at the high end is taken off, and the line makes up the
    rest, as for a soap of sodium and potassium.

    Source: the definition of the saponification value, mg of potassium hydroxide for 1 g of fat; that the low end
    decides is the safe choice.

    `None` where no line asks for a superfat.
    """
    lye = next((line for line in lines if isinstance(line.amount, Superfat)), None)
    if lye is None or not isinstance(lye.amount, Superfat):
        return None
    strength = taking.alkali(lye)
    plain = [line.removed is None and not isinstance(line.amount, Superfat) for line in lines]
    fats = [taking.fat(line) if counts else ZERO for line, counts in zip(lines, plain, strict=True)]
    given = [taking.besides(line) if counts else ZERO for line, counts in zip(lines, plain, strict=True)]
    missing = strength if isinstance(strength, Missing) else None
    if all(fat == 0 for fat in fats):
        missing = Missing(says=says("no-fat-for-lye"), place=lye.amount_place, cause="no-fat-for-lye")
    return LyeLine(
        place=lye.amount_place,
        superfat=lye.amount.share,
        per_gram=tuple(
            over(less(times(fat, ONE - lye.amount.share), other), strength) if fat != 0 or other != 0 else ZERO
            for fat, other in zip(fats, given, strict=True)
        ),
        missing=missing,
    )
