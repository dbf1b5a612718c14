"""Names that people write for units and that are refused by name, because they are no measure or another's."""

from __future__ import annotations

WEIGH_IT = "has no fixed weight: weigh it once and write grams"
REFUSED_UNITS: dict[str, str] = {
    "wt": "is refused: write % w/w",
    "gew": "is refused: write % w/w",
    "vol": "is refused: write % v/v",
    "gm": "is refused: write g",
    "gramm": "is refused: write g",
    "lt": "is refused: write L",
    "ltr": "is refused: write L",
    "cm": "is refused: write mL",
    "tropfen": "is refused: write drops",
    "tr": "is refused: write drops",
    "goutte": "is refused: write drops",
    "teil": "is refused: write parts",
    "teile": "is refused: write parts",
    "prozent": "is refused: write %",
    "gr": "may mean gram or grain (0.0648 g): write g for grams",
    "grain": "is 0.06479891 g: write the amount in mg or g",
    "cc": "is refused: write mL",
    "ccm": "is refused: write mL",
    "cl": "is refused: write mL (1 cl is 10 mL)",
    "dl": "is refused: write mL (1 dl is 100 mL)",
    "dag": "is refused: write g (1 dag is 10 g)",
    "oz": "may be a weight or a volume: write g or mL",
    "fl": "is refused: write mL (a fluid ounce is 28.4 or 29.6 mL)",
    "lb": "is refused: write g (1 lb is 453.59237 g)",
    "pound": "is refused: write g (1 lb is 453.59237 g)",
    "ppm": "is refused: write % (1 ppm is 0.0001 %)",
    "ppb": "is refused: write % (1 ppb is 0.0000001 %)",
    "‰": "is refused: write % (1 ‰ is 0.1 %)",
    "iu": "is refused: write the weight, and give the activity in a note",
    "mol": "is refused: write g",
    "ng": "is refused: write µg",
    "t": "is refused: write kg",
    "ton": "is refused: write kg",
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
"""Names that are refused, and the rest of the sentence."""


def refused_unit(name: str) -> str | None:
    """Return what to write instead of a refused unit, or None when the name is not among them."""
    low = name.casefold().rstrip(".")
    return REFUSED_UNITS.get(low) or (REFUSED_UNITS.get(low[:-1]) if low.endswith("s") else None)
