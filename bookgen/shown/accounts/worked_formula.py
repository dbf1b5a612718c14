"""Worked lines on what is written, the batch and the finished product.

A worked line calls the function that its paragraph describes, on plain numbers or on the small book of `examples`; no
result is typed.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from ... import show
from ...findings import Missing
from ...fraction import Fraction
from ...model import Period
from ...reckon import acids, activity, dangers, densities, dissolving, hlb, needs, preserving, storage, waters
from ...reckon.flow import evaporated_g
from ...reckon.known import over
from ...reference.dangers import Peril
from ...reference.preservatives import preservatives
from ...reference.soap import POTASH, soap_table
from . import examples
from .records import Worked
from .working import Words, exactly

_FIVE = Fraction(5, 100)
_HUNDRED = Fraction(100)


# ── What is written ───────────────────────────────────────────────────────────────────────────────────────────────


def as_written(words: Words) -> Worked:
    return Worked(
        given="“to 0.5 L” in a book with the decimal comma", sign="gives", result=show.written("to 0.5 L", show.COMMA)
    )


def makes(words: Words) -> Worked:
    figures = examples.figures_of("sum").amounts
    wax, oil = (line.grams for line in figures.lines)
    return Worked(given=f"{words.g(wax)} of wax + {words.g(oil)} of oil", result=words.g(figures.makes.amount))


def percent(words: Words) -> Worked:
    figures = examples.figures_of("sum").amounts
    line = figures.lines[0]
    return Worked(
        given=f"{words.g(line.grams)} ÷ {words.g(figures.makes.amount)}",
        result=f"{words.percent(exactly(line.percent))} {line.percent_of}",
    )


def parts(words: Words) -> Worked:
    figures = examples.figures_of("parts").amounts
    return Worked(
        given=f"({words.g(figures.makes.amount)} − {words.g(figures.lines[0].grams)}) ÷ (3 + 1) parts",
        result=f"{words.g(figures.part_g)} a part",
    )


def fill(words: Words) -> Worked:
    figures = examples.figures_of("fill").amounts
    first, second, filled = (line.grams for line in figures.lines)
    return Worked(
        given=f"{words.g(figures.makes.amount)} − {words.g(first)} − {words.g(second)}", result=words.g(filled)
    )


def cast(words: Words) -> Worked:
    figures = examples.figures_of("cast")
    zinc, base = (line.grams for line in figures.amounts.lines)
    mould = figures.formula.mould.grams if figures.formula.mould else Fraction(0)
    factor = examples.material("zinc").displaces[0].grams
    return Worked(given=f"10 × {words.g(mould)} − {words.number(factor)} × {words.g(zinc)}", result=words.g(base))


def lye(words: Words) -> Worked:
    olive, _, beads = (line.grams for line in examples.figures_of("soap").amounts.lines)
    table, value = soap_table(), examples.material("olive").saponification
    low = value.low if value else Fraction(0)
    masses = f"{words.number(table.alkalis['Sodium hydroxide'], 5)} ÷ {words.number(table.alkalis[POTASH], 5)}"
    left, strong = words.percent(_FIVE), words.percent(Fraction(98, 100))
    fat = f"{words.g(olive)} × {words.number(low)} mg/g × (1 − {left})"
    return Worked(given=f"{fat} × {masses} ÷ {strong}", result=words.g(beads))


def glycerol(words: Words) -> Worked:
    figures = examples.figures_of("soap")
    table, beads, whole = soap_table(), figures.amounts.lines[2].grams, figures.amounts.makes.grams
    after = figures.soap.made.after if figures.soap.made else None
    moles = (
        f"{words.g(beads)} × {words.percent(Fraction(98, 100))} ÷ {words.number(table.alkalis['Sodium hydroxide'], 5)}"
    )
    return Worked(
        given=f"{moles} ÷ 3 × {words.number(table.glycerol, 5)} ÷ {words.g(whole)}",
        result=f"{words.percent(after.glycerol[0] if after else Fraction(0))} of glycerol",
    )


def encapsulated(words: Words) -> Worked:
    figures = examples.figures_of("encapsulated")
    capsule, (drug, filler) = figures.capsule, figures.amounts.lines
    assert capsule is not None
    each = [over(line.grams, Fraction(10)) for line in (drug, filler)]
    density = words.density(Fraction("0.8"), 1)
    return Worked(
        given=f"({words.ml(capsule.size.ml)} − {words.g(each[0])} ÷ {words.density(Fraction('0.5'), 1)}) × {density}",
        result=words.g(each[1]),
    )


def one_piece(words: Words) -> Worked:
    figures = examples.figures_of("cast")
    each = figures.pieces.grams if figures.pieces else Fraction(0)
    return Worked(given=f"{words.g(figures.amounts.makes.grams)} ÷ 10", result=words.g(each))


def one_dose(words: Words) -> Worked:
    figures = examples.figures_of("dosed")
    dose, density = figures.dose, figures.formula.density
    assert dose is not None
    assert density is not None
    share, (held,) = figures.amounts.lines[0].percent, dose.holds
    given = f"{words.ml(dose.ml)} × {words.density(density.number, 2)} × {words.percent(share)}"
    return Worked(given=given, result=words.g(held.grams))


def volume(words: Words) -> Worked:
    line = examples.line_of("volume", 0)
    return Worked(given=f"{words.ml(line.ml)} × {words.density(Fraction('0.92'), 2)}", result=words.g(line.grams))


def one_ml(words: Words) -> Worked:
    grams, ml = Fraction("40.35"), Fraction(50)
    return Worked(
        given=f"{words.ml(ml)} that weigh {words.g(grams)}, where {words.percent(_FIVE)} are accepted,",
        sign="gives",
        result=f"{words.g(densities.misleading_ml(grams, ml, _FIVE))} for 1 mL",
    )


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


def from_supplies(words: Words) -> Worked:
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


def shopping(words: Words) -> Worked:
    asked = [("user", None), ("sum", None)]
    found = needs.needs(examples.examples(), asked, {})
    if isinstance(found, Missing):
        raise ValueError(found.reason)
    wax = next(material for material in found.materials if material.key == "wax")
    terms = [examples.batch_line("user", 1).printed, examples.batch_line("sum", 0).printed]
    inside = found.make_first[0].evaluation
    if inside is None:
        raise ValueError("the example's base is not made")
    terms.insert(0, inside.lines[1].printed)
    return Worked(given=" + ".join(words.g(term) for term in terms) + " of wax", result=f"{words.g(wax.grams)} in all")


def make_first(words: Words) -> Worked:
    first = examples.batch("user").make_first[0]
    return Worked(
        given=f"{words.g(first.obtain_g, first.step)} of a base to obtain ÷ {words.percent(Fraction('0.9'))} yield",
        result=f"{words.g(first.start_g, first.start_step)} to weigh in",
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
        f"{words.percent(share)} × {words.percent(waters.water_in(examples.material(name)))}"
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


def kept(words: Words) -> Worked:
    figure = examples.figures_of("syrup").storage
    if figure.keeping.by is None:
        raise ValueError("nothing keeps the syrup")
    return Worked(given="65 g of sugar and 35 g of water", sign="gives", result=f"kept by {figure.keeping.by.value}")


def unheld(words: Words) -> Worked:
    left = preserving.free_water(Fraction(600), Fraction(500), Fraction(0))
    return Worked(given="600 mL of water with 500 g of sugar: 600 mL − 500 × 450 ÷ 850 mL", result=words.ml(left))


def undissociated(words: Words) -> Worked:
    share = acids.undissociated(Fraction("4.2"), Fraction(5))
    return Worked(given="1 ÷ (1 + 10 to the power of 5 − 4.2)", result=words.percent(share))


def water_activity(words: Words) -> Worked:
    figure = examples.figures_of("thick").storage
    if figure.keeping.activity is None:
        raise ValueError("nothing is dissolved in the example")
    return Worked(
        given=f"34 g of glycerol and 20 g of sugar in {words.g(exactly(figure.water) * 100)} of water, each by itself "
        "with all of it",
        sign="gives",
        result=f"about {show.fixed(figure.keeping.activity.estimate, 2, words.signs)}",
    )


def one_solute(words: Words) -> Worked:
    row = preservatives().activity.solutes["Glycerol"]
    found = activity.activity_over(row, Fraction(3, 10))
    return Worked(
        given=f"30 g of glycerol ({words.number(row.molar_mass)} g/mol, K {words.number(row.k)}) and 70 g of water",
        sign="gives",
        result=show.fixed(found, 4, words.signs),
    )


def caustics(words: Words) -> Worked:
    (burn,) = examples.figures_of("caustic").dangers.burns
    first, second = (line.percent for line in examples.figures_of("caustic").amounts.lines[:2])
    least = words.percent(burn.burns_from)
    return Worked(
        given=f"{words.percent(first)} ÷ {least} of {burn.names[0].casefold()} + {words.percent(second)} ÷ {least} of "
        f"{burn.names[1].casefold()}",
        sign="gives",
        result=f"{words.percent(burn.share)} in all, which burns skin",
    )


def in_the_sun(words: Words) -> Worked:
    danger = examples.figures_of("citrus").dangers
    terms = (
        f"{words.percent(met.share)} ÷ {words.percent(met.substance.most)} of {met.substance.name.casefold()}"
        for met in danger.of(Peril.SUN)
    )
    return Worked(given=" + ".join(terms), result=words.number(dangers.ratio_in_the_sun(danger)))


def hlb_of_two(words: Words) -> Worked:
    offered = hlb.together([(Fraction(9), Fraction(15)), (Fraction(1), Fraction("4.3"))])
    return Worked(
        given=f"9 g of HLB 15 and 1 g of HLB {show.plain(Fraction('4.3'), words.signs)}",
        sign="gives",
        result=f"HLB {show.fixed(offered, show.Fine.HLB, words.signs)}",
    )


def higher_of_two(words: Words) -> Worked:
    low = Fraction("4.3")
    share = hlb.share_of_higher(Fraction(15), low, Fraction(12))
    if share is None:
        raise ValueError("no mixture reaches it")
    shown = show.plain(low, words.signs)
    return Worked(given=f"(12 − {shown}) ÷ (15 − {shown})", result=words.percent(share))


def brine(words: Words) -> Worked:
    (solute,) = examples.figures_of("syrup").dissolving.judged
    return Worked(
        given="65 g of sugar in 35 g of water: 65 ÷ 35 × 100 g",
        sign="gives",
        result=f"{words.g(solute.low)} to 100 g of water, of which {words.g(solute.most[0])} dissolve",
    )


def acidified(words: Words) -> Worked:
    free = dissolving.free_acid(Fraction("0.8475"), Fraction("4.2"), Fraction(4))
    return Worked(
        given="1 g of sodium benzoate, 0.8475 g as benzoic acid, at pH 4: 0.8475 g ÷ (1 + 10 to the power of 4 − 4.2)",
        result=words.g(free),
    )


def rinse(words: Words) -> Worked:
    wanted = dissolving.water_wanted([(Fraction(30), Fraction(100, 16)), (Fraction(20), Fraction(100, 11))])
    return Worked(
        given="30 g of what dissolves 1 in 16 and 20 g of what dissolves 1 in 11: 30 × 16 g + 20 × 11 g",
        result=words.g(wanted),
    )


def afloat(words: Words) -> Worked:
    figure = examples.figures_of("adrift").carrying
    if not figure.apart or not figure.floats:
        raise ValueError("nothing floats")
    return Worked(
        given=f"{words.percent(figure.share)} of oil in water, no emulsifier",
        sign="gives",
        result=f"{figure.apart[0]} floats",
    )


def use_by(words: Words) -> Worked:
    made = date(2026, 3, 1)
    limits = examples.figures_of("watery").storage.limits
    last = storage.use_by(made, limits)
    if isinstance(last, Missing):
        raise ValueError(last.reason)
    periods = " or ".join(show.period(limit.period.days, limit.period.months) for limit in limits)
    return Worked(given=f"made on {show.day(made)}, {periods}", sign="gives", result=show.day(last[0]))


def months(words: Words) -> Worked:
    made, six = date(2026, 8, 31), Period(months=6, text="6 months")
    return Worked(
        given=f"{show.day(made)} + {show.period(six.days, six.months)}", result=show.day(storage.after(made, six))
    )


def three_figures(words: Words) -> Worked:
    share = Fraction(8, 3)
    return Worked(
        given=f"{words.g(share)} ÷ {words.g(_HUNDRED)}",
        result=show.with_unit(show.significant(share, 3, words.signs), "%"),
    )
