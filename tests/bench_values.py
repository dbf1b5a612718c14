"""What holds the published values of droppers and of aliquots: topics 3 and 4 of `check_values/`."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from bookgen.model import DropperLine, DropperWeighing
from bookgen.reckon.droppers import WIDEST_SPREAD, DropMass, drop_mass, drops_per_gram, drops_per_ml, spread
from bookgen.reckon.measure import half_up
from bookgen.reckon.plans import Plan, Stage, doublings
from bookgen.review.droppers import doubts, implausible

from .books_of_text import MATERIALS, formula, run, write_book

Item = dict[str, Any]


def weighed(*weighings: tuple[int, Fraction | str]) -> tuple[DropperLine, DropMass]:
    """Return weighings of counted drops and what they come to."""
    line = DropperLine(
        dropper="standard",
        weighings=tuple(DropperWeighing(drops=drops, grams=Fraction(grams)) for drops, grams in weighings),
    )
    found = drop_mass(line)
    assert isinstance(found, DropMass)
    return line, found


def rules(line: DropperLine) -> list[str]:
    """Return the rules that query weighings of a dropper."""
    return [rule for rule, _ in doubts(line, (), Fraction(1, 20))]


def dropper_of_water(item: Item, folder: Path) -> None:
    """T03-01: 20 drops a gram, 45 to 55 mg; such a spread is trusted, one beyond the chapter's 15 % is queried."""
    expected = item["expected"]
    low, high = Fraction(expected["min_mg"]) / 1000, Fraction(expected["max_mg"]) / 1000
    line, mass = weighed((20, 20 * low), (20, 20 * (low + high) / 2), (20, 20 * high))
    assert drops_per_gram(mass) == Fraction(expected["drops_per_g_nominal"])
    assert (mass.low, mass.high) == (low, high)
    assert rules(line) == []
    error = Fraction(expected["volume_error_percent"]) / 100
    assert error == WIDEST_SPREAD
    for share, told in ((error, []), (error + Fraction(1, 10**6), ["drop-spread"])):
        line, mass = weighed((20, 1 - share), (20, Fraction(1)), (20, 1 + share))
        assert spread(line) == share
        assert rules(line) == told


def drops_per_volume(item: Item, folder: Path) -> None:
    """T03-03: 20 drops in 1 mL of water, two more or less; T03-07: drops counted into sixty minims."""
    expected = item["expected"]
    if "deviation_drops" in expected:
        drops, off = int(expected["drops_per_mL"]), int(expected["deviation_drops"])
        for count in (drops - off, drops, drops + off):
            assert drops_per_ml(weighed((count, "1"))[1], Fraction(1)) == count
        return
    ml, density = Fraction(item["inputs"]["mL"]), Fraction("0.9")
    for liquid, wanted in expected.items():
        mass = weighed((int(item["inputs"][liquid]), ml * density))[1]
        assert drops_per_ml(mass, density) == Fraction(wanted), liquid


def drops_by_class(item: Item, folder: Path) -> None:
    """T03-06: each class of liquid through the command, none of them implausible."""
    book = write_book(folder, {"F": formula("F", "a: to 100 g")}, MATERIALS)
    for liquid, count in item["expected"].items():
        line, mass = weighed((int(count), "1"))
        assert implausible(line, mass) is None, liquid
        status, answer = run(book, "drops", "water", f"{count} drops 1 g")
        assert (status, answer["drops_per_g"]) == (0, count)
        assert "implausible-drop" not in {one["rule"] for one in answer["findings"]}


def aliquot(item: Item, folder: Path) -> None:
    """T04-08, T04-10: what is weighed, what it is thinned with, and the aliquot that holds the wanted amount."""
    inputs, expected = item["inputs"], item["expected"]
    wanted = Fraction(expected.get("drug_total_mg") or inputs["wanted_mg"])
    weigh = Fraction(expected.get("trituration_drug_mg") or expected["drug_mg"])
    diluent = Fraction(expected.get("trituration_diluent_mg") or expected["diluent_mg"])
    factor = int(inputs.get("multiple") or inputs["one_in"])
    stage = Stage(
        factor=factor, weigh_g=weigh, with_="torsion", portions=(diluent,), diluent_with="torsion",
        low=Fraction(1), high=Fraction(1),
    )  # fmt: skip
    thinner = stage.stock_g / stage.weigh_g
    assert thinner == factor
    plan = Plan(
        stages=(stage,), with_="torsion", step=Fraction(1), factor=int(thinner), low=stage.low, high=stage.high,
        largest_stock=stage.stock_g,
    )  # fmt: skip
    assert stage.stock_g == weigh * factor == Fraction(expected.get("mixture_mg") or weigh + diluent)
    assert sum(doublings(weigh, diluent)) == diluent
    taken = wanted * plan.factor
    assert taken == Fraction(expected.get("take_mg") or inputs["aliquot_mg"])
    if "total_mg" in expected:
        total = int(inputs["powders"]) * Fraction(inputs["each_mg"])
        assert int(inputs["powders"]) * Fraction(inputs["drug_mg"]) == wanted
        assert (total, total - taken) == (Fraction(expected["total_mg"]), Fraction(expected["add_diluent_mg"]))


def geometric(item: Item, folder: Path) -> None:
    """T04-11, T04-12: how many doublings, and the weight after each."""
    inputs, expected = item["inputs"], item["expected"]
    drug = Fraction(inputs["drug_g"])
    diluent = Fraction(inputs["diluent_g"]) if "diluent_g" in inputs else Fraction(inputs["total_g"]) - drug
    steps = doublings(drug, diluent)
    if not isinstance(expected, dict):
        assert len(steps) == int(expected)
        return
    assert len(steps) == int(expected["steps"])
    after = [drug + sum(steps[: number + 1]) for number in range(len(steps))]
    assert after == [Fraction(expected[f"after_{number}"]) for number in range(1, len(steps) + 1)]


def stated_weight(item: Item, folder: Path) -> None:
    """T04-13: what a stated weight stands for is what its last figure rounds to."""
    stated, (low, high) = Fraction(item["inputs"]["g"]), map(Fraction, item["expected"].values())
    step = Fraction(item["inputs"]["last_figure_g"])
    assert half_up(low, step) == stated
    assert half_up(high, step) == stated + step
    for just in (low + Fraction(1, 10**9), high - Fraction(1, 10**9)):
        assert half_up(just, step) == stated


BENCH: dict[str, Callable[[Item, Path], None]] = {
    "standard dropper": dropper_of_water,
    "drops in a volume": drops_per_volume,
    "drops per gram": drops_by_class,
    "aliquot": aliquot,
    "geometric dilution": geometric,
    "stated weight": stated_weight,
}
"""By what an item checks."""
