"""What drops weighed at the bench come to, as JSON."""

from __future__ import annotations

from typing import Any

from .. import show
from ..reckon.droppers import drops_per_gram, spread
from ..reckon.recount import Recount
from ..terminal.calibration import Calibration, written_drops
from .batch import drops_json, findings_json
from .known import hundredfold, value, whys


def calibration_json(found: Calibration) -> dict[str, Any]:
    """Return the same by the rules of `weigh --json`: exact strings, null with its reason."""
    mass = found.mass
    return {
        "material": found.material.key,
        "name": found.material.name,
        "dropper": found.line.dropper,
        "weighings": [
            {
                "drops": weighing.drops,
                "grams": show.exact(weighing.grams),
                "drop_g": show.exact(weighing.grams / weighing.drops),
            }
            for weighing in found.line.weighings
        ],
        "drop_g": show.exact(mass.grams),
        "low_g": show.exact(mass.low),
        "high_g": show.exact(mass.high),
        "spread_percent": hundredfold(spread(found.line)),
        "drops_per_g": show.exact(drops_per_gram(mass)),
        "drops_per_ml": value(found.per_ml),
        "paste": list(found.paste),
        "formulas": [_recount_json(recount) for recount in found.recounts],
        "why": whys({"drops_per_ml": found.per_ml}),
        "findings": findings_json(found.findings),
    }


def _recount_json(recount: Recount) -> dict[str, Any]:
    today = recount.today
    return {
        "code": recount.formula.code,
        "title": recount.formula.title,
        "written": written_drops(recount.count),
        "grams": value(recount.grams),
        "measure": None if today is None else today.measure.value,
        **drops_json(today),
        "why": whys({"grams": recount.grams}),
    }
