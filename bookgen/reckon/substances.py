"""Forms of one substance: hydrate and anhydrous, salt and acid or base, by molar masses.

Enters: names as `contains:` and `as` use them.  Leaves: `Turned`, the factor between two forms with both molar masses.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ..fraction import Fraction
from ..reference import SubstanceForm, spelt, substance_forms


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """How much of one form another form carries."""

    have: SubstanceForm
    """The form that is there."""
    want: SubstanceForm
    """The form that is asked for."""
    factor: Fraction
    """Grams of what is asked for in 1 g of what is there."""


def factor(have: str, want: str) -> Fraction | None:
    """Return how many grams of one form of a substance 1 g of another form carries: hydrates, salts, acids and bases.

    Both forms carry the same substance, so what counts is how much of it lies in a gram of each: molar mass of the
    form that is asked for ÷ molar mass of the form that is there, times how many of the substance one carries ÷ the
    other.  1 g of borax, which holds the boron of four boric acids, stands for 0.6485 g of boric acid.  A name that
    several forms go by (sodium citrate, magnesium sulfate) is not turned.

    `None` where the two are not forms of one substance.

    Source: standard atomic weights, by the libraries molmass 2026.1.8 and periodictable 2.1.0; T02-31.

    >>> round(factor("citric acid monohydrate", "citric acid"), 4)
    Fraction(9143, 10000)
    """
    found = turned(have, want)
    return None if found is None else found.factor


def turned(have: str, want: str) -> Turned | None:
    """Return the two forms with their factor; None when they are not forms of one substance.

    Source: as for `factor`.
    """
    forms = _by_name()
    one, other = forms.get(spelt(have)), forms.get(spelt(want))
    if one is None or other is None or one.base != other.base:
        return None
    return Turned(have=one, want=other, factor=one.carries_of(other))


def form_of(name: str) -> SubstanceForm | None:
    """Return the form of a substance that goes by a name, ignoring case; None when it is not in the table."""
    return _by_name().get(spelt(name))


def meant_by(name: str) -> tuple[str, ...]:
    """Return the forms that an unclear name may mean; empty when it means one thing or is not in the table."""
    return substance_forms().unclear.get(spelt(name), ())


@cache
def _by_name() -> Mapping[str, SubstanceForm]:
    return {spelt(name): form for form in substance_forms().forms for name in (form.name, *form.also)}
