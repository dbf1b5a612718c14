"""How sure a batch is: intervals that hold for whatever really went in, and the smallest batch that is sure.

Source: own arithmetic; the error of a weighing is T04-01, T04-03 (University of North Carolina).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings

from bookgen.bench import weigh_batch
from bookgen.findings import Missing
from bookgen.pipeline import check_book
from bookgen.reckon.batchline import Aliquot
from bookgen.reckon.certainty import certainty
from bookgen.reckon.doubt import doubtful_lines, measuring_error
from bookgen.reckon.enough import FARTHEST, rounded_batch, smallest_batch
from bookgen.reckon.figures import Reckoning
from bookgen.reckon.known import times
from bookgen.reckon.metering import evaluate, number_at
from bookgen.reckon.scale import Measure
from bookgen.reckon.ways import Piece
from bookgen.reckon.weighing import composition_at
from bookgen.show import POINT
from bookgen.shown.phrases import Figure, Phrase
from bookgen.shown.plain import in_one_line
from bookgen.shown.plans import plan_of
from bookgen.shown.verdict import doubts_of, share_range, verdict_of

from ..books_of_text import formula, weigh, write_book
from .books import filled_formulas, nested_books, really, seeds, sure
from .test_properties import batch, batches


@given(filled_formulas(), batches, seeds)
@settings(max_examples=200, deadline=None)
def test_whatever_really_went_in_the_percentage_is_in_its_interval(
    reckoning: Reckoning, value: Fraction, seed: int
) -> None:
    weighing, random = batch(reckoning, "f", value), Random(seed)
    lines = weighing.evaluation.lines
    intervals = weighing.certainty.percents
    if not intervals:
        return
    assert len(intervals) == len(lines)
    for _ in range(5):
        taken = []
        for one in lines:
            low, high = really(one)
            assert 0 <= low <= high
            taken.append(random.choice((low, high, low + (high - low) * Fraction(random.randint(0, 9), 9))))
        for index, weight in enumerate(taken):
            low, high = intervals[index]
            assert low <= weight / sum(taken) <= high


@given(filled_formulas(), batches, batches)
@settings(max_examples=200, deadline=None)
def test_between_pieces_more_batch_is_never_less_of_a_line(
    reckoning: Reckoning, one: Fraction, other: Fraction
) -> None:
    """Weights, counts, and the least and most really taken grow with the batch; the fill takes up the rounding."""
    small, large = sorted((one, one + other / 1000))
    table = reckoning.figures["f"].scale
    before, after = evaluate(table, small).lines, evaluate(table, large).lines
    for row, first, second in zip(table.rows, before, after, strict=True):
        beyond = number_at(row, times(row.sized, small)) != number_at(row, times(row.sized, large))
        if row.figure.is_fill or beyond or first.measure is Measure.NONE:
            continue
        assert sure(first.printed) <= sure(second.printed)
        assert (first.drops or 0) <= (second.drops or 0)
        assert really(first)[0] <= really(second)[0]
        assert really(first)[1] <= really(second)[1]


@given(filled_formulas(), batches)
@settings(max_examples=200, deadline=None)
def test_the_batch_named_measures_every_line_and_is_what_is_needed_or_more(
    reckoning: Reckoning, asked: Fraction
) -> None:
    table = reckoning.figures["f"].scale
    smallest = smallest_batch(table, asked)
    if smallest is not None:
        assert asked <= smallest <= FARTHEST * asked
        assert not doubtful_lines(evaluate(table, smallest))
        assert smallest == asked or rounded_batch(smallest) == smallest  # as it is printed


def test_no_way_of_measuring_is_tried_that_ends_before_the_batch(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each costs a search of its own, and a line has dozens."""
    book = write_book(tmp_path / "book", {"f": formula("F", "oil: 0.3 %; a: to 100 g")})
    tried: list[tuple[Fraction | None, Fraction]] = []

    def within_from(piece: Piece, error: Fraction, exact: Fraction) -> Fraction | None:
        tried.append((piece.to, exact))
        return exact

    monkeypatch.setattr("bookgen.reckon.enough._within_from", within_from)
    smallest_batch(check_book(book).reckoning.figures["f"].scale, Fraction(80))
    assert tried
    assert all(end is None or end >= exact for end, exact in tried)


@given(filled_formulas(), batches, seeds)
@settings(max_examples=200, deadline=None)
def test_below_the_smallest_batch_a_line_is_not_sure(reckoning: Reckoning, asked: Fraction, seed: int) -> None:
    """Lines that stand by themselves: what a fill takes up is tried a hundredth at a time."""
    table, random = reckoning.figures["f"].scale, Random(seed)
    alone = replace(table, rows=tuple(replace(row, diluent=None) for row in table.rows[:-1]))
    smallest = smallest_batch(alone, asked)
    upper = FARTHEST * asked if smallest is None else smallest
    for _ in range(10):
        below = asked + (upper - asked) * Fraction(random.randint(0, 10**6), 10**6 + 1)
        below = rounded_batch(below)  # batches are told in three figures
        if asked <= below < upper:
            assert doubtful_lines(evaluate(alone, below)), (asked, below, smallest)


@given(filled_formulas(), batches)
@settings(max_examples=100, deadline=None)
def test_the_certainty_of_a_batch_names_the_lines_beyond_their_error(reckoning: Reckoning, value: Fraction) -> None:
    figures = reckoning.figures["f"]
    found = certainty(figures.scale, evaluate(figures.scale, value))
    assert found.smallest == smallest_batch(figures.scale, value)
    doubtful = {one.index for one in found.doubtful}
    for one in found.evaluation.lines:
        off = measuring_error(one)
        assert (off is not None and off <= one.row.error) is not (one.index in doubtful)


@given(nested_books(), batches, seeds)
@settings(max_examples=150, deadline=None)
def test_whatever_really_went_in_the_composition_is_in_its_interval(
    reckoning: Reckoning, value: Fraction, seed: int
) -> None:
    """Every formula of the batch is made with other errors; the materials of the last one are worked out by hand."""
    weighing, random = batch(reckoning, "f3", value), Random(seed)
    intervals = composition_at(
        reckoning,
        weighing.figures,
        weighing.evaluation,
        weighing.make_first,
        weighing.figures.composition.materials,
    )
    if isinstance(weighing.figures.composition.shares, Missing) or not intervals:
        return
    made = {one.key: one.evaluation for one in weighing.make_first} | {"f3": weighing.evaluation}
    held: dict[str, dict[str, Fraction]] = {}
    for key in sorted(made):  # f0 uses none, f1 uses f0 at most, and so on
        figures, evaluation = reckoning.figures[key], made[key]
        assert evaluation is not None
        taken: dict[int, Fraction] = {}
        for index, share in figures.composition.by_line.items():
            line = evaluation.lines[index]
            exact, between = sure(line.grams), line.between
            ends = (Fraction(0), 3 * exact) if isinstance(between, Missing) else between
            taken[index] = share * random.choice((*ends, exact)) / exact
        if not sum(taken.values()):
            return  # every weighing is wrong by all of it, and nothing has a share of nothing
        held[key] = {}
        for index, weight in taken.items():
            one = figures.amounts.lines[index]
            for name, part in (held[one.key] if one.is_formula else {one.key: Fraction(1)}).items():
                held[key][name] = held[key].get(name, Fraction(0)) + part * weight / sum(taken.values())
    for name, (low, high) in intervals.items():
        assert low <= held["f3"][name] <= high, name


# ── As it is printed ──────────────────────────────────────────────────────────────────────────────────────────────


def printed(said: Phrase) -> list[Fraction]:
    """Return the numbers that stand in a sentence."""
    return [Fraction(one.text) for one in said.parts if isinstance(one, Figure)]


def drawn(low: Fraction, high: Fraction, random: Random) -> Fraction:
    return random.choice((low, high, low + (high - low) * Fraction(random.randint(0, 9), 9)))


@given(filled_formulas(), batches, seeds)
@settings(max_examples=200, deadline=None)
def test_whatever_really_went_in_the_percentage_is_between_the_two_that_are_printed(
    reckoning: Reckoning, value: Fraction, seed: int
) -> None:
    weighing, random = batch(reckoning, "f", value), Random(seed)
    lines = weighing.evaluation.lines
    told = {index: printed(text) for index, text in doubts_of(weighing.certainty, POINT).items()}
    told |= {
        one.index: found
        for one in weighing.figures.amounts.lines
        if (found := printed(share_range(one.key, sure(one.percent), weighing, POINT)))
    }
    if any(one.is_unshown for one in lines):
        assert not told  # nobody knows how much of it goes in
        return
    for _ in range(5):
        taken = [drawn(*really(one), random) for one in lines]
        for index, (low, high) in told.items():
            assert low <= 100 * taken[index] / sum(taken) <= high


@given(filled_formulas(), batches, seeds)
@settings(max_examples=200, deadline=None)
def test_a_stock_followed_with_every_weighing_wrong_is_off_by_no_more_than_is_printed(
    reckoning: Reckoning, value: Fraction, seed: int
) -> None:
    weighing, random = batch(reckoning, "f", value), Random(seed)
    steps = {one.name: one.readability_g for one in weighing.workroom.balances}
    for line in weighing.evaluation.lines:
        plan, taken = plan_of(line, weighing.evaluation, weighing.figures.scale, POINT), line.metered
        assert (plan is not None) is isinstance(taken, Aliquot)
        if plan is None or not isinstance(taken, Aliquot):
            continue
        (most,) = printed(plan.error)
        for _ in range(5):
            share = Fraction(1)
            for stage in taken.plan.stages:
                weighed = stage.weigh_g + random.choice((-1, 1)) * steps[stage.with_]
                diluent = stage.diluent_g + random.choice((-1, 1)) * steps[stage.diluent_with]
                share *= weighed / (weighed + diluent)
            brings = share * (taken.printed + random.choice((-1, 1)) * steps[taken.plan.with_])
            assert 100 * abs(brings - sure(line.grams)) / sure(line.grams) <= most


# ── In a book ─────────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_book(
        tmp_path_factory.mktemp("sure") / "book",
        {
            "f": formula("F", "oil: 2 drops; a: to 100 g"),
            "g": formula("G", "a: 0.25 %; b: to 100 g"),
            "h": formula("H", "F: 50 %; b: to 100 g"),
            "v": formula("V", "a: 1 g; water: to 100 mL"),
        },
    )


def test_a_stated_drop_is_a_third_either_way(book: Path):
    answer = weigh(book, "F")
    oil, fill = answer["lines"]
    # own arithmetic: 2 drops of 0.025 g, a third either way; the rest 99.95 g, one step of 0.01 g either way
    assert (oil["grams_low"], oil["grams_high"], oil["error_percent"]) == ("1/30", "1/15", "100/3")
    low = Fraction(1, 30) / (Fraction(1, 30) + Fraction("99.96"))
    high = Fraction(1, 15) / (Fraction(1, 15) + Fraction("99.94"))
    assert (Fraction(oil["percent_low"]), Fraction(oil["percent_high"])) == (low * 100, high * 100)
    assert Fraction(fill["error_percent"]) == 1 / Fraction("99.95")
    # 0.2 g is weighed within 5 %, which is surer than 8 drops; 400 g have so much of it
    sure = answer["how_sure"]
    assert (sure["doubtful"], sure["doubtful_first"]) == (["oil"], [])
    assert (sure["smallest_batch"], sure["unit"]) == ("400", "g")
    assert sure["composition"][0] == {
        "material": "oil",
        "percent_low": oil["percent_low"],
        "percent_high": oil["percent_high"],
    }


def test_a_weight_that_can_be_weighed_is_sure(book: Path):
    answer = weigh(book, "G")
    a, b = answer["lines"]
    assert (a["grams_low"], a["grams_high"], a["error_percent"]) == ("0.24", "0.26", "4")
    assert Fraction(a["percent_low"]) == 24 / (Fraction("0.24") + Fraction("99.76"))
    assert Fraction(b["percent_high"]) == 9976 / (Fraction("99.76") + Fraction("0.24"))
    assert answer["how_sure"]["doubtful"] == []
    assert answer["how_sure"]["smallest_batch"] == "100"  # the batch itself
    assert weigh(book, "G", "60 g")["how_sure"]["smallest_batch"] == "80"  # 0.2 g of it, as printed


def test_what_is_made_first_is_judged_as_well(book: Path):
    inside = {one["material"]: one for one in weigh(book, "F", "50 g")["how_sure"]["composition"]}
    outside = {one["material"]: one for one in weigh(book, "H")["how_sure"]["composition"]}
    # own arithmetic: half of what is in it, a step of 0.01 g of 50 g either way beside another
    half_low, half_high = Fraction("49.99") / 100, Fraction("50.01") / 100
    assert Fraction(outside["oil"]["percent_low"]) == Fraction(inside["oil"]["percent_low"]) * half_low
    assert Fraction(outside["oil"]["percent_high"]) == Fraction(inside["oil"]["percent_high"]) * half_high
    assert weigh(book, "H")["how_sure"]["doubtful_first"] == [{"code": "F", "name": "oil"}]
    assert weigh(book, "H", "800 g")["how_sure"]["doubtful_first"] == []
    # 0.2125 g is weighed as 0.21 g, and may be 0.20
    assert weigh(book, "H", "850 g")["how_sure"]["doubtful_first"] == [{"code": "F", "name": "oil"}]


def test_a_formula_by_volume_says_nothing_of_percentages_it_does_not_know(book: Path):
    answer = weigh(book, "V")
    assert [line["percent_low"] for line in answer["lines"]] == [None, None]
    assert answer["how_sure"]["doubtful"] == []


def test_diluted_ethanol_is_as_sure_as_its_strong_part(tmp_path: Path):
    spirit = {"spirit": "density: 0.8074\nkind: liquid\ncontains:\n  ethanol: 96 %vol", "water": "water: 100 %"}
    book = write_book(tmp_path / "book", {"f": formula("F", "spirit: 1 g of 10 %vol; water: to 100 g")}, spirit)
    answer = weigh(book, "F")
    # own arithmetic: 10 %vol is 8.01 % and 96 %vol 93.84 % by mass (OIML R 22), so 1 g takes 0.0854 g of the strong one
    assert answer["lines"][0]["error_percent"] is not None
    assert round(Fraction(answer["lines"][0]["error_percent"]), 1) == Fraction("17.1")  # 0.09 g, at most 0.10
    smallest = Fraction(answer["how_sure"]["smallest_batch"])
    assert 234 < smallest < 270  # 0.2 g of it, and the first batch tried where that is rounded by little
    assert weigh(book, "F", "234 g")["how_sure"]["doubtful"] == ["spirit"]
    assert weigh(book, "F", f"{float(smallest)} g")["how_sure"]["doubtful"] == []


def test_each_portion_is_a_weighing(tmp_path: Path):
    coarse = "balances:\n  - {name: coarse, readability: 5 g, capacity: 200 g}\naccepted error: 4 %\n"
    book = write_book(tmp_path / "book", {"f": formula("F", "a: 50 %; b: to 100 g")}, workroom=coarse)
    # own arithmetic: 125 g is the least; 205 g in two portions are 10 g off, 4 % of 250 g
    assert weigh(book, "F", "410 g")["how_sure"] | {"composition": []} == {
        "doubtful": ["a", "b"], "doubtful_first": [], "composition": [], "smallest_batch": "500", "unit": "g",
    }  # fmt: skip
    assert weigh(book, "F", "400 g")["how_sure"]["doubtful"] == []
    assert weigh(book, "F", "500 g")["how_sure"]["doubtful"] == []


def test_diluted_ethanol_holds_more_water_where_it_holds_less_of_the_strong_one(tmp_path: Path):
    spirit = {
        "spirit": "density: 0.8074\nkind: liquid\ncontains:\n  ethanol: 96 %vol\nwater: 6.16 %",
        "water": "water: 100 %",
        "a": "water: 0 %",
    }
    book = write_book(tmp_path / "book", {"f": formula("F", "spirit: 1 g of 10 %vol; a: 99 g")}, spirit)
    found = {one["material"]: one for one in weigh(book, "F")["how_sure"]["composition"]}
    # own arithmetic: 0.09 g of it and 0.91 g of water, a step of 0.01 g either way: 0.08 to 0.10 and 0.90 to 0.92 of
    # the line, which is 0.99 to 1.01 g of 100 g
    assert (found["spirit"]["percent_low"], found["spirit"]["percent_high"]) == ("0.0792", "0.101")
    assert (found["water"]["percent_low"], found["water"]["percent_high"]) == ("0.891", "0.9292")


def test_an_intermediate_in_doubt_names_the_batch_that_is_not(book: Path):
    checked = check_book(book)
    assert weigh_batch(checked, "H", None, date(2026, 3, 2)).enough_first == {}  # 50 g of it: 400 g are too far
    weighing = weigh_batch(checked, "H", "200 g", date(2026, 3, 2))
    assert weighing.enough_first == {"f": (Fraction(400), "g")}
    said = in_one_line(verdict_of(weighing, POINT))
    assert said.replace("\u202f", " ") == (
        "Every line is measured within 5 % at this batch but for: oil in Formula F. "
        "Made in a batch of 400 g, Formula F is within that throughout."
    )


def test_what_thins_another_line_is_as_sure_as_the_aliquot_that_brings_it(tmp_path: Path):
    more = {"dye": "kind: powder\nsoluble: water", "water": "kind: liquid\nwater: 100 %"}
    answer = weigh(write_book(tmp_path / "book", {"f": formula("F", "dye: 0.1 g; water: to 100 g")}, more), "F")
    assert (answer["lines"][0]["plan"]["stock_g"], answer["lines"][0]["plan"]["aliquot_g"]) == ("5", "1.00")
    # own arithmetic: 0.49 to 0.51 g of dye in 5 g, of which 0.99 to 1.01 g are taken, beside 98.99 to 99.01 g of water
    water = answer["lines"][1]
    assert Fraction(water["grams_low"]) == Fraction("98.99") + Fraction("0.99") * Fraction("0.898")
    assert Fraction(water["grams_high"]) == Fraction("99.01") + Fraction("1.01") * Fraction("0.902")
