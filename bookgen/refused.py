"""Names that people write for units and that are refused by name, because they are no measure or another's."""

from __future__ import annotations

from .wording.saying import Saying, says

WEIGH_IT = says("no-fixed-weight")


def _instead(unit: str, one: str = "", others: str = "") -> Saying:
    """Return that another unit is to be written, and how much of it one of this is."""
    return says("unit-instead-as", instead=unit, one=one, others=others) if one else says("unit-instead", instead=unit)


REFUSED_UNITS: dict[str, Saying] = {
    "wt": _instead("% w/w"),
    "gew": _instead("% w/w"),
    "vol": _instead("% v/v"),
    "gm": _instead("g"),
    "gramm": _instead("g"),
    "lt": _instead("L"),
    "ltr": _instead("L"),
    "cm": _instead("mL"),
    "tropfen": _instead("drops"),
    "tr": _instead("drops"),
    "goutte": _instead("drops"),
    "teil": _instead("parts"),
    "teile": _instead("parts"),
    "prozent": _instead("%"),
    "gr": says("gram-or-grain"),
    "grain": says("grain"),
    "cc": _instead("mL"),
    "ccm": _instead("mL"),
    "cl": _instead("mL", "1 cl", "10 mL"),
    "dl": _instead("mL", "1 dl", "100 mL"),
    "dag": _instead("g", "1 dag", "10 g"),
    "oz": says("weight-or-volume"),
    "fl": _instead("mL", "a fluid ounce", "28.4 or 29.6 mL"),
    "pint": _instead("mL", "a pint", "473 or 568 mL"),
    "quart": _instead("mL", "a quart", "946 or 1137 mL"),
    "gallon": _instead("L", "a gallon", "3.785 or 4.546 L"),
    "minim": _instead("mL", "a minim", "about 0.06 mL"),
    "drachm": says("weight-or-volume"),
    "dram": says("weight-or-volume"),
    "scruple": _instead("g", "a scruple", "about 1.3 g"),
    "lb": _instead("g", "1 lb", "453.59237 g"),
    "pound": _instead("g", "1 lb", "453.59237 g"),
    "ppm": _instead("%", "1 ppm", "0.0001 %"),
    "ppb": _instead("%", "1 ppb", "0.0000001 %"),
    "‰": _instead("%", "1 ‰", "0.1 %"),
    "iu": says("activity"),
    "mol": _instead("g"),
    "ng": _instead("µg"),
    "t": _instead("kg"),
    "ton": _instead("kg"),
    "tsp": WEIGH_IT,
    "tbsp": WEIGH_IT,
    "teaspoon": WEIGH_IT,
    "tablespoon": WEIGH_IT,
    "spoon": WEIGH_IT,
    "cup": WEIGH_IT,
    "pinch": WEIGH_IT,
    "pinche": WEIGH_IT,
    "dash": WEIGH_IT,
    "dashe": WEIGH_IT,
    "splash": WEIGH_IT,
    "splashe": WEIGH_IT,
    "handful": WEIGH_IT,
    "scoop": WEIGH_IT,
    "pipette": WEIGH_IT,
    "squirt": WEIGH_IT,
    "prise": WEIGH_IT,
    "messerspitze": WEIGH_IT,
    "el": WEIGH_IT,
    "tl": WEIGH_IT,
    "esslöffel": WEIGH_IT,
    "teelöffel": WEIGH_IT,
    "cuillère": WEIGH_IT,
}
"""Names that are refused, and why."""


def refused_unit(name: str) -> Saying | None:
    """Return why a unit is refused and what to write instead, or None when the name is not among them."""
    low = name.casefold().rstrip(".")
    return REFUSED_UNITS.get(low) or (REFUSED_UNITS.get(low[:-1]) if low.endswith("s") else None)
