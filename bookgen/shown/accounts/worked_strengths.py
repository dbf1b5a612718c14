"""Worked lines on strengths, mixtures, densities and alcohol."""

from __future__ import annotations

from ...findings import NOWHERE, Missing
from ...fraction import Fraction
from ...reckon import densities, dilution, ethanol, percents, strengths, substances
from ...reckon.blends import Blend
from ...reckon.measure import half_up
from . import examples
from .records import Worked
from .working import Words, exactly

_HUNDRED = Fraction(100)


# ── Strengths ─────────────────────────────────────────────────────────────────────────────────────────────────────


def substance(words: Words) -> Worked:
    return Worked(
        given=f"{words.g(Fraction('0.4'))} of lactic acid ÷ {words.percent(Fraction('0.8'))} in the raw material",
        result=words.g(examples.line_of("as", 0).grams),
    )


def strength(words: Words) -> Worked:
    share = examples.line_of("base-of-lactic", 0).percent
    total = strengths.strength(
        "base-of-lactic",
        "lactic acid",
        examples.examples().book,
        {"base-of-lactic": examples.figures_of("base-of-lactic").composition},
        NOWHERE,
    )
    return Worked(
        given=f"{words.percent(exactly(share))} of a raw material × {words.percent(Fraction('0.8'))} in that",
        result=f"{words.percent(total)} in an intermediate made with it",
    )


def contents(words: Words) -> Worked:
    figures = examples.figures_of("carries")
    carried = figures.contents.carried
    if isinstance(carried, Missing):
        raise ValueError(carried.reason)
    shares = [words.percent(exactly(line.percent)) for line in figures.amounts.lines[:2]]
    return Worked(
        given=f"{shares[0]} of glycerol {words.percent(Fraction('0.85'))}, "
        f"{shares[1]} of lactic acid {words.percent(Fraction('0.8'))}",
        sign="gives",
        result=", ".join(f"{words.percent(substance.share)} of {substance.substance}" for substance in carried),
    )


def named_allergen(words: Words) -> Worked:
    figures = examples.figures_of("labelled")
    scents = figures.allergens
    (item,) = scents.judged
    entry = examples.material("scent").contains[0]
    least, most = strengths.content_between(examples.material("scent"), entry)
    share = words.percent(exactly(figures.amounts.lines[0].percent))
    above = words.percent(scents.above)
    return Worked(
        given=f"{share} of a scent with {words.percent(exactly(least))} to {words.percent(exactly(most))} of "
        f"{entry.substance}, left on",
        sign="gives",
        result=f"up to {words.percent(exactly(item.high))} of {item.row.label}, "
        f"{'named' if item.named else 'not named'} above {above}",
    )


def label(words: Words) -> Worked:
    figures = examples.figures_of("labelled")
    if isinstance(figures.label.entries, Missing):
        raise ValueError(figures.label.entries.reason)
    parts = [f"{words.percent(exactly(line.percent))} of {line.name}" for line in figures.amounts.lines]
    return Worked(given=", ".join(parts), sign="gives", result=", ".join(entry.name for entry in figures.label.entries))


def content(words: Words) -> Worked:
    dried = examples.material("dried")
    return Worked(
        given=f"{words.percent(Fraction('0.984'))} of the dried × (1 − {words.percent(Fraction('0.065'))})",
        result=words.percent(exactly(strengths.content(dried, dried.contains[0])), 5),
    )


def one_in(words: Words) -> Worked:
    share = Fraction("0.0005")
    return Worked(given=words.percent(share), result=f"1 in {words.number(percents.whole_of_one(share))}")


def parts_per_million(words: Words) -> Worked:
    share = Fraction("0.0005")
    return Worked(given=words.percent(share), result=f"{words.number(percents.parts_per_million(share))} ppm")


def weight_in_volume(words: Words) -> Worked:
    share, density = Fraction("0.1"), Fraction("1.0707")
    return Worked(
        given=f"{words.percent(share)} w/w × {words.density(density, 4)}",
        result=f"{words.percent(percents.by_volume_of_solution(share, density), 5)} w/v",
    )


def volume_in_weight(words: Words) -> Worked:
    share, density = Fraction("0.006"), Fraction("1.2")
    return Worked(
        given=f"{words.percent(share)} w/v ÷ {words.density(density, 1)}",
        result=f"{words.percent(percents.by_weight_of_solution(share, density))} w/w",
    )


def liquids(words: Words) -> Worked:
    share, liquid, mixture = Fraction("0.5"), Fraction("0.8"), Fraction("0.9")
    return Worked(
        given=f"{words.percent(share)} v/v × {words.density(liquid, 1)} ÷ {words.density(mixture, 1)}",
        result=f"{words.percent(percents.by_weight_of_liquids(share, liquid, mixture))} w/w",
    )


def forms(words: Words) -> Worked:
    turned = substances.turned("citric acid monohydrate", "citric acid")
    if turned is None:
        raise ValueError("citric acid is not in the table of forms")
    masses = f"{words.number(turned.want.molar_mass, 6)} ÷ {words.number(turned.have.molar_mass, 6)} g/mol"
    carried = substances.factor(turned.have.name, turned.want.name)
    return Worked(given=masses, result=f"{words.g(carried)} of {turned.want.name} in 1 g of its monohydrate")


# ── Diluting and mixing ───────────────────────────────────────────────────────────────────────────────────────────


def diluting(words: Words) -> Worked:
    whole, have, want = Fraction(30), Fraction("0.4"), Fraction("0.1")
    part = dilution.strong_part(have, want)
    return Worked(
        given=f"{words.g(whole)} of {words.percent(want)} from {words.percent(have)}: "
        f"{words.number(whole)} × {words.number(want * 100)} ÷ {words.number(have * 100)}",
        result=words.g(exactly(part) * whole),
    )


def alligation(words: Words) -> Worked:
    strong, weak, want = Fraction("0.025"), Fraction("0.0025"), Fraction("0.01")
    shares = dilution.alligate(strong, weak, want)
    if isinstance(shares, Missing):
        raise ValueError(shares.reason)
    return Worked(
        given=f"{words.percent(strong)} and {words.percent(weak)} to {words.percent(want)}, for {words.g(_HUNDRED)},",
        sign="gives",
        result=" and ".join(words.g(share * 100) for share in shares),
    )


def several(words: Words) -> Worked:
    three, want = (Fraction("0.5"), Fraction("0.2"), Fraction("0.05")), Fraction("0.1")
    shares = dilution.alternate(three, want)
    if isinstance(shares, Missing):
        raise ValueError(shares.reason)
    have = ", ".join(words.percent(share) for share in three)
    return Worked(
        given=f"{have} to {words.percent(want)}, for {words.g(Fraction(120))},",
        sign="gives",
        result=", ".join(words.g(share * 120) for share in shares),
    )


def mixing(words: Words) -> Worked:
    mixed = ((Fraction(500), Fraction("0.4")), (Fraction(100), Fraction("0.9")), (Fraction(400), Fraction(0)))
    given = " + ".join(f"{words.g(amount)} of {words.percent(share)}" for amount, share in mixed)
    return Worked(given=given, result=words.percent(dilution.medial(mixed)))


def adding(words: Words) -> Worked:
    have, added, want = (Fraction(240), Fraction("0.0025")), Fraction("0.025"), Fraction("0.01")
    more = dilution.to_add([have], added, want)
    given = f"{words.g(have[0])} of {words.percent(have[1])} with {words.percent(added)} to {words.percent(want)}"
    return Worked(given=given, sign="gives", result=f"{words.g(more)} to add")


# ── Densities and spirit ──────────────────────────────────────────────────────────────────────────────────────────

_SPIRIT = Fraction("0.96")


def water_density(words: Words) -> Worked:
    return Worked(given="water at 20 °C", result=words.density(densities.water(Fraction(20)), 6))


def specific_gravity(words: Words) -> Worked:
    relative, at = Fraction("1.036"), Fraction(25)
    water = words.density(densities.water(at), 6)
    return Worked(
        given=f"specific gravity {words.number(relative)} at 25/25 °C × {water}",
        result=words.density(densities.from_specific_gravity(relative, at), 4),
    )


def spirit_density(words: Words) -> Worked:
    share = Fraction("0.5")
    return Worked(given=f"{words.percent(share)} by mass at 20 °C", result=words.density(ethanol.density(share)))


def spirit_by_volume(words: Words) -> Worked:
    share = Fraction("0.5")
    mixture, pure = ethanol.density(share), ethanol.density(Fraction(1))
    return Worked(
        given=f"{words.percent(share)} by mass × {words.number(mixture, 5)} ÷ {words.density(pure)}",
        result=f"{words.percent(ethanol.volume_share(share))} vol",
    )


def spirit_by_mass(words: Words) -> Worked:
    return Worked(
        given=f"{words.percent(_SPIRIT)} vol at 20 °C", result=f"{words.percent(ethanol.mass_share(_SPIRIT))} by mass"
    )


def wanted_spirit(words: Words) -> Worked:
    line, taken = examples.line_of("spirited", 0), examples.batch_line("spirited", 0).blended
    blend = line.blend
    if not isinstance(blend, Blend) or taken is None:
        raise ValueError("the example's spirit is not diluted")
    want, have = words.percent(blend.want), words.percent(blend.have)
    grams, strong = words.g(line.grams), words.percent(blend.have_volume)
    return Worked(
        given=f"{grams} of {words.percent(blend.want_volume)} vol: {grams} × {want} ÷ {have}",
        result=f"{words.g(taken.strong_g)} of {strong} vol and {words.g(taken.water_g)} of water",
    )


def contraction(words: Words) -> Worked:
    strong, water = Fraction("80.742"), Fraction("40.706")
    share = ethanol.mass_share(_SPIRIT)
    before = words.ml(half_up(ethanol.volume_ml(strong, share), Fraction(1, 100)))
    thinner = words.ml(half_up(ethanol.volume_ml(water, Fraction(0)), Fraction(1, 100)))
    lost = half_up(ethanol.contraction_ml(strong, share, water), Fraction(1, 100))
    return Worked(
        given=f"{before} of {words.percent(_SPIRIT)} vol + {thinner} of water at 20 °C",
        result=f"{words.ml(lost)} less than their sum",
    )
