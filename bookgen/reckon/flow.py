"""From what goes in to what comes out: yield and evaporation.

weigh in all = to obtain ÷ yield ÷ (1 − evaporated ÷ makes), exact.  Yield loses product of unchanged composition (in the
vessel, in the filter); evaporation changes the composition.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..model import Known


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """What one batch loses on the way, in the formula's own unit."""

    yield_: Fraction
    """Share that comes out, above 0 to 1."""
    evaporated: Known
    """Share of what the formula makes that evaporates and is not made up."""
    replaced_g: Known
    """Grams, per amount made, that evaporate and are made up again; not known for a bare `made up: yes`."""
    replaces: bool
    """True when something that evaporates is made up."""
    added: Known
    """Share of what the formula makes that is weighed in addition because it evaporates (`added: yes`)."""
    start: Known
    """Weigh in all per unit to obtain."""
    scale: Known
    """Factor on the written amounts per unit to obtain: written amount × scale × batch = what is weighed."""
    as_written: Known
    """What comes out when the written amounts are taken once."""
