"""Laws of supplies and shopping list: nothing lost, nothing twice, and never more than there is."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bookgen.findings import Missing
from bookgen.model import Obtain, Quantity, Supply
from bookgen.reckon.batchline import Aliquot, Unshown, Weighed
from bookgen.reckon.figures import Reckoning, reckon
from bookgen.reckon.metering import Evaluation
from bookgen.reckon.needs import Needs, needs
from bookgen.reckon.weighed import taken_grams
from bookgen.reckon.weighing import Weighing, weigh

from .books import amounts_g, book, formula, nested_books, sure, weighed_lines
from .test_properties import batch, batches, obtaining

NOTHING: dict[str, tuple[Fraction, str]] = {}
LEAVES = ("a", "b", "c", "d", "oil")
stocks_g = st.builds(Fraction, st.integers(1, 50_000), st.sampled_from((100, 10, 7)))


def listed(
    reckoning: Reckoning, *wanted: tuple[str, Fraction], have: dict[str, tuple[Fraction, str]] = NOTHING
) -> Needs:
    """Return the shopping list of some batches."""
    found = needs(reckoning, [(key, obtaining(value)) for key, value in wanted], have)
    assert isinstance(found, Needs), found
    return found


def by_material(found: Needs) -> dict[str, Fraction]:
    return {one.key: one.grams for one in found.materials}


def summed(evaluations: Iterable[Evaluation]) -> dict[str, Fraction]:
    """Return what the lines of some batches take of each material."""
    total: dict[str, Fraction] = {}
    for line in (line for evaluation in evaluations for line in evaluation.lines):
        taken, figure = taken_grams(line), line.figure
        if isinstance(line.metered, Weighed | Unshown) and line.spared is None:
            assert taken in (line.printed, line.grams)
        if not figure.is_formula:
            total[figure.key] = total.get(figure.key, Fraction(0)) + sure(taken)
    return total


@given(nested_books(), batches)
@settings(max_examples=100)
def test_the_needs_of_one_formula_are_its_weighing(reckoning: Reckoning, value: Fraction) -> None:
    """Printed weights of the formula and of everything that is made first, and the same make first."""
    weighing = batch(reckoning, "f3", value)
    found = listed(reckoning, ("f3", value))
    inner = [one.evaluation for one in weighing.make_first if one.evaluation is not None]
    assert by_material(found) == summed([weighing.evaluation, *inner])
    assert found.make_first == weighing.make_first
    assert (found.unknown, found.unused) == ((), ())


@given(nested_books(), batches)
@settings(max_examples=100)
def test_what_leaves_the_shelf_goes_in_or_is_left_of_a_stock(reckoning: Reckoning, value: Fraction) -> None:
    """Of a batch with thinned lines: taken = what is printed + what is left of the stocks that were made."""
    evaluation = batch(reckoning, "f3", value).evaluation
    counted = [one for one in evaluation.lines if one.drops is None and isinstance(one.printed, Fraction)]
    thinned = [one.metered for one in evaluation.lines if isinstance(one.metered, Aliquot)]
    if not {one.diluent for one in thinned} <= {one.index for one in counted}:
        return  # the line that thins has no printed weight to compare with
    left = Fraction(0)
    for one in thinned:
        made = sum((stage.stock_g for stage in one.plan.stages), Fraction(0))
        moved = sum((stage.weigh_g for stage in one.plan.stages[1:]), Fraction(0))
        left += made - moved - one.printed
        assert made - moved >= one.printed
    assert sum(sure(taken_grams(one)) for one in counted) == sum(sure(one.printed) for one in counted) + left


@given(weighed_lines(), weighed_lines(), batches, batches)
@settings(max_examples=100)
def test_two_formulas_without_a_shared_intermediate_add_up(one, other, first: Fraction, second: Fraction) -> None:  # type: ignore[no-untyped-def]
    reckoning = reckon(book([formula("F0", one), formula("F1", other)]))
    both = by_material(listed(reckoning, ("f0", first), ("f1", second)))
    alone = [by_material(listed(reckoning, ("f0", first))), by_material(listed(reckoning, ("f1", second)))]
    assert both == {key: sum((part.get(key, Fraction(0)) for part in alone), Fraction(0)) for key in both}
    assert both.keys() == alone[0].keys() | alone[1].keys()


@given(nested_books(), batches, batches)
@settings(max_examples=100)
def test_an_intermediate_is_made_once_for_all(reckoning: Reckoning, first: Fraction, second: Fraction) -> None:
    """Each appears once, used after its users, for no less than what all that is listed takes of it."""
    found = listed(reckoning, ("f3", first), ("f2", second))
    made = {one.key: one for one in found.make_first}
    assert len(made) == len(found.make_first)
    order = [one.key for one in found.make_first]
    assert order == sorted(order, key=lambda key: -reckoning.graph.rank[key])
    evaluations = {one.key: one.evaluation for one in found.orders}
    evaluations |= {key: one.evaluation for key, one in made.items() if one.evaluation is not None}
    taken: dict[str, Fraction] = {}
    for evaluation in evaluations.values():
        for line in evaluation.lines:
            if line.figure.is_formula:
                taken[line.figure.key] = taken.get(line.figure.key, Fraction(0)) + sure(taken_grams(line))
    for key, part in taken.items():
        own = second if key == "f2" else Fraction(0)
        assert sure(made[key].obtain_g) - part - own >= 0
        if made[key].step is not None:
            assert sure(made[key].obtain_g) - part - own < made[key].step


@given(nested_books(), batches, st.sampled_from(LEAVES), stocks_g)
@settings(max_examples=100)
def test_what_is_there_is_taken_off(reckoning: Reckoning, value: Fraction, leaf: str, there: Fraction) -> None:
    """The needs stay what they are; missing is what is not there, never below nothing."""
    plain, less = listed(reckoning, ("f3", value)), listed(reckoning, ("f3", value), have={leaf: (there, "g")})
    assert by_material(plain) == by_material(less)
    for one in less.materials:
        assert one.missing_g == max(one.grams - (there if one.key == leaf else 0), 0)
    assert less.unused == (() if leaf in by_material(plain) else (leaf,))


@given(nested_books(), batches, stocks_g)
@settings(max_examples=100)
def test_an_intermediate_that_is_there_is_made_so_much_less(
    reckoning: Reckoning, value: Fraction, there: Fraction
) -> None:
    plain, less = listed(reckoning, ("f3", value)), listed(reckoning, ("f3", value), have={"f2": (there, "g")})
    before = {one.key: one for one in plain.make_first}
    after = {one.key: one for one in less.make_first}
    if "f2" not in before:
        assert "f2" not in after
        return
    if "f2" in after:
        step = before["f2"].step or Fraction(0)
        assert abs(sure(before["f2"].obtain_g) - there - sure(after["f2"].obtain_g)) <= max(step, after["f2"].step or 0)
        assert sure(after["f2"].needed_g) == sure(before["f2"].needed_g) - there
    else:
        assert there >= sure(before["f2"].needed_g)
    assert set(after) <= set(before)


# ── Supplies ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def from_supplies(reckoning: Reckoning, supplies: dict[str, Fraction]) -> Weighing | Missing:
    listed = tuple(
        Supply(material=name, quantity=Quantity(value=value, unit="g", text="supply"))
        for name, value in supplies.items()
    )
    obtain = Obtain(quantity=listed[0].quantity, supplies=listed, text="supply")
    return weigh(reckoning, "f3", obtain=obtain)


def used_of(reckoning: Reckoning, weighing: Weighing, name: str) -> Fraction:
    """Return what a batch takes of a stock, exactly, found from the batches of everything that is made."""
    needed = {made.key: sure(made.needed_g) for made in weighing.make_first}
    return sum(
        (
            sure(row.per) * obtain
            for key, obtain in {"f3": sure(weighing.obtain_g), **needed}.items()
            for figure, row in zip(reckoning.figures[key].amounts.lines, reckoning.figures[key].scale.rows, strict=True)
            if figure.key == name
        ),
        Fraction(0),
    )


def metered_of(weighing: Weighing, name: str) -> Fraction:
    """Return what is taken of a stock as it is weighed: printed weights, stocks whole, drops as they fall."""
    evaluated = [weighing.evaluation, *(one.evaluation for one in weighing.make_first)]
    return sum(
        (
            sure(taken_grams(line))
            for evaluation in evaluated
            if evaluation is not None
            for line in evaluation.lines
            if line.figure.key == name
        ),
        Fraction(0),
    )


@given(nested_books(), st.dictionaries(st.sampled_from((*LEAVES, "f0", "f1")), stocks_g, min_size=1, max_size=4))
@settings(max_examples=60)
def test_a_batch_from_supplies_takes_no_more_than_there_is(reckoning: Reckoning, supplies: dict[str, Fraction]) -> None:
    """As it is metered every stock is enough, at least one limits, and none of them is made."""
    weighing = from_supplies(reckoning, supplies)
    assume(isinstance(weighing, Weighing))
    assert isinstance(weighing, Weighing)
    assert any(one.limits for one in weighing.supplies)
    for one in weighing.supplies:
        have = supplies[one.key]
        used = metered_of(weighing, one.key)
        assert (one.have_g, one.used_g, one.left_g) == (have, used, have - used)
        assert used <= have
    assert not set(supplies) & {made.key for made in weighing.make_first}


@given(
    nested_books(),
    st.dictionaries(st.sampled_from((*LEAVES, "f0", "f1")), stocks_g, min_size=2, max_size=4),
    amounts_g,
    st.integers(0, 3),
)
@settings(max_examples=50)
def test_no_batch_is_larger_than_each_stock_allows_by_itself(
    reckoning: Reckoning, supplies: dict[str, Fraction], more: Fraction, number: int
) -> None:
    before = from_supplies(reckoning, supplies)
    assume(isinstance(before, Weighing))
    assert isinstance(before, Weighing)
    name = list(supplies)[number % len(supplies)]
    after = from_supplies(reckoning, {**supplies, name: supplies[name] + more})
    assume(isinstance(after, Weighing))
    assert isinstance(after, Weighing)
    exact = [sure(used_of(reckoning, one, name) / sure(one.obtain_g)) for one in (before, after)]
    assert exact[0] == exact[1]
    for weighing, there in ((before, supplies), (after, {**supplies, name: supplies[name] + more})):
        per = {one.key: used_of(reckoning, weighing, one.key) / sure(weighing.obtain_g) for one in weighing.supplies}
        assert sure(weighing.obtain_g) <= min(there[key] / per[key] for key in per)
