"""Worked lines at the bench: weighing, drops, stocks, and how sure they are."""

from __future__ import annotations

from ... import show
from ...findings import Missing
from ...fraction import Fraction
from ...model import Balance, DropperLine, DropperWeighing
from ...reckon import certainty, doubt, droppers, enough, metering, plans, recount
from ...reckon.batchline import Aliquot, Counted
from ...reckon.droppers import drop_mass, stated_range
from ...reckon.measure import half_up, least_weighable
from ...reckon.ways import Instruments, Measure, on_balance
from . import examples
from .records import Worked
from .working import Words, exactly

_FINE = Balance(name="fine balance", readability_g=Fraction(1, 100), capacity_g=Fraction(200))
_COARSE = Balance(name="bench scale", readability_g=Fraction(1), capacity_g=Fraction(2000))
_FIVE = Fraction(5, 100)
_HUNDRED = Fraction(100)


# ── At the bench ──────────────────────────────────────────────────────────────────────────────────────────────────


def weights(words: Words) -> Worked:
    exact, step = Fraction("84.75"), Fraction("0.1")
    return Worked(
        given=f"{words.g(exact)} on a balance of {words.g(step)}",
        sign="gives",
        result=words.g(half_up(exact, step), step),
    )


def balance(words: Words) -> Worked:
    grams = Fraction(350)
    found = on_balance(grams, Instruments(finest=(_FINE, _COARSE), error=_FIVE), Measure.WEIGH)
    held = " and ".join(
        f"{words.g(balance.readability_g)} up to {words.g(balance.capacity_g)}" for balance in (_FINE, _COARSE)
    )
    return Worked(given=f"{words.g(grams)} with balances of {held}", sign="gives", result=f"the {found.with_}")


def printed_total(words: Words) -> Worked:
    evaluation = examples.batch("total").evaluation
    step = evaluation.finest_step
    weighed = " + ".join(words.g(line.printed, step) for line in evaluation.lines)
    return Worked(given=weighed, result=words.g(evaluation.printed_total, step))


def least(words: Words) -> Worked:
    step = _FINE.readability_g
    return Worked(given=f"{words.g(step)} ÷ {words.percent(_FIVE)}", result=words.g(least_weighable(step, _FIVE)))


def measured(words: Words) -> Worked:
    line, each = examples.batch_line("drops", 0), examples.line_of("drops", 0).drop
    if isinstance(each, Missing) or not isinstance(line.metered, Counted):
        raise ValueError("the example's drops are not counted")
    return Worked(
        given=f"{words.g(line.grams)} ÷ {words.g(each.grams)} a drop, which is {words.number(line.drops_exact)},",
        sign="gives",
        result=f"{show.drops(line.metered.drops)}, {show.off(line.metered.off, words.signs)}",
    )


def drop(words: Words) -> Worked:
    first, second = (DropperWeighing(drops=20, grams=Fraction(grams)) for grams in ("0.52", "0.48"))
    each = drop_mass(DropperLine(dropper="pipette", weighings=(first, second)), (_FINE,))
    if isinstance(each, Missing):
        raise ValueError(each.reason)
    weighed = f"({words.g(first.grams)} + {words.g(second.grams)}) ÷ ({first.drops} + {second.drops} drops)"
    weighed += f", each weighing {words.g(_FINE.readability_g)} off at most,"
    return Worked(given=weighed, result=f"{words.g(each.grams)} a drop, from {_range(each.low, each.high, words)}")


def _range(low: Fraction, high: Fraction, words: Words) -> str:
    """Return a range of weights, rounded outward."""
    return f"{words.number(low, side=show.DOWN)} to {words.g(high, side=show.UP)}"


def drop_range(words: Words) -> Worked:
    low, high = stated_range(Fraction("0.03"))
    return Worked(
        given=f"{words.g(Fraction('0.03'))}, one third either way,",
        sign="gives",
        result=_range(low, high, words),
    )


def larger_batch(words: Words) -> Worked:
    line = examples.batch_line("rarely", 0)
    table = examples.figures_of("rarely").scale
    out = enough.way_out(table, metering.evaluate(table, _HUNDRED), 0)
    return Worked(
        given=f"{words.g(line.row.least_g)} ÷ ({words.g(line.figure.grams)} in {words.g(_HUNDRED)})",
        result=f"a batch of {words.g(None if out is None else out.batch)}",
    )


def spread(words: Words) -> Worked:
    weighings = tuple(DropperWeighing(drops=20, grams=Fraction(grams)) for grams in ("0.48", "0.48", "0.54"))
    line = DropperLine(dropper="pipette", weighings=weighings)
    mass, furthest = drop_mass(line), weighings[-1].grams / weighings[-1].drops
    if isinstance(mass, Missing):
        raise ValueError(mass.reason)
    mean = mass.grams
    return Worked(
        given=f"({words.number(furthest)} − {words.number(mean)}) ÷ {words.number(mean)}",
        result=words.percent(droppers.spread(line), side=show.UP),
    )


def recounted(words: Words) -> Worked:
    oil, mass = examples.material("oil"), drop_mass(DropperLine(dropper="pipette", stated_g=Fraction("0.03")))
    if isinstance(mass, Missing):
        raise ValueError(mass.reason)
    found = next(
        counted for counted in recount.recounts(examples.examples(), oil, mass) if counted.formula.code == "counted"
    )
    if found.today is None or found.today.drops is None:
        raise ValueError("the example's drops are not counted again")
    return Worked(
        given=f"{show.drops(found.count)} of {words.g(exactly(found.grams) / found.count)}, which weigh "
        f"{words.g(found.grams)}, with drops of {words.g(mass.grams)} today",
        sign="gives",
        result=show.drops(found.today.drops),
    )


def stock_dilution(words: Words) -> Worked:
    plan = plans.plans((_FINE,), _FIVE)[0]
    stage, wanted = plan.stages[0], Fraction("0.08")
    stock = f"{words.g(stage.weigh_g)} + {words.g(stage.diluent_g)} of diluent is 1 in {stage.factor}"
    return Worked(
        given=f"{stock}; {words.g(wanted)} wanted × {plan.factor}",
        result=f"{words.g(wanted * plan.factor)} of the stock",
    )


def thinned_with(words: Words) -> Worked:
    figures, line = examples.figures_of("thinned"), examples.batch_line("thinned", 0)
    if not isinstance(line.metered, Aliquot):
        raise ValueError("the example's salt is not thinned")
    with_ = figures.amounts.lines[line.metered.diluent].name
    return Worked(
        given=f"{words.g(line.grams)} of a salt that dissolves in water, beside water up to {words.g(_HUNDRED)},",
        sign="gives",
        result=f"a stock in the {with_}, 1 in {line.metered.plan.factor}",
    )


def aliquot(words: Words) -> Worked:
    plan = plans.plans((_FINE,), _FIVE)[0]
    taken = Fraction(1)
    low, high = plans.aliquot_range(taken, plan)

    least, most = (show.significant(end, 3, words.signs, side) for end, side in ((low, show.DOWN), (high, show.UP)))
    return Worked(
        given=f"{words.g(taken, plan.step)} of a stock 1 in {plan.factor}, every weighing {words.g(plan.step)} wrong,",
        sign="gives",
        result=f"{least} to {most} instead of {words.g(taken / plan.factor)}",
    )


def trituration(words: Words) -> Worked:
    steps = plans.doublings(Fraction(1), Fraction(15))
    return Worked(
        given=f"{words.g(Fraction(1))} with {words.g(Fraction(15))} of diluent, portion by portion,",
        sign="gives",
        result=f"{', '.join(words.number(step) for step in steps[:-1])}, {words.g(steps[-1])}",
    )


def amounts_in_text(words: Words) -> Worked:
    weighing = examples.batch("portions")
    whole = weighing.evaluation.lines[0].printed
    half, rest = weighing.links
    return Worked(
        given=f"half of {words.g(whole, half.step)}, then the rest,",
        sign="gives",
        result=f"{words.g(half.grams, half.step)}, then {words.g(rest.grams, rest.step)}",
    )


# ── How sure ──────────────────────────────────────────────────────────────────────────────────────────────────────


def weighing_error(words: Words) -> Worked:
    line = examples.batch_line("total", 1)
    return Worked(
        given=f"{words.g(line.printed, line.step)}, {words.g(line.step)} either way, for {words.g(line.grams)}",
        sign="gives",
        result=f"{words.percent(doubt.measuring_error(line), 2, show.UP)} at the worst",
    )


def interval(words: Words) -> Worked:
    taken = examples.batch("sum").evaluation.lines
    low, high = certainty.percent_intervals(taken)[0]
    exact = words.percent(exactly(taken[0].figure.percent))
    weighed = " and ".join(words.g(line.printed, line.step) for line in taken)
    return Worked(
        given=f"{weighed}, each one step of {words.g(_FINE.readability_g)} off,",
        sign="gives",
        result=f"{words.number(low * 100, side=show.DOWN)} to {words.percent(high, side=show.UP)} for {exact}",
    )


def composition_interval(words: Words) -> Worked:
    line, mass = examples.line_of("counted", 0), examples.line_of("counted", 0).drop
    low, high = examples.batch("counted").composition["oil"]
    if isinstance(mass, Missing):
        raise ValueError(mass.reason)
    least, most, share = (
        show.significant(end * 100, 2, words.signs, side)
        for end, side in ((low, show.DOWN), (high, show.UP), (exactly(line.percent), show.NEAREST))
    )
    return Worked(
        given=f"{words.g(line.grams)} of oil in drops of {_range(mass.low, mass.high, words)}"
        f", beside {words.g(examples.line_of('counted', 1).grams)}",
        sign="gives",
        result=f"{least} to {show.with_unit(most, '%')} for {show.with_unit(share, '%')}",
    )


def smallest_batch(words: Words) -> Worked:
    table = examples.figures_of("sum").scale
    least, line = table.rows[0].least_g, examples.line_of("sum", 0)
    return Worked(
        given=f"{words.g(least)} at least of what is {words.percent(exactly(line.percent))} of the whole",
        sign="gives",
        result=f"a batch of {words.g(enough.smallest_batch(table, Fraction(1)))}",
    )
