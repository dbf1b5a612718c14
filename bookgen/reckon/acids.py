"""Weak acids that preserve: which share of one is undissociated, and which forms it takes.

Enters: the pKa of an acid, by a table or by its material's file, and a pH.  Leaves: `Acid`.  Only what is undissociated
gets into a germ; what oil, micelles and clays take of it is not known here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from functools import lru_cache
from itertools import accumulate
from operator import mul

from ..fraction import Fraction
from ..model import AcidityRange
from ..reference.preservatives import PreservativeRow, preservatives
from .known import ONE
from .recognised import Recognised

DIGITS = 15
"""Decimals to which the share of a form is reckoned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Acid:
    """A weak acid in a formula."""

    pkas: tuple[Fraction, ...]
    """Its pKa at 25 °C, from the lowest on."""
    of_file: bool
    """True where they are the material's own, not the table's."""
    ph: AcidityRange | None
    """The formula's pH."""

    @property
    def forms(self) -> tuple[tuple[Fraction, ...], ...]:
        """Shares of its forms at the formula's lowest pH, and at the highest; none without a pH."""
        if self.ph is None:
            return ()
        return tuple(forms_of(self.pkas, end) for end in (self.ph.low.value, self.ph.high.value))

    @property
    def free(self) -> tuple[Fraction, Fraction] | None:
        """Undissociated shares at the formula's highest pH and at the lowest; None without a pH."""
        found = self.forms
        return (found[1][0], found[0][0]) if found else None


def forms_of(pkas: Sequence[Fraction], ph: Fraction) -> tuple[Fraction, ...]:
    """Return the shares of an acid's forms at a pH: undissociated, then with one proton fewer after the other.

    To 1 of the undissociated acid there are 10 to the power of pH − pKa of the first form, of each further one as much
    times the same power of its own pKa.  A power is no fraction, so the shares are reckoned to fifteen decimals.

    Source: equation of Henderson and Hasselbalch, step by step.

    >>> [round(float(share), 4) for share in forms_of([Fraction("3.13"), Fraction("4.76")], Fraction(4))]
    [0.1031, 0.7641, 0.1328]
    """
    return _forms_of(tuple(pkas), ph)


@lru_cache(maxsize=512)
def _forms_of(pkas: tuple[Fraction, ...], ph: Fraction) -> tuple[Fraction, ...]:
    """Return them; a power costs much, and most formulas of a book are kept by one of a few acids."""
    with localcontext() as context:
        context.prec = 2 * DIGITS
        at = Decimal(ph.numerator) / ph.denominator
        steps = [Fraction(Decimal(10) ** (at - Decimal(pka.numerator) / pka.denominator)) for pka in pkas]
    parts = tuple(accumulate((ONE, *steps), mul))
    whole = sum(parts)
    return tuple(round(part / whole, DIGITS) for part in parts)


def undissociated(pka: Fraction, ph: Fraction, *further: Fraction) -> Fraction:
    """Return which share of a weak acid is undissociated at a pH: the part of it that preserves.

    1 ÷ (1 + 10 to the power of pH − pKa).  An acid of several steps has so much less of it as its further forms take.
    It is an upper bound of what works in the water: oil, micelles and clays take their part of it.  The power is no
    fraction, so the share is reckoned to fifteen decimals.  The pKa is that of the table, unless the material's file
    writes its own.

    Source: equation of Henderson and Hasselbalch; pKa as in the table of preservatives.

    >>> round(undissociated(Fraction("4.2"), Fraction(5)), 6)
    Fraction(136807, 1000000)
    """
    return forms_of((pka, *further), ph)[0]


def acid_of(
    row: PreservativeRow,
    keys: Sequence[str],
    own: Mapping[str, tuple[Fraction, ...]],
    known_as: Mapping[str, Sequence[Recognised]],
    ph: AcidityRange | None,
) -> Acid | None:
    """Return a preservative as a weak acid; None for what is none.

    The pKa is that of the file of a material that brings it, as far as it means this preservative: one that brings two
    weak acids, or two preservatives of which none is one, does not say whose its pKa is.  Of several files the lowest
    holds, by which the least is undissociated.

    Source: common practice, no source.
    """
    written = [own[key] for key in keys if key in own and _is_meant(row, known_as[key])]
    if written:
        return Acid(pkas=min(written), of_file=True, ph=ph)
    return None if row.pka is None else Acid(pkas=(row.pka,), of_file=False, ph=ph)


def _is_meant(row: PreservativeRow, told: Sequence[Recognised]) -> bool:
    """Tell whether the one pKa that a material writes is that of this preservative."""
    table = preservatives().by_substance
    brought = {table[item.substance] for item in told if item.substance in table}
    return ({found for found in brought if found.pka is not None} or brought) == {row}
