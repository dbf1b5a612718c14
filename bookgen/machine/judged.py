"""What was judged by the limits of the law for cosmetics, for machines: exact shares, the entry and the outcome."""

from __future__ import annotations

from ..findings import Missing
from ..model import Known
from ..reckon.judgements import judgement, names_of
from ..reckon.limits import AgainstLimit, Limits
from ..show import exact


def judged_json(limits: Limits) -> dict[str, object]:
    """Return what was judged, by the contract of `bookgen check --explain CODE --json`."""
    return {
        "not_judged": None if limits.silent is None else limits.silent.words(),
        "assumed": [assumption.words() for assumption in limits.assumed],
        "limits": [_entry(verdict) for verdict in limits.judged],
        "recognised": [
            {
                "substance": item.substance,
                "material": item.material,
                "by": item.name,
                "percent": _percent(item.high),
            }
            for item in limits.present
        ],
    }


def _entry(verdict: AgainstLimit) -> dict[str, object]:
    row, ceiling = verdict.row, verdict.ceiling
    return {
        "entry": row.entry,
        "edition": row.document,
        "substances": list(names_of(verdict.present)),
        "outcome": verdict.outcome.value,
        "counted_as": ceiling.counted_as or None if ceiling is not None else None,
        "percent_low": _percent(verdict.low),
        "percent_high": _percent(verdict.high),
        "limit_percent": None if ceiling is None or ceiling.share is None else exact(ceiling.share * 100),
        "says": judgement(verdict).words(),
    }


def _percent(share: Known) -> str | None:
    return None if isinstance(share, Missing) else exact(share * 100)
