"""Soap for machines: superfat and what comes of fat and lye, in exact percentages."""

from __future__ import annotations

from ..findings import Missing
from ..fraction import Fraction
from ..reckon.soap import Soap, SoapParts
from ..reckon.soap_told import superfat_told
from ..show import exact
from .text import Json


def soap_json(soap: Soap) -> Json | None:
    """Return what lye and fats make of each other; None where no lye is there for that."""
    made = soap.made
    if made is None:
        return None
    return {
        "alkalis": list(made.alkalis),
        "lyes": list(made.lyes),
        "fats": list(made.fats),
        "asked_percent": None if made.asked is None else _percent(made.asked),
        "superfat_percent_low": None if made.unjudged else _percent(made.low),
        "superfat_percent_high": None if made.unjudged or made.others else _percent(made.high),
        "may_take_up_more": list(made.others),
        "before": _parts(made.before),
        "after": _parts(made.after),
        "says": superfat_told(made).words() if made.is_sound else None,
    }


def _parts(parts: SoapParts | None) -> Json | None:
    """Return the parts, each as its least and its most; the water of which it is not known as null."""
    if parts is None:
        return None
    ranges = {
        "soap": parts.soap,
        "glycerol": parts.glycerol,
        "fat": parts.fat,
        "alkali": parts.alkali,
        "rest": parts.rest,
    }
    water = None if isinstance(parts.water, Missing) else _percent(parts.water)
    return {name: [_percent(low), _percent(high)] for name, (low, high) in ranges.items()} | {"water": water}


def _percent(share: Fraction) -> str:
    return exact(share * 100)
