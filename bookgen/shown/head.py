"""The head of a batch, and what is made first: the same facts for pages, sheets and terminal.

Enters: a weighing, an intermediate to be made first.  Leaves: facts in the order in which they are read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, word
from ..reckon.capsules import CapsuleFill
from ..reckon.doses import DoseFigure
from ..reckon.figures import Figures
from ..reckon.first import MakeFirst
from ..reckon.pieces import Pieces
from ..reckon.weighing import Weighing
from .figures import batch, count, small_weight, stated_percent, volume, weight
from .phrases import Phrase, joined, phrase
from .records import Fact, First
from .sentences import said
from .shelf import Shelf

_MEANS = {
    noted("To obtain"): noted("what comes out"),
    noted("Weigh in all"): noted("what goes in"),
    noted("Yield"): noted("of what goes in"),
}
"""What the terms of a batch mean, in a few words."""

DOSE_HOLDS = noted("with {what}; no advice on how much to take")
DROPS_HOLD = noted("with {what}, up to a third more or less from another dropper; no advice on how much to take")
"""What is said of one dose, and of one in drops, whose weight differs from dropper to dropper."""

TRY_ONE = noted("fill one and weigh it first")
"""What is said of a volume that rests on how powders settle."""


def batch_facts(weighing: Weighing, signs: show.Signs) -> tuple[Fact, ...]:
    """Return to obtain, weigh in all and the yield, to obtain in the formula's own unit first."""
    figures, evaluation = weighing.figures, weighing.evaluation
    unit, step = figures.scale.unit, evaluation.read_step
    by_unit = {"g": ("obtain.g", weighing.obtain_g, "g"), "mL": ("obtain.ml", weighing.obtain_ml, "mL")}
    order = ("mL", "g") if unit == "mL" else ("g", "mL")
    obtain = tuple(figure for own in order for figure in batch(*by_unit[own], step, signs))
    facts = [Fact(term=word("To obtain"), figures=obtain, text="" if obtain else word("not known"))]
    if figures.pieces is not None and isinstance(number := figures.pieces.whole_in(weighing.obtain_g), int):
        facts.append(Fact(term=word(figures.pieces.form.value).capitalize(), figures=(count("pieces", number),)))
    facts += start_facts(weighing, signs)
    if figures.pieces is not None:
        facts.append(piece_fact(figures.pieces, signs))
    if figures.capsule is not None:
        facts.append(capsule_fact(figures.capsule, signs))
    if figures.dose is not None:
        facts.append(dose_fact(figures.dose, signs))
    if figures.formula.yield_ is not None:
        facts.append(Fact(term=word("Yield"), figures=(stated_percent("batch-yield", figures.formula.yield_, signs),)))
    means = {word(term): word(says) for term, says in _MEANS.items()}
    return tuple(replace(fact, means=means[fact.term]) if fact.term in means else fact for fact in facts)


def start_facts(weighing: Weighing, signs: show.Signs) -> tuple[Fact, ...]:
    """Return what goes in: by weight, or made up to a volume, or why that is not known."""
    figures, evaluation = weighing.figures, weighing.evaluation
    unit, step = figures.scale.unit, evaluation.read_step
    made_up = Fact(term=word("Make up to"), figures=batch("start", evaluation.start, unit, step, signs))
    if isinstance(evaluation.start_g, Fraction):
        figure = weight("start.g", evaluation.start_g, step, signs)
        weighed = Fact(term=word("Weigh in all"), figures=(figure,), note=_less_removed(figures))
        return (made_up, weighed) if unit == "mL" else (weighed,)
    if isinstance(evaluation.start, Fraction):
        why = evaluation.start_g.says.words(signs)
        return (Fact(term=made_up.term, figures=made_up.figures, note=word("weight not known: {why}", why=why)),)
    return (Fact(term=word("Weigh in all"), text=word("not known: {why}", why=evaluation.start.says.words(signs))),)


def piece_fact(pieces: Pieces, signs: show.Signs) -> Fact:
    """Return what one piece weighs, and what it holds of each line but the base, as written."""
    if isinstance(pieces.grams, Missing):
        return Fact(term=word("One {piece}", piece=word(pieces.form.one_piece)), text=word("weight not known"))
    weighs = small_weight("piece", pieces.grams, signs)
    holds = [
        phrase("{much} of {what}", much=small_weight(f"piece-{index}", grams, signs), what=name)
        for index, name, grams in pieces.holds
    ]
    note = phrase("with {what}", what=_apart(holds, [name for _, name, _ in pieces.holds])) if holds else ""
    return Fact(term=word("One {piece}", piece=word(pieces.form.one_piece)), figures=(weighs,), note=note)


def capsule_fact(capsule: CapsuleFill, signs: show.Signs) -> Fact:
    """Return the size of the capsules, what goes into one and what would fill it up."""
    size = capsule.size
    holds = volume("capsule.ml", size.ml, signs)
    if isinstance(capsule.takes_ml, Missing):
        note = phrase("holds {ml}; whether it fits is not known", ml=holds)
    elif capsule.filled_up:
        what, try_one = capsule.filled_up, word(TRY_ONE)
        note = phrase(
            "holds {ml}, filled up with {what} by tapped densities; {try_one}", ml=holds, what=what, try_one=try_one
        )
    else:
        after: str | Phrase = word(TRY_ONE)
        if isinstance(capsule.more_g, Fraction):
            more = small_weight("capsule.more", capsule.more_g, signs, show.DOWN)
            after = phrase("{much} more of {what} would fill it up", much=more, what=capsule.filler)
        takes = volume("capsule.takes", capsule.takes_ml, signs)
        note = phrase("holds {ml}, of which {takes} are taken; {next}", ml=holds, takes=takes, next=after)
    return Fact(term=word("Capsule"), text=word(size.size.value), note=note)


def dose_fact(dose: DoseFigure, signs: show.Signs) -> Fact:
    """Return what one dose holds of each active; once it says that this is all it tells."""
    holds = [
        phrase(
            "at most {much} of {what}" if held.at_most else "{much} of {what}",
            much=small_weight(f"dose-{held.index}", held.grams, signs, show.UP if held.at_most else show.NEAREST),
            what=held.name,
        )
        for held in dose.holds
        if isinstance(held.grams, Fraction)
    ]
    note = phrase(
        DROPS_HOLD if dose.dose.drops else DOSE_HOLDS,
        what=_apart(holds, [held.name for held in dose.holds])
        if len(holds) == len(dose.holds)
        else word("what is not known"),
    )
    return Fact(term=word("One dose"), text=show.written(dose.dose.text, signs), note=note)


def _apart(holds: Sequence[Phrase], names: Sequence[str]) -> Phrase:
    """Return what is held of each, apart by semicolons where a name has a comma of its own."""
    return joined("; " if any(", " in name for name in names) else ", ", holds)


def _less_removed(figures: Figures) -> str:
    """Return what is not in the weight of a whole batch: processing aids; empty where there are none."""
    return "" if all(line.counts for line in figures.amounts.lines) else word("without what is taken out again")


def first_shown(first: MakeFirst, shelf: Shelf) -> First:
    """Return an intermediate with what to obtain of it and what goes in for that."""
    obtain, start = first_facts(first, shelf.signs)
    return First(link=shelf.link(first.key), amounts=(obtain, start) if start.figures else (obtain,))


def first_facts(first: MakeFirst, signs: show.Signs) -> tuple[Fact, Fact]:
    """Return what to obtain of an intermediate, and what goes in for that: by weight, or made up to a volume."""
    name = f"first-{first.key}"
    if isinstance(first.obtain_g, Missing):
        obtain = batch(f"{name}.obtain_ml", first.obtain_ml, "mL", None, signs)
        why = "" if obtain else word("not known: {why}", why=first.obtain_g.says.words(signs))
    else:
        obtain, why = (weight(f"{name}.obtain", first.obtain_g, first.step, signs),), ""
    made = Fact(term=said("obtain"), figures=obtain, text=why)
    if isinstance(first.start_g, Fraction):
        figure = weight(f"{name}.start", first.start_g, first.start_step, signs)
        return made, Fact(term=said("weigh-in"), figures=(figure,))
    volume = batch(f"{name}.start_ml", first.start_ml, "mL", None, signs)
    if volume:
        return made, Fact(term=said("up-to"), figures=volume)
    return made, Fact(term=said("weigh-in"), text=word("not known: {why}", why=first.start_g.says.words(signs)))
