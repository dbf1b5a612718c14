"""Laws that hold for every book: conservation of mass, scaling, metering, and the scale table's one meaning."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.findings import Missing
from bookgen.model import Formula, Line, Obtain, Phase, Quantity, Supply
from bookgen.reckon.batchline import Aliquot
from bookgen.reckon.corners import weight_pieces
from bookgen.reckon.doubt import is_doubtful
from bookgen.reckon.droppers import DropMass
from bookgen.reckon.enough import FARTHEST, weighed_batch
from bookgen.reckon.figures import Reckoning, reckon
from bookgen.reckon.known import times
from bookgen.reckon.measure import half_up, rounded_up
from bookgen.reckon.metering import evaluate, number_at
from bookgen.reckon.ways import Instruments, Measure, choose
from bookgen.reckon.weighing import Weighing, weigh
from bookgen.show import plain

from .books import BENCHES, amounts_g, benches, book, filled_formulas, formula, grams, nested_books, sure, weighed_lines

batches = st.builds(Fraction, st.integers(1, 150_000), st.sampled_from((1000, 100, 7, 3)))


def obtaining(value: Fraction) -> Obtain:
    return Obtain(quantity=Quantity(value=value, unit="g", text=f"{value} g"), text=f"{value} g")


def batch(reckoning: Reckoning, key: str, value: Fraction) -> Weighing:
    weighing = weigh(reckoning, key, obtain=obtaining(value))
    assert isinstance(weighing, Weighing)
    return weighing


@given(nested_books())
@settings(max_examples=150)
def test_expanded_composition_is_the_whole_product(reckoning: Reckoning) -> None:
    """Shares add up to exactly 1 at every level."""
    for figures in reckoning.figures.values():
        shares = figures.composition.shares
        assert not isinstance(shares, Missing)
        assert sum(shares.values()) == 1


@given(nested_books(), batches)
@settings(max_examples=100)
def test_mass_is_conserved_through_intermediates(reckoning: Reckoning, value: Fraction) -> None:
    """What goes in, level by level, less yield and evaporation, is what comes out."""
    for key in reckoning.figures:
        weighing = batch(reckoning, key, value)
        flow = weighing.figures.flow
        put_in = sum((sure(one.grams) for one in weighing.evaluation.lines), Fraction(0))
        assert put_in == sure(weighing.evaluation.start_g)
        makes = sure(weighing.figures.amounts.makes.amount)
        extra = sum((sure(one.weighed) - sure(one.grams) for one in weighing.figures.amounts.lines), Fraction(0))
        lost = sure(flow.evaporated) + extra / makes
        assert put_in / (1 + extra / makes) * (1 + extra / makes - lost) * flow.yield_ == value


@given(nested_books(), batches)
@settings(max_examples=100)
def test_needed_is_what_all_users_weigh_in(reckoning: Reckoning, value: Fraction) -> None:
    """The exact need of an intermediate is the sum over its users of their exact batches times its share in them."""
    weighing = batch(reckoning, "f3", value)
    needed = {made.key: sure(made.needed_g) for made in weighing.make_first}
    asked: dict[str, Fraction] = {}
    for key, obtain in {"f3": value, **needed}.items():
        for figure, row in zip(reckoning.figures[key].amounts.lines, reckoning.figures[key].scale.rows, strict=True):
            if figure.is_formula:
                asked[figure.key] = asked.get(figure.key, Fraction(0)) + sure(row.per) * obtain
    assert asked == needed


@given(nested_books(), st.sampled_from(["a", "b", "c", "d", "f0"]), batches)
@settings(max_examples=100)
def test_a_batch_from_a_stock_needs_no_more_than_the_stock(reckoning: Reckoning, stock: str, value: Fraction) -> None:
    """The batch that uses up a stock needs that much of it, or less by what the balance's steps take too much."""
    quantity = Quantity(value=value, unit="g", text="stock")
    weighing = weigh(
        reckoning,
        "f3",
        obtain=Obtain(quantity=quantity, supplies=(Supply(material=stock, quantity=quantity),), text="stock"),
    )
    if isinstance(weighing, Missing):
        return
    used = Fraction(0)
    needed = {made.key: sure(made.needed_g) for made in weighing.make_first}
    for key, obtain in {"f3": sure(weighing.obtain_g), **needed}.items():
        for figure, row in zip(reckoning.figures[key].amounts.lines, reckoning.figures[key].scale.rows, strict=True):
            if figure.key == stock:
                used += sure(row.per) * obtain
    assert used <= value
    assert weighing.supplies[0].used <= value
    assert stock not in needed


@given(weighed_lines(), st.integers(0, 4), amounts_g)
def test_a_changed_amount_changes_the_total_by_exactly_that(
    lines: tuple[Line, ...], number: int, more: Fraction
) -> None:
    before = formula("F", lines)
    number %= len(lines)
    old = lines[number].amount
    changed = tuple(
        replace(line, amount=grams(old.grams + more)) if place == number else line  # type: ignore[union-attr]
        for place, line in enumerate(lines)
    )
    after = replace(before, ingredients=(Phase(lines=changed),))

    def total(one: Formula) -> Fraction:
        return sure(reckon(book([one])).figures["f"].amounts.makes.total)

    assert total(after) - total(before) == more


@given(weighed_lines(), amounts_g)
def test_a_written_total_misses_by_exactly_what_it_misses(lines: tuple[Line, ...], written: Fraction) -> None:
    figures = reckon(book([formula("F", lines, makes=written)])).figures["f"]
    assert sure(figures.amounts.makes.short) == written - sum(line.amount.grams for line in lines)  # type: ignore[union-attr]


@given(nested_books(), batches, batches)
@settings(max_examples=60)
def test_scaling_there_and_back_is_identity(reckoning: Reckoning, one: Fraction, other: Fraction) -> None:
    first, second = batch(reckoning, "f3", one), batch(reckoning, "f3", other)
    for here, there in zip(first.evaluation.lines, second.evaluation.lines, strict=True):
        assert sure(here.grams) * other == sure(there.grams) * one


@given(nested_books(), batches)
@settings(max_examples=60)
def test_the_batch_as_written_weighs_the_written_amounts(reckoning: Reckoning, value: Fraction) -> None:
    for key, figures in reckoning.figures.items():
        weighing = weigh(reckoning, key)
        assert isinstance(weighing, Weighing)
        for figure, taken in zip(figures.amounts.lines, weighing.evaluation.lines, strict=True):
            assert sure(taken.grams) == sure(figure.weighed)


@given(filled_formulas(), batches)
@settings(max_examples=200)
def test_metered_lines_add_up_to_the_printed_total(reckoning: Reckoning, value: Fraction) -> None:
    """Every weight is one that its balance can set; their sum is the printed total, near weigh in all."""
    weighing = batch(reckoning, "f", value)
    evaluation = weighing.evaluation
    for one in evaluation.lines:
        if isinstance(one.printed, Fraction) and one.step is not None:
            assert one.printed % one.step == 0
            assert one.printed >= 0
    fill, left = evaluation.lines[-1], sum(sure(one.grams) for one in evaluation.left_out)
    assert fill.measure is Measure.FILL
    if isinstance(evaluation.printed_total, Missing):
        assert left == sure(evaluation.start_g)
        return
    assert evaluation.printed_total == sum(sure(one.printed) for one in evaluation.lines if not one.is_unshown)
    if not fill.is_unshown:
        assert abs(evaluation.printed_total + left - sure(evaluation.start_g)) <= sure(fill.step) / 2


@given(filled_formulas(), batches)
@settings(max_examples=200)
def test_a_known_weight_is_never_hidden(reckoning: Reckoning, value: Fraction) -> None:
    """Every line prints its weight, or its exact one where that is less than half a step, or where no step is left."""
    weighing = batch(reckoning, "f", value)
    steps = [one.readability_g for one in weighing.workroom.balances]
    for one in weighing.evaluation.lines:
        assert isinstance(one.grams, Fraction)
        if one.is_unshown and one.measure is not Measure.FILL:
            assert one.grams < min(steps) / 2
            assert one.drops_exact is None or one.drops_exact < Fraction(1, 2)
        elif not one.is_unshown:
            assert sure(one.printed) > 0
        assert sure(one.grams) >= 0


@given(filled_formulas(), batches)
@settings(max_examples=200)
def test_what_is_measured_coarsely_is_not_at_the_batch_named(reckoning: Reckoning, value: Fraction) -> None:
    """Carried out, what is advised is neither coarse nor named by the verdict; a count is as sure as its drops."""
    weighing = batch(reckoning, "f", value)
    for index, way in weighing.certainty.ways_out.items():
        assert weighing.evaluation.lines[index].is_coarse
        assert value < way.batch <= FARTHEST * value
        assert Fraction(plain(way.batch)) == way.batch  # as it is printed
        there = evaluate(weighing.figures.scale, way.batch).lines[index]
        assert not there.is_coarse
        assert is_doubtful(there) is way.doubtful
        assert not way.doubtful or there.measure is Measure.DROPS


@given(filled_formulas(), batches)
@settings(max_examples=200)
def test_one_batch_serves_every_line_that_it_is_said_to_serve(reckoning: Reckoning, value: Fraction) -> None:
    weighing = batch(reckoning, "f", value)
    enough = weighing.certainty.enough
    if enough is not None:
        size, served = enough
        assert value < size <= FARTHEST * value
        there = evaluate(weighing.figures.scale, size).lines
        assert all(is_doubtful(one) and not is_doubtful(there[one.index]) for one in served)
        assert served == weighing.certainty.doubtful or weighing.certainty.smallest is None


@given(filled_formulas(), batches)
@settings(max_examples=200)
def test_the_batch_that_needs_no_stock_weighs_the_line_within_its_error(reckoning: Reckoning, value: Fraction) -> None:
    table = batch(reckoning, "f", value).figures.scale
    for line in evaluate(table, value).lines:
        direct = weighed_batch(table, value, line.index) if isinstance(line.metered, Aliquot) else None
        if direct is not None:
            there = evaluate(table, direct).lines[line.index]
            assert there.measure is Measure.WEIGH
            assert not is_doubtful(there)


drop_masses = st.builds(
    lambda mean, spread: DropMass(dropper="p", grams=mean, low=mean * (1 - spread), high=mean * (1 + spread)),
    st.builds(Fraction, st.integers(10, 100), st.just(1000)),
    st.builds(Fraction, st.integers(0, 5), st.just(10)),
)


@given(benches, st.one_of(st.none(), drop_masses), st.booleans(), st.sampled_from(["1/20", "1/100", "1/2"]), st.data())
@settings(max_examples=200)
def test_pieces_say_what_the_rule_says(
    finest: tuple,
    drop: DropMass | None,
    by_drops: bool,
    error: str,
    data: st.DataObject,  # type: ignore[type-arg]
) -> None:
    """The table's first matching piece is the rule's choice: at every corner, beside it and anywhere between."""
    instruments = Instruments(finest=finest, error=Fraction(error))
    pieces = weight_pieces(instruments, drop, by_drops)
    corners = {end for piece in pieces for end in (piece.from_, piece.to) if end}
    weights = corners | {corner * Fraction(10**9 + side, 10**9) for corner in corners for side in (-1, 1)}
    weights |= set(data.draw(st.lists(amounts_g, max_size=5)))
    for weight in weights:
        matching = next(p for p in pieces if p.from_ <= weight and (p.to is None or weight <= p.to))
        assert replace(matching, from_=Fraction(0), to=None) == choose(weight, instruments, drop, by_drops), weight


@given(filled_formulas(), batches)
def test_the_first_matching_piece_is_used(reckoning: Reckoning, value: Fraction) -> None:
    for row in reckoning.figures["f"].scale.rows:
        exact = times(row.sized, value)
        if isinstance(exact, Missing):
            assert len(row.by_weight) == 1
            continue
        holding = (piece.from_ <= exact and (piece.to is None or exact <= piece.to) for piece in row.by_weight)
        assert number_at(row, exact) == next(number for number, holds in enumerate(holding) if holds)


@given(amounts_g, st.sampled_from([Fraction(1, 1000), Fraction(1, 100), Fraction(1, 10), Fraction(1)]))
def test_half_up_is_within_half_a_step_and_ties_go_up(value: Fraction, step: Fraction) -> None:
    result = half_up(value, step)
    assert result % step == 0
    assert -step / 2 < value - result <= step / 2 or value - result == -step / 2
    assert value - result < step / 2
    assert 0 <= rounded_up(value, step) - value < step


def test_benches_are_all_different() -> None:
    assert len(set(BENCHES)) == len(BENCHES)
