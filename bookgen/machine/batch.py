"""Weighings and findings for machine readers: JSON and CSV.

Exact values and weights are strings (`84.75`, `8/3`), counts are integers; what is not known is null with its `why`.
The decimal sign is always the point here.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..findings import Finding, Missing
from ..fraction import Fraction
from ..model import Density, Formula, Known, Line
from ..reckon.batchline import Aliquot, BatchLine, Counted, Interval, OnlyCounted, Unshown
from ..reckon.capsules import CapsuleFill
from ..reckon.contents import NO_DENSITY, Carried, by_volume, percent_vol
from ..reckon.doses import DoseFigure
from ..reckon.doubt import is_doubtful, measuring_error
from ..reckon.enough import way_out
from ..reckon.figures import Figures
from ..reckon.known import over
from ..reckon.label import asks_for_content
from ..reckon.metering import Evaluation
from ..reckon.pieces import Pieces
from ..reckon.supplies import SupplyUse
from ..reckon.weighing import MakeFirst, Weighing
from ..show import (
    ABOUT,
    POINT,
    UP,
    Signs,
    drops,
    exact,
    listing,
    metered,
    percent,
    plain,
    volume,
    weight,
)
from ..shown.blended import blend_json
from ..shown.cautions import cautions_of, handled_in_order, hazards_of
from ..shown.plans import stock_word
from ..shown.records import Caution
from ..shown.sentences import said
from ..shown.shelf import Shelf
from ..shown.table import left_out
from ..shown.verdict import OTHERWISE
from ..wording.saying import says
from .known import hundredfold, value, whys
from .label import label_json
from .lots import first_lots, line_lots
from .soap import soap_json
from .text import Json, csv_text

CSV_COLUMNS = (
    "phase", "material", "function", "written", "removed", "percent", "percent_of", "grams", "metered_g", "ml",
    "measure", "with", "drops", "drop_error_percent", "error_percent", "shown",
)  # fmt: skip
"""Columns of `--csv`: the fields of a line of `--json`, less the lists."""

NOT_METERED = Missing(says=says("no-balance-stated"))
"""Why nothing is metered in a workroom without balances; the exact grams stand all the same."""


def written_of(line: Line) -> str:
    """Return the amount as written, tidied."""
    return "" if isinstance(line.amount, Missing) else line.amount.text


def line_shown(line: BatchLine, signs: Signs = POINT, batch: str = "") -> str:
    """Return what the line takes, as it is printed: `4.00 g`, `12 drops`, `0.5 mL`, `to 250 mL`; and how surely."""
    metered, off = line.metered, measuring_error(line) if is_doubtful(line) else None
    coarse = "" if off is None else f", to within {percent(off, signs, 2, UP)}"
    if isinstance(metered, Counted | OnlyCounted):
        return drops(metered.drops) + coarse
    if not isinstance(metered.printed, Missing):
        about = ABOUT if line.figure.is_about else ""
        beside = "" if line.drops_told is None else f", {drops(line.drops_told)}"
        return about + weight(metered.printed, line.step, signs) + _of_what(line, signs) + beside + coarse
    if isinstance(metered, Unshown) and isinstance(line.grams, Fraction):
        return f"{weight(line.grams, None, signs)}, {said('unshown')}"
    if line.ml is not None and not isinstance(line.ml, Missing):
        return volume(line.ml, signs)
    if line.figure.is_fill and batch:
        return f"to {batch}"
    return "not known"


def _of_what(line: BatchLine, signs: Signs) -> str:
    """Return of what a weight is where it is not the material as it is: its stock, or diluted ethanol."""
    if isinstance(line.metered, Aliquot):
        return f" of its {stock_word(line.metered.thinned)} 1 in {line.metered.plan.factor}"
    if line.blended is None:
        return ""
    strong, water = line.blended.strong_g, line.blended.water_g
    return f": {weight(strong, line.step, signs)} and {weight(water, line.step, signs)} of water"


def pieces_json(pieces: Pieces | None, obtain_g: Known) -> Json | None:
    """Return what the pieces of a batch are, how many, and what each weighs and holds; None where none are made."""
    if pieces is None:
        return None
    return {
        "form": pieces.form.value,
        "count": value(over(obtain_g, pieces.grams)),
        "each_g": value(pieces.grams),
        "each_holds": [{"line": index, "name": name, "g": exact(grams)} for index, name, grams in pieces.holds],
    }


def capsule_json(capsule: CapsuleFill | None) -> Json | None:
    """Return what goes into one capsule; None where no size is written."""
    if capsule is None:
        return None
    return {
        "size": capsule.size.size.value,
        "ml": exact(capsule.size.ml),
        "least_ml": exact(capsule.size.least_ml),
        "takes_ml": value(capsule.takes_ml),
        "more_g": value(capsule.more_g),
        "larger": None if capsule.larger is None else capsule.larger.size.value,
    }


def dose_json(dose: DoseFigure | None) -> Json | None:
    """Return what one dose weighs and holds; None where the formula does not say what one is."""
    if dose is None:
        return None
    return {
        "text": dose.dose.text,
        "g": value(dose.grams),
        "low_g": value(dose.low),
        "high_g": value(dose.high),
        "ml": value(dose.ml),
        "holds": [
            {"line": held.index, "name": held.name, "g": value(held.grams), "at_most": held.at_most}
            for held in dose.holds
        ],
    }


def _reasons(weighing: Weighing) -> dict[str, str]:
    """Return why each figure of a batch that is null is not known, by its field; and why it is used up by its day."""
    figures = weighing.figures
    makes, total = figures.amounts.makes, _printed_total(weighing)
    fields: dict[str, Known | None] = {
        "obtain.g": weighing.obtain_g,
        "obtain.ml": weighing.obtain_ml,
        "start_g": weighing.evaluation.start_g,
        "start_ml": _start_ml(weighing),
        "printed_total_g": total,
        "containers.left_g": weighing.left_over,
        "makes.g": makes.grams,
        "makes.ml": makes.ml,
    }
    why = whys(fields)
    left, outside = left_out(weighing), weighing.evaluation.left_out
    if outside and isinstance(left, Fraction) and isinstance(total, Fraction):
        names = listing([line.figure.name for line in outside], OTHERWISE)
        why["printed_total_g"] = f"{said('left-out', left=weight(left, None), names=names)}, {said('unshown')}"
    why["use_by"] = str(weighing.use_by_why)
    shares = figures.composition.shares
    if isinstance(shares, Missing):
        why["composition"] = why["carries"] = shares.reason
    if figures.label.entries == ():
        why["label"] = says("label-of-none").words()
    return why | _reasons_of_contents(figures, weighing.formula.density)


def _reasons_of_contents(figures: Figures, density: Density | None) -> dict[str, str]:
    """Return why it is not known what a batch, a capsule and a dose of it hold."""
    carried = figures.contents.carried
    held = () if isinstance(carried, Missing) else carried
    why = whys({f"carries.{substance.substance}": substance.exactly for substance in held})
    if figures.capsule is not None:
        why |= whys({"capsule.takes_ml": figures.capsule.takes_ml, "capsule.more_g": figures.capsule.more_g})
    if figures.dose is not None:
        why |= whys({"dose.g": figures.dose.grams, "dose.ml": figures.dose.ml})
        why |= whys({f"dose.{part.name}": part.grams for part in figures.dose.holds})
    if held and density is None:
        why["carries.percent_wv"] = NO_DENSITY.reason
    for substance in held:
        why |= whys({"carries.percent_vol": percent_vol(substance, density)})
    return why


def _start_ml(weighing: Weighing) -> Known:
    """Return the volume that the lines are made up to; not known where it is made by weight."""
    if weighing.figures.amounts.makes.unit == "mL":
        return weighing.evaluation.start
    return Missing(says=says("made-by-weight"))


def _printed_total(weighing: Weighing) -> Known:
    """Return what the printed weights come to; not known where no balance is stated."""
    return weighing.evaluation.printed_total if weighing.workroom.balances else NOT_METERED


def weighing_json(weighing: Weighing, shelf: Shelf, findings: Sequence[Finding]) -> Json:
    """Return one batch by the contract of `bookgen weigh --json`."""
    figures, evaluation = weighing.figures, weighing.evaluation
    makes, density = figures.amounts.makes, weighing.formula.density
    shares, carried = figures.composition.shares, figures.contents.carried
    start = evaluation.start  # what the lines are made up to, before the yield takes its part
    batch = "" if isinstance(start, Missing) else volume(start) if makes.unit == "mL" else weight(start, None)
    percents = weighing.certainty.percents
    handled = handled_in_order(figures, shelf)
    return {
        "code": weighing.formula.code,
        "title": weighing.formula.title,
        "issue": weighing.formula.issue,
        "barred": False,
        "obtain": {
            "text": weighing.obtain.text if weighing.obtain else f"{plain(evaluation.obtain)} {makes.unit}",
            "g": value(weighing.obtain_g),
            "ml": value(weighing.obtain_ml),
        },
        "start_g": value(evaluation.start_g),
        "start_ml": value(_start_ml(weighing)),
        "printed_total_g": value(_printed_total(weighing)),
        "use_by": None if isinstance(weighing.use_by, Missing) else weighing.use_by.isoformat(),
        "makes": {
            "text": f"{plain(makes.amount)} {makes.unit}" if isinstance(makes.amount, Fraction) else None,
            "g": value(makes.grams),
            "ml": value(makes.ml),
        },
        "pieces": pieces_json(figures.pieces, weighing.obtain_g),
        "capsule": capsule_json(figures.capsule),
        "dose": dose_json(figures.dose),
        "soap": soap_json(figures.soap),
        "composition": None
        if isinstance(shares, Missing)
        else [{"material": key, "percent": hundredfold(share)} for key, share in shares.items()],
        "carries": None
        if isinstance(carried, Missing)
        else [carried_json(substance, density) for substance in carried],
        "label": label_json(figures),
        "containers": None
        if weighing.containers_full is None
        else {
            "full": weighing.containers_full,
            "left_g": value(weighing.left_over),
            "content_on_label": None
            if weighing.container is None or figures.label.entries == ()
            else asks_for_content(weighing.container),
        },
        "supplies": [supply_json(supply) for supply in weighing.supplies],
        "lines": [
            line_json(weighing, line, percents.get(line.index), batch) | line_lots(weighing, line)
            for line in evaluation.lines
        ],
        "how_sure": sure_json(weighing),
        "make_first": [
            made_json(first, *weighing.titles[first.key]) | first_lots(weighing, first) for first in weighing.make_first
        ],
        "hazards": cautions_json(hazards_of(figures, shelf, handled)),
        "cautions": cautions_json(cautions_of(figures, shelf, handled)),
        "why": _reasons(weighing),
        "findings": findings_json(findings),
    }


def cautions_json(cautions: Sequence[Caution]) -> list[Json]:
    """Return hazards or cautions: the sentence, and what it is said of, empty for the formula itself."""
    return [{"text": caution.text, "of": caution.who} for caution in cautions]


def carried_json(carried: Carried, density: Density | None) -> Json:
    """Return one substance of the finished product: its percentage by weight, both ends of it where a material gives a
    range, and by volume where that is known; of ethanol also its %vol."""
    spirit = percent_vol(carried, density)
    return {
        "substance": carried.substance,
        "percent": hundredfold(carried.exactly),
        "percent_low": hundredfold(carried.share if carried.low is None else carried.low),
        "percent_high": hundredfold(carried.share),
        "percent_wv": hundredfold(by_volume(carried, density)),
        **({} if spirit is None else {"percent_vol": hundredfold(spirit)}),
        "from": list(carried.of),
    }


def line_json(weighing: Weighing, taken: BatchLine, between: Interval | None, batch: str) -> Json:
    """Return one line of a batch; `between` is what its percentage may really be, None where that is not known."""
    figure, least, really = taken.figure, taken.row.least_g, taken.between
    low, high = (really, really) if isinstance(really, Missing) else really
    printed = NOT_METERED if least is None else taken.printed
    why = whys({"percent": figure.percent, "grams": taken.grams, "metered_g": printed, "ml": taken.ml})
    if least is None:
        why["least_g"] = NOT_METERED.reason
    way = way_out(weighing.certainty.table, weighing.evaluation, figure.index)
    if way is not None:
        why["measure"] = f"{plain(way.batch)} {figure_unit(weighing)}: {way.how}"
    unknown = [line.figure.name for line in weighing.evaluation.left_out]
    if between is None and unknown:
        why["percent_low"] = why["percent_high"] = f"how much of {listing(unknown)} really goes in is not known"
    return {
        "phase": figure.phase,
        "material": figure.called,
        "function": figure.line.function,
        "written": written_of(figure.line),
        "removed": figure.line.removed.value if figure.line.removed else None,
        "percent": hundredfold(figure.percent),
        "percent_of": figure.percent_of.value,
        "grams": value(taken.grams),
        "grams_low": value(low),
        "grams_high": value(high),
        "metered_g": None if isinstance(printed, Missing) else metered(printed, taken.step),
        "ml": value(taken.ml),
        "measure": taken.measure.value,
        "with": taken.with_ or None,
        **drops_json(taken),
        "least_g": value(least),
        "error_percent": hundredfold(measuring_error(taken)),
        "percent_low": None if between is None else hundredfold(between[0]),
        "percent_high": None if between is None else hundredfold(between[1]),
        "plan": plan_json(taken, weighing.evaluation),
        "blend": blend_json(taken),
        "shown": line_shown(taken, batch=batch),
        "why": why,
    }


def supply_json(supply: SupplyUse) -> Json:
    """Return a supply that a batch was reckoned from: exact strings in grams, and in mL where it is given so."""
    grams: dict[str, Known | None] = {"have_g": supply.have_g, "used_g": supply.used_g, "left_g": supply.left_g}
    have = supply.supply.quantity
    ml = {"have_ml": have.value, "used_ml": supply.used, "left_ml": supply.left} if have.unit == "mL" else {}
    return {
        "material": supply.supply.material,
        **{name: value(known) for name, known in grams.items()},
        **{name: exact(known) for name, known in ml.items()},
        "limits": supply.limits,
        "stocks_g": exact(supply.stocks_g),
        "why": whys(grams),
    }


def drops_json(line: BatchLine | None) -> Json:
    """Return the drops of a line; null without a line, and where none are counted."""
    counted = None if line is None or not isinstance(line.metered, Counted | OnlyCounted) else line.metered
    return {
        "drops": None if line is None else line.drops_told,
        "drops_exact": None if line is None else value(line.drops_exact),
        "drop_error_percent": None if counted is None else hundredfold(counted.off),
    }


def plan_json(line: BatchLine, evaluation: Evaluation) -> Json | None:
    """Return the stock that a line is diluted or triturated to, and the aliquot of it; null for any other line."""
    taken = line.metered
    if not isinstance(taken, Aliquot):
        return None
    plan, diluent = taken.plan, evaluation.lines[taken.diluent]
    stages = [
        {
            "factor": stage.factor,
            "weigh_g": exact(stage.weigh_g),
            "with": stage.with_,
            "diluent_g": exact(stage.diluent_g),
            "diluent_with": stage.diluent_with,
            "stock_g": exact(stage.stock_g),
        }
        for stage in plan.stages
    ]
    return {
        "factor": plan.factor,
        "weigh_g": stages[0]["weigh_g"],
        "stock_g": stages[-1]["stock_g"],
        "diluent": diluent.written.material,
        "diluent_g": stages[-1]["diluent_g"],
        "aliquot_g": metered(taken.printed, taken.step),
        "stages": stages,
        "brings_g": exact(taken.brings),
        "spared_g": exact(taken.printed - taken.brings),
    }


def sure_json(weighing: Weighing) -> Json:
    """Return how sure a batch is: the lines beyond their accepted error, and the smallest batch that has none.

    The least and the most are given of each material that such a line brings.
    """
    sure = weighing.certainty
    return {
        "doubtful": [line.written.material for line in sure.doubtful],
        "doubtful_first": [{"code": weighing.titles[key][0], "name": name} for key, name in weighing.doubtful_first],
        "composition": [
            {"material": key, "percent_low": hundredfold(low), "percent_high": hundredfold(high)}
            for key, (low, high) in weighing.composition.items()
        ],
        "smallest_batch": value(sure.smallest),
        "unit": figure_unit(weighing),
    }


def figure_unit(weighing: Weighing) -> str:
    """Return the unit that the formula's batch is given in."""
    return weighing.figures.amounts.makes.unit


def made_json(made: MakeFirst, code: str, title: str, **more: list[str]) -> Json:
    """Return one intermediate to be made first; `more` stands before the reasons."""
    fields: dict[str, Known | None] = {
        "needed_g": made.needed_g,
        "obtain_g": made.obtain_g,
        "start_g": made.start_g,
        "start_ml": made.start_ml,
    }
    return {
        "code": code,
        "title": title,
        **{name: value(known) for name, known in fields.items()},
        **more,
        "why": whys(fields),
    }


def refused_json(formula: Formula, obtain: str, reason: str, findings: Sequence[Finding], barred: bool) -> Json:
    """Return the answer for a batch that is refused: the same shape, no lines, the reason; `barred` for a formula."""
    return {
        "code": formula.code,
        "title": formula.title,
        "issue": formula.issue,
        "barred": barred,
        "obtain": {"text": obtain, "g": None, "ml": None},
        "start_g": None,
        "start_ml": None,
        "printed_total_g": None,
        "use_by": None,
        "makes": {"text": None, "g": None, "ml": None},
        "pieces": None,
        "capsule": None,
        "dose": None,
        "soap": None,
        "composition": None,
        "carries": None,
        "label": None,
        "containers": None,
        "supplies": [],
        "lines": [],
        "how_sure": None,
        "make_first": [],
        "hazards": [],
        "cautions": [],
        "why": {"lines": reason},
        "findings": findings_json(findings),
    }


def findings_json(findings: Sequence[Finding]) -> list[Json]:
    """Return findings by the contract of `bookgen check --json`."""
    return [
        {
            "severity": finding.severity.value,
            "rule": finding.rule,
            "path": finding.place.path,
            "line": finding.place.line or None,
            "column": finding.place.column or None,
            "message": finding.message,
        }
        for finding in findings
    ]


def csv_of(answer: Json) -> str:
    """Return the lines of a batch as comma-separated values, as `csv_text` writes them."""
    return csv_text(CSV_COLUMNS, answer["lines"])
