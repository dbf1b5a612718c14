"""One line at one batch has the form of its way of measuring, and nothing that belongs to another."""

from __future__ import annotations

from dataclasses import fields
from fractions import Fraction
from pathlib import Path
from typing import get_args

import pytest

from bookgen.reckon.batchline import (
    Aliquot,
    BatchLine,
    Blended,
    ByVolume,
    Counted,
    Exact,
    Metered,
    OnlyCounted,
    UnknownAmount,
    Unshown,
    Weighed,
)
from bookgen.reckon.doubt import is_doubtful
from bookgen.reckon.figures import reckon
from bookgen.reckon.weighing import Weighing
from bookgen.reckon.weighing import weigh as weigh_batch
from bookgen.source import read_book

from ..books_of_text import MATERIALS, formula, write_book

NO_BALANCE = "title: A workroom\n"
MORE = {
    **MATERIALS,
    "dye": "kind: powder\nsoluble: water\nwater: 0 %",
    "tint": "water: 0 %",
    "spirit": "contains:\n  ethanol: 96 %vol\nkind: liquid",
}


def lines(folder: Path, ingredients: str, *keys: str, workroom: str | None = None) -> tuple[BatchLine, ...]:
    """Return the lines of the batch as written."""
    more = {} if workroom is None else {"workroom": workroom}
    reckoning = reckon(read_book(write_book(folder / "book", {"F": formula("F", ingredients, *keys)}, MORE, **more)))
    weighing = weigh_batch(reckoning, "f")
    assert isinstance(weighing, Weighing)
    assert weighing.evaluation.lines[0].written is weighing.formula.lines[0]
    assert weighing.evaluation.lines[0].figure is weighing.figures.amounts.lines[0]
    return weighing.evaluation.lines


def test_what_a_balance_gives_is_weighed_the_fill_too(tmp_path: Path) -> None:
    a, fill = lines(tmp_path, "a: 33.333 g; b: to 100 g")
    assert a.metered == Weighed(
        printed=Fraction("33.33"), balance="bench", step=Fraction(1, 100), portions=1, coarse=False, beside=None
    )
    assert isinstance(fill.metered, Weighed)
    assert (a.measure, fill.measure, fill.printed) == ("weigh", "fill", Fraction("66.67"))
    assert a.between == (Fraction("33.32"), Fraction("33.34"))


def test_a_weight_beyond_the_accepted_error_is_weighed_coarsely(tmp_path: Path) -> None:
    tint = lines(tmp_path, "tint: 0.09 g; b: to 100 g")[0]
    assert isinstance(tint.metered, Weighed)
    assert tint.metered.coarse is tint.is_coarse is True


@pytest.mark.parametrize(("grams", "coarse"), [("40", False), ("40.2", True), ("39.8", True), ("60", False)])
def test_full_portions_at_the_accepted_error_exactly_are_within_it(grams: str, coarse: bool, tmp_path: Path) -> None:
    """1 g in each 20 g is 5 %: what is called coarse and what the verdict doubts are the same lines."""
    scale = "accepted error: 5 %\nbalances:\n  - {name: letter scale, readability: 1 g, capacity: 20 g}\n"
    found = lines(tmp_path, f"a: {grams} g; b: to 200 g", workroom=scale)
    assert [(line.is_coarse, is_doubtful(line)) for line in found] == [(coarse, coarse)] * 2


def test_drops_stand_beside_a_weight_or_are_counted(tmp_path: Path) -> None:
    many = lines(tmp_path / "many", "oil: 30 drops; b: to 100 g")[0]
    assert isinstance(many.metered, Weighed)
    assert (many.metered.beside, many.drops, many.drops_told) == (30, None, 30)
    oil = lines(tmp_path, "oil: 2 drops; b: to 100 g")[0]
    assert oil.metered == Counted(
        drops=2,
        off=Fraction(0),
        dropper="dropper",
        printed=Fraction("0.05"),
        step=Fraction(1, 1000),
        low=Fraction(1, 60),
        high=Fraction(1, 30),
        coarse=False,
    )
    assert oil.between == (Fraction(1, 30), Fraction(1, 15))


def test_drops_of_unknown_weight_are_only_counted(tmp_path: Path) -> None:
    a = lines(tmp_path, "a: 3 drops; water: to 100 mL")[0]
    assert isinstance(a.metered, OnlyCounted)
    assert (a.drops, a.measure, a.grams) == (3, "drops", a.metered.printed)


def test_an_aliquot_is_taken_of_a_stock_and_its_diluent_weighed_with_less(tmp_path: Path) -> None:
    dye, water = lines(tmp_path, "dye: 0.1 g; water: to 100 g")
    assert isinstance(dye.metered, Aliquot)
    assert (dye.measure, dye.metered.diluent, dye.metered.brings * dye.metered.plan.factor) == (
        "dilute",
        1,
        dye.printed,
    )
    assert water.spared is not None
    assert water.spared.grams == dye.metered.printed - dye.metered.brings
    assert water.spared.stocks_g == sum(stage.diluent_g for stage in dye.metered.plan.stages)


def test_diluted_ethanol_has_two_weights(tmp_path: Path) -> None:
    spirit, other = lines(tmp_path, "spirit: 40 g of 70 %vol; water: to 100 g")
    assert isinstance(spirit.blended, Blended)
    assert spirit.blended.strong_g + spirit.blended.water_g == spirit.printed
    assert other.blended is None


def test_what_the_balance_does_not_show_keeps_its_exact_weight(tmp_path: Path) -> None:
    tint, fill = lines(tmp_path, "tint: 0.001 g; b: to 0.004 g")
    assert isinstance(tint.metered, Unshown)
    assert (tint.grams, tint.measure, tint.metered.balance) == (Fraction("0.001"), "none", "")
    assert isinstance(fill.metered, Unshown)
    assert (fill.measure, fill.metered.balance, fill.metered.step) == ("fill", "bench", Fraction(1, 100))
    assert tint.is_coarse
    assert tint.between == tint.metered.printed


def test_without_a_balance_the_exact_weight_stands(tmp_path: Path) -> None:
    for one in lines(tmp_path, "a: 33.333 g; b: to 100 g", workroom=NO_BALANCE):
        assert one.metered == Exact(printed=one.grams)
        assert (one.step, one.between) == (None, (one.grams, one.grams))


def test_what_has_no_weight_is_measured_by_volume_or_not_known(tmp_path: Path) -> None:
    a, fill = lines(tmp_path, "a: 3 mL; water: to 100 mL")
    assert isinstance(a.metered, ByVolume)
    assert isinstance(fill.metered, UnknownAmount)
    assert (a.measure, fill.measure, a.printed) == ("volume", "fill", a.grams)


def test_a_form_holds_nothing_of_another() -> None:
    """A field that may be None stands for something that the form itself may lack."""
    may_lack = {
        (form.__name__, one.name) for form in get_args(Metered) for one in fields(form) if "None" in str(one.type)
    }
    assert may_lack == {("Weighed", "beside"), ("Counted", "step"), ("Unshown", "step")}
    assert max(len(fields(form)) for form in get_args(Metered)) <= 8


@pytest.mark.parametrize("form", get_args(Metered))
def test_every_form_prints_a_weight_or_says_why_not(form: type) -> None:
    (printed,) = (one.type for one in fields(form) if one.name == "printed")
    assert printed in ("Fraction", "Missing")
    assert (printed == "Missing") is (form in (OnlyCounted, ByVolume, Unshown, UnknownAmount))
