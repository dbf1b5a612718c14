"""Dilution plans followed on paper, with every weighing wrong in every direction, blind to how the code bounds them.

Source: own arithmetic on the aliquot method (T04-08 to T04-10) and the least weighable quantity (T04-01).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import product
from math import prod
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.model import Balance
from bookgen.reckon.corners import weight_pieces
from bookgen.reckon.droppers import DropMass
from bookgen.reckon.measure import half_up
from bookgen.reckon.plans import FACTORS, LARGEST_STOCK, Plan, aliquot_range, doublings, plans, room_for
from bookgen.reckon.ways import Instruments, Measure, Thinning, choose

from ..books_of_text import formula, weigh, write_book

GRID = ("1", "0.1", "0.01", "0.001")
HOLDS = {"1": 5000, "0.1": 2000, "0.01": 500, "0.001": 60}
ERRORS = ("0.05", "0.01", "0.1")


def bench(*steps: str) -> tuple[Balance, ...]:
    return tuple(
        Balance(name=f"{step} g", readability_g=Fraction(step), capacity_g=Fraction(HOLDS[step]))
        for step in sorted(steps, key=Fraction)
    )


@cache
def amounts(step: str, error: Fraction) -> list[Fraction]:
    """Eight hundred amounts over five powers of ten below what the balance weighs, none of them round."""
    found, grams = [], Fraction(step) / error
    for _ in range(800):
        found.append(grams)
        grams = Fraction(round(grams * 986 * 10**9), 1000 * 10**9)
    return found


@cache
def step_of(name: str) -> Fraction:
    return Fraction(name.removesuffix(" g"))


@cache
def shares(plan: Plan) -> tuple[Fraction, Fraction]:
    """Least and most that the last stock holds, over every way in which each weighing is a step wrong or right.

    Portions of a powder are all weighed on one balance, so how many of them are too heavy is all that counts.
    """
    each = []
    for stage in plan.stages:
        step, diluent_step, stands = step_of(stage.with_), step_of(stage.diluent_with), sum(stage.portions)
        weights = [stage.weigh_g + sign * step for sign in (-1, 0, 1)]
        diluents = [stands + sign * diluent_step for sign in range(-len(stage.portions), len(stage.portions) + 1)]
        each.append({weight / (weight + diluent) for weight in weights for diluent in diluents})
    found = [prod(held) for held in product(*each)]
    return min(found), max(found)


def followed(plan: Plan, aliquot: Fraction) -> tuple[Fraction, Fraction]:
    """Least and most that the aliquot brings when it, too, is a step wrong."""
    found = [(aliquot + sign * plan.step) * share for sign in (-1, 0, 1) for share in shares(plan)]
    return min(found), max(found)


def can_be_set(grams: Fraction, name: str, error: Fraction) -> bool:
    step = step_of(name)
    return grams % step == 0 and step / error <= grams <= HOLDS[str(name.removesuffix(" g"))]


@pytest.mark.parametrize("measure", [Measure.DILUTE, Measure.TRITURATE])
@pytest.mark.parametrize("error", ERRORS)
@pytest.mark.parametrize("steps", [*((one,) for one in GRID), ("1", "0.01"), ("0.1", "0.001")], ids=" and ".join)
def test_a_plan_followed_on_paper_gives_the_amount_within_the_accepted_error(
    steps: tuple[str, ...], error: str, measure: Measure
):
    finest, accepted, powders = bench(*steps), Fraction(error), measure is Measure.TRITURATE
    planned = 0
    allowed = plans(finest, accepted, powders=powders)
    whole = Thinning(measure=measure, factors=tuple(plan.factor for plan in allowed))
    for grams in amounts(min(steps, key=Fraction), accepted):
        piece = choose(grams, Instruments(finest=finest, error=accepted), None, False, whole)
        if piece.plan is None:
            continue
        planned += 1
        plan = piece.plan
        aliquot = half_up(grams * plan.factor, plan.step)
        low, high = followed(plan, aliquot)
        assert grams * (1 - accepted) <= low <= high <= grams * (1 + accepted), (grams, plan)
        assert aliquot_range(aliquot, plan) == (low, high)
        assert can_be_set(aliquot, plan.with_, accepted)
        assert aliquot <= plan.stages[-1].stock_g
        for number, stage in enumerate(plan.stages):
            assert can_be_set(stage.weigh_g, stage.with_, accepted)
            assert can_be_set(stage.diluent_g, stage.diluent_with, accepted)
            assert all(one % step_of(stage.diluent_with) == 0 for one in stage.portions)
            assert stage.portions == (doublings(stage.weigh_g, stage.diluent_g) if powders else (stage.diluent_g,))
            assert stage.stock_g == stage.weigh_g * stage.factor <= LARGEST_STOCK
            assert not number or stage.weigh_g <= plan.stages[number - 1].stock_g
    # the others are weighed, or need more than 1 in 10 000 or more than 100 g of a stock
    useful = any(plan.least_g < Fraction(min(steps, key=Fraction)) / accepted for plan in allowed)
    assert planned >= (130 if len(allowed) == len(FACTORS) else useful)
    assert useful or 10 * Fraction(min(steps, key=Fraction)) >= accepted


def test_every_factor_is_used_by_some_balance():
    used = {plan.factor for step in GRID for plan in plans(bench(step), Fraction("0.05"))}
    assert used == {5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000}
    assert [len(one) for one in FACTORS] == [1] * 5 + [2] * 6
    # own arithmetic: at 0.01 g and 5 %, half a gram in 2.5 g, of which 0.51 g or more can be weighed well enough
    mildest = plans(bench("0.01"), Fraction("0.05"))[0]
    assert (mildest.stages[0].weigh_g, mildest.stages[0].diluent_g) == (Fraction("0.5"), Fraction(2))
    assert (mildest.least_g, mildest.most_g) == (Fraction("0.102"), Fraction("0.5"))


def test_weights_are_1_2_and_5_times_powers_of_ten():
    """The first that is no less than (stages + 1) steps ÷ error: 60 steps in two stages, of 0.01 g at 5 % and so on."""
    grams = {
        (error, plan.factor): plan.stages[0].weigh_g
        for error in ("0.1", "0.05", "0.01", "0.004")
        for plan in plans(bench("0.01"), Fraction(error))
        if plan.factor in (5, 200)
    }
    assert {key: str(value * 100) for key, value in grams.items()} == {
        ("0.1", 5): "20", ("0.1", 200): "50",
        ("0.05", 5): "50", ("0.05", 200): "100",
        ("0.01", 5): "200", ("0.01", 200): "500",
        ("0.004", 5): "500",  # 10 g in two stages would make 200 g of the second
    }  # fmt: skip


def test_the_mildest_factor_that_serves_is_taken():
    finest = bench("0.01")
    whole = Thinning(measure=Measure.DILUTE, factors=(5, 10, 20, 50, 100))
    for grams, factor in (("0.15", 5), ("0.102", 5), ("0.1", 10), ("0.03", 20), ("0.02", 50), ("0.0051", 100)):
        piece = choose(Fraction(grams), Instruments(finest=finest, error=Fraction("0.05")), None, False, whole)
        assert piece.plan is not None
        assert piece.plan.factor == factor, grams


@given(st.sampled_from(GRID), st.sampled_from(ERRORS), st.lists(st.sampled_from([5, 10, 20, 50, 100, 200, 1000])))
@settings(max_examples=60, deadline=None)
def test_pieces_say_what_the_rule_says_with_plans(step: str, error: str, factors: list[int]) -> None:
    where = Instruments(finest=bench(step), error=Fraction(error))
    thinning = Thinning(measure=Measure.TRITURATE, factors=tuple(factors))
    pieces = weight_pieces(where, None, False, thinning)
    corners = {end for piece in pieces for end in (piece.from_, piece.to) if end}
    for weight in corners | {corner * Fraction(10**9 + side, 10**9) for corner in corners for side in (-1, 1)}:
        matching = next(p for p in pieces if p.from_ <= weight and (p.to is None or weight <= p.to))
        assert replace(matching, from_=Fraction(0), to=None) == choose(weight, where, None, False, thinning), weight


def drop(low: str, mean: str, high: str) -> DropMass:
    return DropMass(dropper="pipette", grams=Fraction(mean), low=Fraction(low), high=Fraction(high))


def ways_at(weights: Iterable[Fraction], where: Instruments, one: DropMass | None) -> list[Measure]:
    """Return the way at each weight, which the table of pieces and the rule must agree on."""
    whole = Thinning(measure=Measure.DILUTE, factors=(5, 10, 20, 50, 100))
    pieces = weight_pieces(where, one, False, whole)
    found = []
    for weight in weights:
        piece = next(p for p in pieces if p.from_ <= weight and (p.to is None or weight <= p.to))
        assert replace(piece, from_=Fraction(0), to=None) == choose(weight, where, one, False, whole), weight
        found.append(piece.measure)
    return found


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5])
def test_drops_go_before_a_stock_only_where_the_lightest_and_the_heaviest_are_within_the_error(count: int):
    where, one = Instruments(finest=bench("0.01"), error=Fraction("0.05")), drop("0.0294", "0.03", "0.0306")
    # own arithmetic: that many of the heaviest are 5 % over the first weight, of the lightest 5 % under the last
    first, last = count * Fraction("0.0306") / Fraction("1.05"), count * Fraction("0.0294") / Fraction("0.95")
    beside = Fraction(1, 10**9)
    found = ways_at((first - beside, first, count * one.grams, last, last + beside), where, one)
    assert found == [Measure.DILUTE, Measure.DROPS, Measure.DROPS, Measure.DROPS, Measure.DILUTE]


@pytest.mark.parametrize(
    ("low", "high", "measure"),
    # 1.05 × 0.0285 is 0.95 × 0.0315: at one weight alone, and just not
    [("0.0285", "0.0315", Measure.DROPS), ("0.02849", "0.0315", Measure.DILUTE)],
)
def test_drops_may_differ_by_no_more_than_the_error_either_way(low: str, high: str, measure: Measure):
    where = Instruments(finest=bench("0.01"), error=Fraction("0.05"))
    beside = Fraction(1, 10**9)
    found = ways_at(
        (Fraction("0.03") - beside, Fraction("0.03"), Fraction("0.03") + beside), where, drop(low, "0.03", high)
    )
    assert found == [Measure.DILUTE, measure, Measure.DILUTE]


def test_where_every_error_is_accepted_drops_are_counted_from_half_a_drop_on():
    where, one = Instruments(finest=bench("1"), error=Fraction(1)), drop("0.02", "0.03", "0.04")
    weights = [Fraction(tenth, 10) * one.grams for tenth in (4, 5, 10, 304, 305)]
    assert ways_at(weights, where, one) == [
        Measure.NONE, Measure.DROPS, Measure.DROPS, Measure.DROPS, Measure.DILUTE,
    ]  # fmt: skip


def test_a_stock_is_no_larger_than_100_g_nor_than_the_batch():
    # own arithmetic: at 0.1 g and 5 % it begins with 5 g, so 1 in 20 makes 100 g and 1 in 50 would make 250 g
    twenty_fold = [plan for plan in plans(bench("0.1"), Fraction("0.05")) if plan.factor >= 20]
    assert [(plan.factor, plan.stages[0].stock_g) for plan in twenty_fold] == [(20, LARGEST_STOCK)]
    # 100 g of stock from 0.255 g on where a gram stands for 393 g of batch; from 0.5 g on where it stands for 200 g
    (as_it_is,) = room_for(twenty_fold, diluent_per_gram=Fraction(19), batch_per_gram=Fraction(393))
    (later,) = room_for(twenty_fold, diluent_per_gram=Fraction(19), batch_per_gram=Fraction(200))
    assert (as_it_is.least_g, later.least_g) == (twenty_fold[0].least_g, Fraction("0.5"))
    assert room_for(twenty_fold, diluent_per_gram=Fraction(19), batch_per_gram=Fraction(20)) == ()
    assert room_for(twenty_fold, diluent_per_gram=Fraction(18), batch_per_gram=Fraction(393)) == ()


def test_a_trituration_counts_each_portion_of_its_diluent():
    # own arithmetic: 0.5 g with 0.5, 1, 2, 4 and 2 g; a step of 0.01 g each makes 9.45 to 9.55 g of diluent
    (thinned,) = [one for one in plans(bench("0.01"), Fraction("0.05"), powders=True) if one.factor == 20]
    assert [str(one) for one in thinned.stages[0].portions] == ["1/2", "1", "2", "4", "2"]
    assert thinned.low == Fraction("0.49") / (Fraction("0.49") + Fraction("9.55"))
    assert thinned.high == Fraction("0.51") / (Fraction("0.51") + Fraction("9.45"))
    # 1 g of it instead of 0.05 g: 1.01 × 0.51 ÷ 9.96 is 3.43 % over
    low, high = aliquot_range(Fraction(1), thinned)
    assert round((high / Fraction("0.05") - 1) * 100, 2) == Fraction("3.43")
    assert 1 - low / Fraction("0.05") < high / Fraction("0.05") - 1


# T04-11 (teaching page on geometric dilution): 1 g in 15 g gives 2, 4, 8, 16 g; T04-12 (own arithmetic): 7 steps for
# 1 g in 100 g; T04-10 (trituration self-assessment): 100 mg and 900 mg make a trituration 1 in 10
@pytest.mark.parametrize(
    ("weigh_g", "diluent_g", "after"),
    [("1", "15", [2, 4, 8, 16]), ("1", "99", [2, 4, 8, 16, 32, 64, 100]), ("0.1", "0.9", ["0.2", "0.4", "0.8", "1"])],
    ids=["T04-11", "T04-12", "T04-10"],
)
def test_geometric_dilution_doubles(weigh_g: str, diluent_g: str, after: list[str | int]):
    there, found = Fraction(weigh_g), []
    for portion in doublings(Fraction(weigh_g), Fraction(diluent_g)):
        there += portion
        found.append(there)
    assert found == [Fraction(one) for one in after]


# ── In a book ─────────────────────────────────────────────────────────────────────────────────────────────────────

MATERIALS = {
    "water": "density: 1\nwater: 100 %",
    "salt": "kind: crystals\nsoluble: water\nwater: 0 %",
    "base": "kind: liquid\nsoluble: oil\nwater: 0 %",
    "scent": "kind: liquid\nsoluble: [oil, ethanol]\nwater: 0 %",
    "talc": "kind: powder\nwater: 0 %",
    "red": "kind: powder\nwater: 0 %",
    "plain": "water: 0 %",
}
WORKROOM = "balances:\n  - {name: 0.01 g, readability: 0.01 g, capacity: 200 g}\n"
WORKROOM += "  - {name: 1 g, readability: 1 g, capacity: 5000 g}\n"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_book(
        tmp_path_factory.mktemp("plans") / "book",
        {
            "f": formula("F", "salt: 0.05 %; plain: 30 %; water: to 100 g"),
            "g": formula("G", "scent: 0.03 %; plain: 20 %; base: 79.97 %"),
            "h": formula("H", "red: 0.04 %; talc: to 100 g"),
            "two": formula("TWO", "salt: 0.05 %; scent: 0.02 %; base: 50 %; water: to 100 g"),
            "same": formula("SAME", "salt: 0.05 %; red: 5 %; talc: 0.01 %; water: to 100 g"),
            "none": formula("NONE", "plain: 0.05 %; water: to 100 g"),
        },
        MATERIALS,
        WORKROOM,
    )


def test_a_salt_is_dissolved_in_the_water_that_it_is_made_up_with(book: Path):
    answer = weigh(book, "F")
    salt, plain, water = answer["lines"]
    assert (salt["measure"], salt["with"], salt["shown"]) == (
        "dilute",
        "0.01 g",
        "1.00 g of its stock 1 in 20",
    )
    assert salt["plan"] == {
        "factor": 20,
        "weigh_g": "0.5",
        "stock_g": "10",
        "diluent": "water",
        "diluent_g": "9.5",
        "aliquot_g": "1.00",
        "stages": [
            {
                "factor": 20,
                "weigh_g": "0.5",
                "with": "0.01 g",
                "diluent_g": "9.5",
                "diluent_with": "0.01 g",
                "stock_g": "10",
            }
        ],
        "brings_g": "0.05",
        "spared_g": "0.95",
    }
    # own arithmetic: 1.01 g of a stock with at most 0.51 g in 10 g, 0.99 g of one with at least 0.49 g
    assert (salt["grams"], salt["grams_low"], salt["grams_high"]) == ("0.05", "0.04851", "0.05151")
    assert (plain["metered_g"], water["metered_g"]) == ("30.00", "69.00")
    assert answer["printed_total_g"] == "100"


def test_the_diluent_that_is_no_fill_is_weighed_with_so_much_less(book: Path):
    scent, plain, base = weigh(book, "G")["lines"]
    # own arithmetic: 0.03 g is 0.60 g of a stock 1 in 20, which brings 0.57 g of the base
    assert (scent["measure"], scent["metered_g"], scent["plan"]["spared_g"]) == ("dilute", "0.60", "0.57")
    assert (plain["metered_g"], base["metered_g"], base["grams"]) == ("20.00", "79.40", "79.97")
    assert weigh(book, "G")["printed_total_g"] == "100"


def test_a_powder_is_triturated_with_the_powder(book: Path):
    red, talc = weigh(book, "H")["lines"]
    assert (red["measure"], red["plan"]["diluent"], red["plan"]["factor"]) == ("triturate", "talc", 20)
    assert (red["metered_g"], talc["metered_g"]) == ("0.80", "99.20")


def test_two_stocks_take_their_own_diluents(book: Path):
    salt, scent, base, water = weigh(book, "TWO")["lines"]
    assert (salt["plan"]["diluent"], scent["plan"]["diluent"]) == ("water", "base")
    spared = Fraction(scent["plan"]["spared_g"])
    assert Fraction(base["metered_g"]) == half_up(50 - spared, Fraction("0.01"))
    weights = [Fraction(one["metered_g"]) for one in (salt, scent, base, water)]
    assert sum(weights) == 100


def test_a_powder_of_less_than_a_tenth_thins_no_other(book: Path):
    lines = {line["material"]: line for line in weigh(book, "SAME")["lines"]}
    assert (lines["talc"]["measure"], lines["talc"]["plan"]) == ("weigh", None)
    assert lines["salt"]["plan"]["diluent"] == "water"


def test_without_a_word_on_what_dissolves_it_nothing_is_planned(book: Path):
    line = weigh(book, "NONE")["lines"][0]
    assert (line["measure"], line["plan"], line["metered_g"]) == ("weigh", None, "0.05")
    assert line["why"]["measure"] == "400 g: weighed"


@pytest.mark.parametrize("batch", [6, 9, 12, 25, 60, 99, 150, 1000, 4999])
@pytest.mark.parametrize("code", ["F", "G", "H", "TWO", "SAME"])
def test_no_stock_is_larger_than_the_batch_or_100_g(book: Path, code: str, batch: int):
    for line in weigh(book, code, f"{batch} g")["lines"]:
        for stage in line["plan"]["stages"] if line["plan"] else ():
            assert Fraction(stage["stock_g"]) <= min(batch, LARGEST_STOCK), line


@pytest.mark.parametrize("code", ["F", "G", "H", "TWO", "SAME"])
@pytest.mark.parametrize("batch", [10, 37, 100, 161, 250, 399, 400, 777, 1234, 4999])
def test_the_batch_weighs_what_it_should_at_every_size(book: Path, code: str, batch: int):
    """The printed weights add up to weigh in all, and what every line really holds adds up to it too."""
    answer = weigh(book, code, f"{batch} g")
    lines = answer["lines"]
    if any(line["metered_g"] is None for line in lines):
        assert any(line["measure"] == "none" for line in lines)
        return
    steps = {line["with"]: step_of(line["with"]) for line in lines}
    slack = max(steps.values()) if code in ("F", "H", "TWO", "SAME") else sum(steps[line["with"]] for line in lines)
    assert abs(Fraction(answer["printed_total_g"]) - batch) <= slack / 2
    held = {line["material"]: Fraction(line["metered_g"]) for line in lines}
    for line in lines:
        if line["plan"]:
            held[line["material"]] = Fraction(line["plan"]["brings_g"])
            held[line["plan"]["diluent"]] += Fraction(line["plan"]["spared_g"])
    assert sum(held.values()) == Fraction(answer["printed_total_g"])
    for line in lines:
        assert Fraction(line["grams_low"]) <= Fraction(line["grams"]) <= Fraction(line["grams_high"]), line
