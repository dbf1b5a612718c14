"""Worked lines: one for each paragraph of "How the figures are found", in words and figures.

Each calls the function that its paragraph describes, on plain numbers or on the small book of `examples`; no result is
typed here.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from .. import show
from ..findings import Missing
from ..model import Balance, DropperLine, DropperWeighing, Known, Period
from ..reckon import certainty, plans, storage
from ..reckon.droppers import drop_mass, stated_range
from ..reckon.flow import evaporated_g
from ..reckon.measure import balance_for, half_up, least_weighable
from . import examples
from .accounts import Worked

_FINE = Balance(name="fine balance", readability_g=Fraction(1, 100), capacity_g=Fraction(200))
_COARSE = Balance(name="bench scale", readability_g=Fraction(1), capacity_g=Fraction(2000))
_FIVE = Fraction(5, 100)
_HUNDRED = Fraction(100)


def exactly(value: Known | None) -> Fraction:
    """Return a figure that is known.  Raises ValueError where it is not: an example of ours is then wrong."""
    if value is None or isinstance(value, Missing):
        raise ValueError("an example's figure is not known")
    return value


class Words:
    """Numbers with their units, as the book prints them."""

    def __init__(self, signs: show.Signs) -> None:
        self.signs = signs

    def g(self, grams: Known | None, step: Fraction | None = None) -> str:
        """Grams, with the digits of a balance where one is named."""
        return show.weight(exactly(grams), step, self.signs)

    def ml(self, ml: Known | None) -> str:
        """Millilitres."""
        return show.with_unit(show.plain(exactly(ml), self.signs), "mL")

    def percent(self, share: Known | None, figures: int = 4) -> str:
        """A share as a percentage."""
        return show.with_unit(show.plain(exactly(share) * 100, self.signs, figures), "%")

    def number(self, value: Known | None, figures: int = 4) -> str:
        """A bare number."""
        return show.plain(exactly(value), self.signs, figures)

    def density(self, value: Known | None, places: int = 5) -> str:
        """Grams per millilitre."""
        return show.with_unit(show.fixed(exactly(value), places, self.signs), "g/mL")


# ── What is written ───────────────────────────────────────────────────────────────────────────────────────────────


def as_written(words: Words) -> Worked:
    return Worked(
        given="“to 0.5 L” in a book with the decimal comma", sign="gives", result=show.written("to 0.5 L", show.COMMA)
    )


def makes(words: Words) -> Worked:
    figures = examples.figures_of("sum").amounts
    wax, oil = (one.grams for one in figures.lines)
    return Worked(given=f"{words.g(wax)} of wax + {words.g(oil)} of oil", result=words.g(figures.makes.amount))


def percent(words: Words) -> Worked:
    figures = examples.figures_of("sum").amounts
    one = figures.lines[0]
    return Worked(
        given=f"{words.g(one.grams)} ÷ {words.g(figures.makes.amount)}",
        result=f"{words.percent(exactly(one.percent))} {one.percent_of}",
    )


def parts(words: Words) -> Worked:
    figures = examples.figures_of("parts").amounts
    return Worked(
        given=f"({words.g(figures.makes.amount)} − {words.g(figures.lines[0].grams)}) ÷ (3 + 1) parts",
        result=f"{words.g(figures.part_g)} a part",
    )


def fill(words: Words) -> Worked:
    figures = examples.figures_of("fill").amounts
    first, second, filled = (one.grams for one in figures.lines)
    return Worked(
        given=f"{words.g(figures.makes.amount)} − {words.g(first)} − {words.g(second)}", result=words.g(filled)
    )


def volume(words: Words) -> Worked:
    line = examples.line_of("volume", 0)
    return Worked(given=f"{words.ml(line.ml)} × {words.density(Fraction('0.92'), 2)}", result=words.g(line.grams))


# ── The batch ─────────────────────────────────────────────────────────────────────────────────────────────────────


def weigh_in_all(words: Words) -> Worked:
    batch = examples.batch("yield", "250 g")
    lost = f"{words.g(Fraction(20))} ÷ {words.g(_HUNDRED)}"
    return Worked(
        given=f"{words.g(batch.obtain_g)} ÷ {words.percent(Fraction('0.95'))} ÷ (1 − {lost})",
        result=words.g(batch.evaluation.start_g),
    )


def evaporation(words: Words) -> Worked:
    line = examples.line_of("dries", 0)
    return Worked(
        given=f"{words.percent(Fraction('0.25'))} of {words.g(line.grams)}", result=words.g(evaporated_g(line))
    )


def loss_allowed(words: Words) -> Worked:
    line = examples.line_of("allowed", 0)
    return Worked(
        given=f"{words.g(line.grams)} ÷ (1 − {words.percent(Fraction('0.08'))})", result=words.g(line.weighed)
    )


def from_stock(words: Words) -> Worked:
    batch = examples.batch("user", "40 g of base")
    share = f"{words.g(examples.line_of('user', 0).grams)} ÷ {words.g(_HUNDRED)}"
    return Worked(given=f"{words.g(Fraction(40))} of a base ÷ ({share})", result=words.g(batch.obtain_g))


def containers(words: Words) -> Worked:
    batch = examples.batch("sum", "12 x 30 g + 5 %")
    return Worked(
        given=f"{words.g(batch.obtain_g)} into containers of {words.g(Fraction(30))}",
        sign="gives",
        result=f"{batch.containers_full} full, {words.g(batch.left_over)} left over",
    )


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
    found = balance_for(grams, (_FINE, _COARSE))
    if found is None:
        raise ValueError("none of the example's balances holds so much")
    held = " and ".join(f"{words.g(one.readability_g)} up to {words.g(one.capacity_g)}" for one in (_FINE, _COARSE))
    return Worked(given=f"{words.g(grams)} with balances of {held}", sign="gives", result=f"the {found.name}")


def printed_total(words: Words) -> Worked:
    evaluation = examples.batch("total").evaluation
    step = evaluation.finest_step
    weighed = " + ".join(words.g(one.metered, step) for one in evaluation.lines)
    return Worked(given=weighed, result=words.g(evaluation.printed_total, step))


def least(words: Words) -> Worked:
    step = _FINE.readability_g
    return Worked(given=f"{words.g(step)} ÷ {words.percent(_FIVE)}", result=words.g(least_weighable(step, _FIVE)))


def measured(words: Words) -> Worked:
    line, each = examples.metered("drops", 0), examples.line_of("drops", 0).drop
    if isinstance(each, Missing) or line.drops is None or line.drop_error is None:
        raise ValueError("the example's drops are not counted")
    return Worked(
        given=f"{words.g(line.grams)} ÷ {words.g(each.grams)} a drop, which is {words.number(line.drops_exact)},",
        sign="gives",
        result=f"{show.drops(line.drops)}, {show.off(line.drop_error, words.signs)}",
    )


def drop(words: Words) -> Worked:
    first = DropperWeighing(drops=20, grams=Fraction("0.52"))
    second = DropperWeighing(drops=20, grams=Fraction("0.48"))
    each = drop_mass(DropperLine(dropper="pipette", weighings=(first, second)))
    if isinstance(each, Missing):
        raise ValueError(each.reason)
    weighed = f"({words.g(first.grams)} + {words.g(second.grams)}) ÷ ({first.drops} + {second.drops} drops)"
    return Worked(
        given=weighed, result=f"{words.g(each.grams)} a drop, from {words.number(each.low)} to {words.g(each.high)}"
    )


def drop_range(words: Words) -> Worked:
    low, high = stated_range(Fraction("0.03"))
    return Worked(
        given=f"{words.g(Fraction('0.03'))}, one third either way,",
        sign="gives",
        result=f"{words.number(low)} to {words.g(high)}",
    )


def larger_batch(words: Words) -> Worked:
    row = examples.figures_of("rarely").scale.rows[0]
    return Worked(
        given=f"{words.g(row.least_g)} ÷ ({words.g(examples.line_of('rarely', 0).grams)} in {words.g(_HUNDRED)})",
        result=f"a batch of {words.g(examples.metered('rarely', 0).next_batch)}",
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
    figures, line = examples.figures_of("thinned"), examples.metered("thinned", 0)
    if line.plan is None or line.diluent is None:
        raise ValueError("the example's salt is not thinned")
    with_ = figures.amounts.lines[line.diluent].name
    return Worked(
        given=f"{words.g(line.grams)} of a salt that dissolves in water, beside water up to {words.g(_HUNDRED)},",
        sign="gives",
        result=f"a stock in the {with_}, 1 in {line.plan.factor}",
    )


def aliquot(words: Words) -> Worked:
    plan = plans.plans((_FINE,), _FIVE)[0]
    taken = Fraction(1)
    low, high = plans.aliquot_range(taken, plan)

    def significant(grams: Fraction) -> str:
        return show.significant(grams, 3, words.signs)

    return Worked(
        given=f"{words.g(taken, plan.step)} of a stock 1 in {plan.factor}, every weighing {words.g(plan.step)} wrong,",
        sign="gives",
        result=f"{significant(low)} to {significant(high)} instead of {words.g(taken / plan.factor)}",
    )


def trituration(words: Words) -> Worked:
    steps = plans.doublings(Fraction(1), Fraction(15))
    return Worked(
        given=f"{words.g(Fraction(1))} with {words.g(Fraction(15))} of diluent, portion by portion,",
        sign="gives",
        result=f"{', '.join(words.number(one) for one in steps[:-1])}, {words.g(steps[-1])}",
    )


def amounts_in_text(words: Words) -> Worked:
    weighing = examples.batch("portions")
    whole = weighing.evaluation.lines[0].metered
    half, rest = weighing.links
    return Worked(
        given=f"half of {words.g(whole, half.step)}, then the rest,",
        sign="gives",
        result=f"{words.g(half.grams, half.step)}, then {words.g(rest.grams, rest.step)}",
    )


def make_first(words: Words) -> Worked:
    first = examples.batch("user").make_first[0]
    return Worked(
        given=f"{words.g(first.obtain_g, first.step)} of a base to obtain ÷ {words.percent(Fraction('0.9'))} yield",
        result=f"{words.g(first.start_g, first.start_step)} to weigh in",
    )


# ── How sure ──────────────────────────────────────────────────────────────────────────────────────────────────────


def weighing_error(words: Words) -> Worked:
    line = examples.metered("total", 1)
    return Worked(
        given=f"{words.g(line.step)} ÷ {words.g(line.grams)}",
        result=f"{words.percent(certainty.measuring_error(line), 2)} at the worst",
    )


def interval(words: Words) -> Worked:
    figures, taken = examples.figures_of("sum"), examples.batch("sum").evaluation.lines
    low, high = certainty.percent_intervals(figures.amounts.lines, taken)[0]
    exact = words.percent(exactly(figures.amounts.lines[0].percent))
    weighed = " and ".join(words.g(one.metered, one.step) for one in taken)
    return Worked(
        given=f"{weighed}, each one step of {words.g(_FINE.readability_g)} off,",
        sign="gives",
        result=f"{words.number(low * 100)} to {words.percent(high)} for {exact}",
    )


def smallest_batch(words: Words) -> Worked:
    table = examples.figures_of("sum").scale
    least, line = table.rows[0].least_g, examples.line_of("sum", 0)
    return Worked(
        given=f"{words.g(least)} at least of what is {words.percent(exactly(line.percent))} of the whole",
        sign="gives",
        result=f"a batch of {words.g(certainty.smallest_batch(table))}",
    )


# ── The finished product ──────────────────────────────────────────────────────────────────────────────────────────


def composition(words: Words) -> Worked:
    base, user = (_shares(name) for name in ("base", "user"))
    used = examples.line_of("user", 0).percent
    return Worked(
        given=f"{words.percent(base['oil'])} of oil in the base × {words.percent(used)} of the base",
        result=f"{words.percent(user['oil'])} of oil",
    )


def _shares(stem: str) -> Mapping[str, Fraction]:
    shares = examples.figures_of(stem).composition.shares
    if isinstance(shares, Missing):
        raise ValueError(shares.reason)
    return shares


def free_water(words: Words) -> Worked:
    shares = _shares("watery")
    terms = (
        f"{words.percent(share)} × {words.percent(storage.water_in(examples.material(name)))}"
        for name, share in shares.items()
    )
    return Worked(given=" + ".join(terms), result=words.percent(examples.figures_of("watery").storage.water))


def preparation(words: Words) -> Worked:
    figure = examples.figures_of("watery").storage
    return Worked(
        given=f"{words.percent(figure.water)} of free water, no preservative",
        sign="gives",
        result=f"{figure.preparation}",
    )


def use_by(words: Words) -> Worked:
    made = date(2026, 3, 1)
    limits = examples.figures_of("watery").storage.limits
    last = storage.use_by(made, limits)
    if isinstance(last, Missing):
        raise ValueError(last.reason)
    periods = " or ".join(show.period(one.period) for one in limits)
    return Worked(given=f"made on {show.day(made)}, {periods}", sign="gives", result=show.day(last[0]))


def months(words: Words) -> Worked:
    made, six = date(2026, 8, 31), Period(months=6, text="6 months")
    return Worked(given=f"{show.day(made)} + {show.period(six)}", result=show.day(storage.after(made, six)))


def three_figures(words: Words) -> Worked:
    share = Fraction(8, 3)
    return Worked(
        given=f"{words.g(share)} ÷ {words.g(_HUNDRED)}",
        result=show.with_unit(show.significant(share, 3, words.signs), "%"),
    )
