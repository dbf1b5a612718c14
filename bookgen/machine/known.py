"""Figures in answers for machines: the exact value as a string, null where it is not known, and why."""

from __future__ import annotations

from ..findings import Missing
from ..model import Known
from ..show import exact


def value(known: Known | None) -> str | None:
    """Return an exact string, or None for what is not known."""
    return None if known is None or isinstance(known, Missing) else exact(known)


def hundredfold(known: Known | None) -> str | None:
    """Return a share as an exact percentage."""
    return None if known is None or isinstance(known, Missing) else exact(known * 100)


def whys(fields: dict[str, Known | None]) -> dict[str, str]:
    """Return why each field that is not known is not."""
    return {name: known.reason for name, known in fields.items() if isinstance(known, Missing)}
