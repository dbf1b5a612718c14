"""The paragraphs of "How the figures are found", in the order of the work.

A paragraph has a heading and an anchor; its text is the docstring of the function that does the reckoning, its worked
line calls that function.  `anchors` says which figures of a formula page belong to it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ... import show
from ...reckon import (
    acids,
    activity,
    allergens,
    amounts,
    blends,
    capsules,
    carrying,
    certainty,
    composition,
    contents,
    cost,
    dangers,
    densities,
    diluents,
    dilution,
    dissolving,
    doses,
    doubt,
    droppers,
    enough,
    ethanol,
    first,
    flow,
    hlb,
    label,
    lastdays,
    links,
    lye,
    made,
    measure,
    metering,
    moulds,
    needs,
    on_shelf,
    percents,
    pieces,
    plans,
    preserving,
    recount,
    soap,
    standing,
    storage,
    strengths,
    substances,
    supplies,
    waters,
    ways,
    weighing,
)
from . import worked_bench, worked_formula, worked_made, worked_strengths
from .records import Worked
from .working import Words


@dataclass(frozen=True, slots=True, kw_only=True)
class ReckonedRule:
    """One function of the reckoning, and a line that shows it at work."""

    function: Callable[..., object]
    """What reckons; its docstring is the text."""
    worked: Callable[[Words], Worked]
    """The line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """How one kind of figure is found."""

    anchor: str
    """Its name in an address."""
    title: str
    """Its heading."""
    rules: tuple[ReckonedRule, ...]
    """Its text and its worked lines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkPart:
    """Paragraphs on one part of the work."""

    title: str
    """Its heading."""
    paragraphs: tuple[Account, ...]
    """In the order of the work."""


def _paragraph(anchor: str, title: str, *rules: ReckonedRule) -> Account:
    return Account(anchor=anchor, title=title, rules=rules)


def _rule(function: Callable[..., object], line: Callable[[Words], Worked]) -> ReckonedRule:
    return ReckonedRule(function=function, worked=line)


PARTS: tuple[WorkPart, ...] = (
    WorkPart(
        title="What is written",
        paragraphs=(
            _paragraph("as-written", "As written", _rule(show.written, worked_formula.as_written)),
            _paragraph("makes", "What a formula makes", _rule(standing.whole_of, worked_formula.makes)),
            _paragraph("percent", "Percent", _rule(amounts.percent_column, worked_formula.percent)),
            _paragraph(
                "three-figures", "Digits of a percentage", _rule(show.significant, worked_formula.three_figures)
            ),
            _paragraph("parts", "Parts", _rule(amounts.part_weight, worked_formula.parts)),
            _paragraph("fill", "The fill", _rule(amounts.fill_weight, worked_formula.fill)),
            _paragraph("moulds", "What a mould takes", _rule(moulds.in_moulds, worked_formula.cast)),
            _paragraph(
                "soap",
                "Lye and soap",
                _rule(lye.lye_line, worked_formula.lye),
                _rule(soap.comes_of, worked_formula.glycerol),
            ),
            _paragraph("capsules", "Capsules", _rule(capsules.capsule_fill, worked_formula.encapsulated)),
            _paragraph("one-piece", "One piece", _rule(pieces.pieces_of, worked_formula.one_piece)),
            _paragraph("one-dose", "One dose", _rule(doses.dose_of, worked_formula.one_dose)),
            _paragraph(
                "volume",
                "Grams and millilitres",
                _rule(standing.weight_of, worked_formula.volume),
                _rule(densities.misleading_ml, worked_formula.one_ml),
            ),
        ),
    ),
    WorkPart(
        title="The batch",
        paragraphs=(
            _paragraph(
                "weigh-in-all", "To obtain, yield and weigh in all", _rule(flow.flow, worked_formula.weigh_in_all)
            ),
            _paragraph(
                "evaporation",
                "What evaporates",
                _rule(flow.evaporated_g, worked_formula.evaporation),
                _rule(amounts.to_weigh, worked_formula.loss_allowed),
            ),
            _paragraph(
                "from-supplies",
                "A batch from what is there",
                _rule(supplies.batch_from_supplies, worked_formula.from_supplies),
            ),
            _paragraph("containers", "Full containers", _rule(weighing.containers, worked_formula.containers)),
            _paragraph("make-first", "What is made first", _rule(first.make_first, worked_formula.make_first)),
            _paragraph("needs", "What several batches take", _rule(needs.needs, worked_formula.shopping)),
        ),
    ),
    WorkPart(
        title="At the balance",
        paragraphs=(
            _paragraph(
                "weights",
                "Printed weights",
                _rule(measure.half_up, worked_bench.weights),
                _rule(ways.on_balance, worked_bench.balance),
            ),
            _paragraph("printed-total", "The printed total", _rule(metering.evaluate, worked_bench.printed_total)),
            _paragraph(
                "amounts-in-text", "Amounts in the text", _rule(links.link_amounts, worked_bench.amounts_in_text)
            ),
            _paragraph("least", "Least weighable quantity", _rule(measure.least_weighable, worked_bench.least)),
            _paragraph("measured", "Weighed or counted", _rule(ways.choose, worked_bench.measured)),
            _paragraph(
                "drop",
                "What a drop weighs",
                _rule(droppers.drop_mass, worked_bench.drop),
                _rule(droppers.stated_range, worked_bench.drop_range),
                _rule(droppers.spread, worked_bench.spread),
            ),
            _paragraph("recount", "Another dropper today", _rule(recount.recounts, worked_bench.recounted)),
            _paragraph("larger-batch", "A larger batch", _rule(enough.way_out, worked_bench.larger_batch)),
            _paragraph(
                "thinned",
                "Stock dilution, trituration and aliquot",
                _rule(plans.plans, worked_bench.stock_dilution),
                _rule(plans.doublings, worked_bench.trituration),
            ),
            _paragraph(
                "thinned-with", "What a stock is thinned with", _rule(diluents.diluents, worked_bench.thinned_with)
            ),
        ),
    ),
    WorkPart(
        title="How sure the figures are",
        paragraphs=(
            _paragraph("off", "Error of measuring", _rule(doubt.measuring_error, worked_bench.weighing_error)),
            _paragraph("aliquot-off", "Error of an aliquot", _rule(plans.aliquot_range, worked_bench.aliquot)),
            _paragraph(
                "interval", "Least and most of a percentage", _rule(certainty.percent_intervals, worked_bench.interval)
            ),
            _paragraph("verdict", "The smallest batch", _rule(enough.smallest_batch, worked_bench.smallest_batch)),
        ),
    ),
    WorkPart(
        title="Strengths",
        paragraphs=(
            _paragraph(
                "substance",
                "Percent as a substance",
                _rule(standing.carrying, worked_strengths.substance),
                _rule(strengths.strength, worked_strengths.strength),
            ),
            _paragraph("assay", "Assay and loss on drying", _rule(strengths.content, worked_strengths.content)),
            _paragraph("contents", "What a product carries", _rule(contents.contents, worked_strengths.contents)),
            _paragraph("forms", "Hydrates and salts", _rule(substances.factor, worked_strengths.forms)),
            _paragraph("one-in", "One in so many", _rule(percents.whole_of_one, worked_strengths.one_in)),
            _paragraph(
                "ppm", "Parts per million", _rule(percents.parts_per_million, worked_strengths.parts_per_million)
            ),
            _paragraph(
                "by-volume",
                "By weight and by volume",
                _rule(percents.by_volume_of_solution, worked_strengths.weight_in_volume),
                _rule(percents.by_weight_of_solution, worked_strengths.volume_in_weight),
                _rule(percents.by_weight_of_liquids, worked_strengths.liquids),
            ),
        ),
    ),
    WorkPart(
        title="On a label",
        paragraphs=(
            _paragraph(
                "allergens", "Fragrance allergens", _rule(allergens.allergens_of, worked_strengths.named_allergen)
            ),
            _paragraph("label", "The list of ingredients", _rule(label.label_list, worked_strengths.label)),
        ),
    ),
    WorkPart(
        title="Diluting and mixing",
        paragraphs=(
            _paragraph("dilution", "Diluting", _rule(dilution.strong_part, worked_strengths.diluting)),
            _paragraph(
                "alligation",
                "Two strengths to a third",
                _rule(dilution.alligate, worked_strengths.alligation),
                _rule(dilution.alternate, worked_strengths.several),
            ),
            _paragraph("medial", "The strength of a mixture", _rule(dilution.medial, worked_strengths.mixing)),
            _paragraph(
                "to-add", "Bringing what is there to a strength", _rule(dilution.to_add, worked_strengths.adding)
            ),
        ),
    ),
    WorkPart(
        title="Density, alcohol and water",
        paragraphs=(
            _paragraph("water-density", "Density of water", _rule(densities.water, worked_strengths.water_density)),
            _paragraph(
                "specific-gravity",
                "Specific gravity",
                _rule(densities.from_specific_gravity, worked_strengths.specific_gravity),
            ),
            _paragraph(
                "spirit", "Density of alcohol and water", _rule(ethanol.density, worked_strengths.spirit_density)
            ),
            _paragraph(
                "spirit-strength",
                "Alcohol by volume and by mass",
                _rule(ethanol.volume_share, worked_strengths.spirit_by_volume),
                _rule(ethanol.mass_share, worked_strengths.spirit_by_mass),
            ),
            _paragraph(
                "spirit-wanted", "Alcohol of a wanted strength", _rule(blends.blend_of, worked_strengths.wanted_spirit)
            ),
            _paragraph("contraction", "Contraction", _rule(ethanol.contraction_ml, worked_strengths.contraction)),
        ),
    ),
    WorkPart(
        title="The finished product",
        paragraphs=(
            _paragraph(
                "composition",
                "Composition",
                _rule(composition.composition, worked_formula.composition),
                _rule(certainty.composition_intervals, worked_bench.composition_interval),
            ),
            _paragraph("free-water", "Free water and alcohol", _rule(waters.water_in, worked_formula.free_water)),
            _paragraph("preparation", "Kind of preparation", _rule(storage.storage, worked_formula.preparation)),
            _paragraph(
                "keeping",
                "What keeps it from spoiling",
                _rule(preserving.keeping, worked_formula.kept),
                _rule(preserving.free_water, worked_formula.unheld),
                _rule(acids.undissociated, worked_formula.undissociated),
            ),
            _paragraph(
                "water-activity",
                "Water activity",
                _rule(activity.water_activity, worked_formula.water_activity),
                _rule(activity.activity_over, worked_formula.one_solute),
            ),
            _paragraph(
                "dangers",
                "Dangers",
                _rule(dangers.dangers_of, worked_formula.caustics),
                _rule(dangers.ratio_in_the_sun, worked_formula.in_the_sun),
            ),
            _paragraph(
                "hlb",
                "HLB of an emulsion",
                _rule(hlb.together, worked_formula.hlb_of_two),
                _rule(hlb.share_of_higher, worked_formula.higher_of_two),
            ),
            _paragraph(
                "dissolving",
                "Whether all of it dissolves",
                _rule(dissolving.dissolving_of, worked_formula.brine),
                _rule(dissolving.free_acid, worked_formula.acidified),
                _rule(dissolving.water_wanted, worked_formula.rinse),
            ),
            _paragraph(
                "carrying",
                "Whether oil and water hold together",
                _rule(carrying.carrying_of, worked_formula.afloat),
            ),
            _paragraph(
                "use-by",
                "Use by",
                _rule(storage.use_by, worked_formula.use_by),
                _rule(storage.after, worked_formula.months),
            ),
        ),
    ),
    WorkPart(
        title="What was made",
        paragraphs=(
            _paragraph("achieved", "Planned and weighed", _rule(made.lines_of, worked_made.achieved)),
            _paragraph("came-out", "What came out", _rule(made.yielded, worked_made.came_out)),
            _paragraph("last-day", "The last day of use", _rule(lastdays.last_days_of, worked_made.good_for)),
            _paragraph("left", "What is left of a lot", _rule(on_shelf.left_on, worked_made.left)),
            _paragraph("cost", "What it cost", _rule(cost.cash_for, worked_made.paid)),
        ),
    ),
)


def paragraphs() -> Iterator[Account]:
    """Yield every paragraph, in order."""
    for part in PARTS:
        yield from part.paragraphs
