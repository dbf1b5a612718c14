"""Dilutions and mixtures for machine readers: `dilute --json` and `mix --json`.

Exact values are strings (`84.75`, `8/3`), counts are integers; what is not known is null with its `why`, as in
`weigh --json`.  The decimal sign is always the point here.
"""

from __future__ import annotations

from collections.abc import Sequence

from .. import show
from ..findings import Finding, Missing
from ..fraction import Fraction
from ..model import Known, MixedBy, Strength, StrengthBasis
from ..reckon.mixing import Mixture, MixturePart, vol_share
from ..reckon.scale import Measure
from ..reckon.wishes import share_of
from ..terminal.mixture import asked, cautions, grams_column, ml_column, name_of, remarks
from ..wording.saying import says
from .batch import findings_json
from .known import hundredfold, value, whys
from .text import Json

NOT_ETHANOL = "no strength is in %vol"


def mixture_json(mixture: Mixture) -> Json:
    """Return the answer of `dilute --json` and `mix --json`."""
    mixing = mixture.mixing
    made_up: Known = mixture.ml if mixture.made_up else Missing(says=says("no-mark"))
    fields: dict[str, Known | None] = {
        "total_g": mixture.grams,
        "metered_total_g": mixture.metered_g,
        "total_ml": mixture.ml,
        "make_up_to_ml": made_up,
        "contraction_ml": mixture.contraction_ml,
        "expansion_ml": mixture.expansion_ml,
        "obtain_at_least_g": mixture.obtain_at_least,
    }
    why = whys(fields)
    if isinstance(mixture.metered_share, Missing):
        why["metered_gives"] = mixture.metered_share.reason
    if mixing.want is None:
        why["want"] = "the amounts are given and the strength is asked"
    if mixing.by is not MixedBy.ETHANOL:
        why["percent_mass"] = why["percent_vol"] = why["at_c"] = NOT_ETHANOL
    return {
        "asked": asked(mixture),
        "by": mixing.by.value,
        "at_c": value(mixing.at_c) if mixing.by is MixedBy.ETHANOL else None,
        "want": None if mixing.want is None else _strength_json(mixing.want, mixture),
        "lines": [_line_json(part, mixture) for part in mixture.parts],
        **{name: value(known) for name, known in fields.items()},
        "gives": _gives_json(mixture.share, mixture),
        "metered_gives": None
        if isinstance(mixture.metered_share, Missing)
        else _gives_json(mixture.metered_share, mixture),
        "one_of_many": mixture.one_of_many,
        "ratio": list(mixture.ratio),
        "remarks": remarks(mixture),
        "cautions": cautions(mixture),
        "why": why,
        "findings": [],
    }


def _strength_json(strength: Strength, mixture: Mixture) -> Json:
    """Return a strength as written, and of ethanol in both ways."""
    basis = strength.basis.value if strength.basis else StrengthBasis.WW.value
    answer = {"text": strength.text, "percent": hundredfold(strength.share), "of": basis}
    both = _gives_json(share_of(strength, mixture.mixing.by), mixture)
    if strength.basis is StrengthBasis.VOL:
        both["percent_vol"] = hundredfold(strength.share)  # as written, not there and back through the tables
    return answer | {name: both[name] for name in ("percent_mass", "percent_vol")}


def _gives_json(share: Fraction, mixture: Mixture) -> Json:
    ethanol = mixture.mixing.by is MixedBy.ETHANOL
    return {
        "percent": hundredfold(share),
        "percent_mass": hundredfold(share) if ethanol else None,
        "percent_vol": hundredfold(vol_share(share)) if ethanol else None,
    }


def _line_json(part: MixturePart, mixture: Mixture) -> Json:
    fields: dict[str, Known | None] = {
        "grams": part.grams,
        "metered_g": part.metered_g,
        "ml": part.ml,
        "least_g": part.least_g,
    }
    why = whys(fields)
    if part.balance is None:
        why["with"] = part.metered_g.reason if isinstance(part.metered_g, Missing) else ""
    place = mixture.parts.index(part)
    return {
        "name": name_of(part.strength, mixture),
        "strength": _strength_json(part.strength, mixture),
        "measure": _measure(part).value,
        **{name: value(known) for name, known in fields.items()},
        "with": part.balance.name if part.balance else None,
        "portions": part.portions,
        "too_small": part.too_small,
        "shown": (grams_column(mixture, show.POINT)[place] or ml_column(mixture, show.POINT)[place]).replace(
            show.THIN, " "
        ),
        "why": why,
    }


def _measure(part: MixturePart) -> Measure:
    """Return how a part is measured, in the words of `weigh --json`; `too_small` stands beside it."""
    if isinstance(part.grams, Fraction):
        return Measure.WEIGH
    return Measure.VOLUME if isinstance(part.ml, Fraction) else Measure.FILL


def unreadable_json(reason: str, findings: Sequence[Finding]) -> Json:
    """Return the answer where the workroom cannot be read: no lines, the reason, the findings."""
    return {"lines": [], "why": {"lines": reason}, "findings": findings_json(findings)}
