"""What was judged, for machines: what keeps it, then each limit with exact shares, the entry and the outcome."""

from __future__ import annotations

from collections.abc import Mapping

from ..findings import Missing
from ..model import Material
from ..reckon.acids import Acid
from ..reckon.allergens import Allergens
from ..reckon.carrying import Carrying
from ..reckon.ceilings import AgainstLimit
from ..reckon.dissolving import Dissolved, Dissolving
from ..reckon.figures import Figures
from ..reckon.heat import Heat
from ..reckon.hlb import Emulsified, HlbPart
from ..reckon.holding import told_of_carrying, told_of_solute, told_of_sum
from ..reckon.incompatible import Clash
from ..reckon.judgements import allergen_judgement, judgement, names_of
from ..reckon.reasons import reasons
from ..reference.allergens import allergens
from ..show import exact
from .soap import soap_json
from .text import percent_json


def judged_json(figures: Figures, materials: Mapping[str, Material]) -> dict[str, object]:
    """Return what was judged, by the contract of `bookgen check --explain CODE --json`."""
    limits = figures.limits
    return {
        "keeping": _keeping(figures, materials),
        "not_judged": None if limits.silent is None else limits.silent.words(),
        "assumed": [assumption.words() for assumption in limits.assumed],
        "limits": [_entry(verdict) for verdict in limits.judged],
        "dangers": [
            {
                "substance": met.substance.name,
                "material": met.material,
                "is": sorted(peril.value for peril in met.substance.perils),
                "percent": None if met.share is None else exact(met.share * 100),
            }
            for met in figures.dangers.met
        ],
        "soap": soap_json(figures.soap),
        "dissolving": _dissolving(figures.dissolving),
        "carrying": _carrying(figures.carrying, materials),
        "heat": _heat(figures.heat),
        "emulsion": _emulsion(figures.emulsified),
        "incompatible": [_clash(clash) for clash in figures.clashes],
        "aromatic_percent": exact(figures.dangers.aromatic * 100),
        "recognised": [
            {
                "substance": item.substance,
                "material": item.material,
                "by": item.name,
                "percent": percent_json(item.high),
            }
            for item in limits.present
        ],
        "allergens": _allergens(figures.allergens),
    }


def _clash(clash: Clash) -> dict[str, object]:
    """Return what does not go together, and how that is known: by a row of the table, or by a material's file."""
    row = clash.row
    return {
        "first": [{"material": party.key, "substance": party.substance or None} for party in clash.firsts],
        "second": [{"material": party.key, "substance": party.substance or None} for party in clash.seconds],
        "reason": clash.because or None if row is None else row.reason,
        "known": None if row is None else row.known,
        "declared": row is None,
        "told_in_intermediate": clash.told_before,
    }


def _emulsion(found: Emulsified | None) -> dict[str, object] | None:
    """Return required and offered HLB with all that they rest on; None where the formula does not ask."""
    if found is None:
        return None
    blend = found.blend
    return {
        "asked": found.asked.value,
        "oils": [_hlb_part(part) for part in found.oils],
        "emulsifiers": [_hlb_part(part) for part in found.emulsifiers],
        "left_out": list(found.left_out),
        "not_judged": [why.words() for why in found.lacking],
        "required": None if found.required is None else exact(found.required),
        "offered": None if found.offered is None else exact(found.offered),
        "suits": None if found.apart is None else found.suits,
        "higher": None if blend is None else blend.high.key,
        "higher_percent_of_two": None if blend is None or blend.share is None else exact(blend.share * 100),
    }


def _hlb_part(part: HlbPart) -> dict[str, object]:
    return {
        "material": part.key,
        "percent": exact(part.share * 100),
        "value": exact(part.value),
        "known": part.known.words(),
    }


def _dissolving(dissolving: Dissolving) -> dict[str, object]:
    """Return how each substance stands to what dissolves of it: grams to 100 g of its solvents, exact."""
    together = dissolving.together
    return {
        "found": [
            {
                "substances": list(solute.names),
                "materials": list(solute.materials),
                "free_acid": solute.acid or None,
                "solvents": [solvent.value for solvent in solute.solvents],
                "outcome": solute.outcome.value,
                "grams_low": None if solute.outcome is Dissolved.UNKNOWN else exact(solute.low),
                "grams_high": None if solute.outcome is Dissolved.UNKNOWN else exact(solute.high),
                "dissolves_low": None if solute.outcome is Dissolved.UNKNOWN else exact(solute.most[0]),
                "dissolves_high": None if solute.outcome is Dissolved.UNKNOWN else exact(solute.most[1]),
                "celsius": None if solute.at_c is None else exact(solute.at_c),
                "from_memory": solute.row is not None and solute.row.from_memory,
                "says": told_of_solute(solute).words(),
            }
            for solute in dissolving.judged
        ],
        "water_wanted": None
        if together is None
        else {
            "substances": [name for solute in together.solutes for name in solute.names],
            "grams_to_100": exact(together.wants),
            "says": told_of_sum(together).words(),
        },
    }


def _carrying(carrying: Carrying, materials: Mapping[str, Material]) -> dict[str, object]:
    """Return what is oily and what is watery, and what carries the one into the other."""
    told = told_of_carrying(carrying, materials)
    return {
        "oily": list(carrying.oily),
        "watery": list(carrying.watery),
        "carriers": list(carrying.carry),
        "held_by": None if carrying.by is None else carrying.by.value,
        "not_carried": list(carrying.apart),
        "not_carried_percent": exact(carrying.share * 100) if carrying.apart else None,
        "says": None if told is None else told.words(),
    }


def _heat(heat: Heat) -> list[dict[str, object]]:
    """Return the lines that stand in a phase of a known temperature, and what each bears."""
    return [
        {
            "line": heated.line.name,
            "celsius": exact(heated.celsius),
            "bears_celsius": exact(heated.bears.celsius),
            "for": heated.bears.of or None,
            "known": heated.bears.known.words(),
            "too_hot": heated.too_hot,
        }
        for heated in heat.lines
    ]


def _allergens(scents: Allergens) -> dict[str, object]:
    """Return the fragrance allergens, and the materials that do not say what they contain: with one, more may be in."""
    return {
        "complete": not scents.silent,
        "do_not_say": list(scents.silent),
        "edition": allergens().document,
        "found": [
            {
                "name": item.row.label,
                "entry": item.row.entry,
                "named": item.named,
                "outcome": item.outcome.value,
                "percent_low": percent_json(item.low),
                "percent_high": percent_json(item.high),
                "above_percent": exact(scents.above * 100),
                "materials": list(item.materials),
                "says": allergen_judgement(item, scents).words(),
            }
            for item in scents.judged
        ],
    }


def _keeping(figures: Figures, materials: Mapping[str, Material]) -> dict[str, object]:
    """Return what keeps it from spoiling: by what, each preservative with exact shares, and the reasons in words."""
    figure = figures.storage
    kind, keeping = figure.preparation, figure.keeping
    word = figure.by_word_of_formula
    return {
        "preparation": None if isinstance(kind, Missing) else kind.value,
        "by": None if keeping.by is None else keeping.by.value,
        "by_word_of_formula": [] if word is None else [item.value for item in word.what],
        "preservatives": [
            {
                "substances": list(item.substances),
                "materials": list(item.materials),
                "percent": percent_json(item.share),
                "counted_as": item.row.acid or None,
                "usual_percent": [exact(share * 100) for share in item.row.usual],
                **_acid(item.acid),
                "taken_up_by": list(item.takers),
                "effect": item.effect.value,
            }
            for item in keeping.judged
        ],
        "water_activity": None
        if keeping.activity is None
        else {
            "estimate": exact(keeping.activity.estimate),
            "or_less": keeping.activity.is_most,
            "from": [row.substance for row in keeping.activity.rows],
            "sources": list(dict.fromkeys(row.source for row in keeping.activity.rows)),
        },
        "by_word_of_book": list(keeping.by_word),
        "acids_by_word_of_book": {key: _acid(acid) for key, acid in keeping.acids.items()},
        "mistaken": list(keeping.mistaken),
        "says": [reason.words() for reason in reasons(figure, figures.formula, materials)],
    }


def _acid(acid: Acid | None) -> dict[str, object]:
    """Return a weak acid: its pKa, whose that is, the undissociated shares at the highest and the lowest pH, and the
    shares of all its forms at the lowest and the highest.
    """
    if acid is None:
        return {"pKa": None, "pKa_by": None, "undissociated_percent": None, "forms_percent": None}
    free = None if acid.free is None else [exact(share * 100) for share in acid.free]
    forms = [[exact(share * 100) for share in shares] for shares in acid.forms]
    return {
        "pKa": [exact(pka) for pka in acid.pkas],
        "pKa_by": "file" if acid.of_file else "table",
        "undissociated_percent": free,
        "forms_percent": forms or None,
    }


def _entry(verdict: AgainstLimit) -> dict[str, object]:
    row, ceiling = verdict.row, verdict.ceiling
    return {
        "entry": row.entry,
        "edition": row.document,
        "substances": list(names_of(verdict.present)),
        "outcome": verdict.outcome.value,
        "counted_as": ceiling.counted_as or None if ceiling is not None else None,
        "percent_low": percent_json(verdict.low),
        "percent_high": percent_json(verdict.high),
        "limit_percent": None if ceiling is None or ceiling.share is None else exact(ceiling.share * 100),
        "says": judgement(verdict).words(),
    }
