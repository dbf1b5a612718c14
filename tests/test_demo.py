"""The demo book: what it is there to show, in its own figures.

Own arithmetic throughout; no published check values.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from bookgen.model import Removal
from bookgen.reckon.made import result_of
from bookgen.reckon.trace import takers_of

from .books_of_text import check, weigh
from .readme_parts import ROOT
from .shared import checked

BOOK = checked("demo").book
RECKONED = checked("demo").reckoning
LOTS = RECKONED.lots
LINES = [one for formula in BOOK.formulas.values() for one in formula.lines]


def line(answer: dict[str, Any], material: str) -> dict[str, Any]:
    """Return the line of a material in the JSON of a batch."""
    return next(one for one in answer["lines"] if one["material"] == material)


def test_the_check_has_nothing_to_say() -> None:
    assert check(ROOT) == []


def test_each_way_of_taking_an_aid_out_is_shown() -> None:
    assert {one.removed for one in LINES if one.removed} == set(Removal)


def test_an_aromatic_water_is_a_concentrate_thinned_1_plus_39() -> None:
    """A fortieth of 600 mL is 15 mL, 12.945 g at 0.863 g/mL; 2 % of that is oil, in 597 g at 0.995 g/mL."""
    answer = weigh(ROOT, "W-01")
    concentrate = line(answer, "N-06")
    assert (concentrate["written"], concentrate["ml"], concentrate["grams"]) == ("1 + 39 v/v", "15", "12.945")
    shares = {row["material"]: Fraction(row["percent"]) for row in answer["composition"]}
    assert shares["neroli-oil"] == Fraction("12.945") * Fraction("0.02") / 597 * 100
    assert "kaolin" not in shares


def test_an_aid_of_which_a_trace_stays() -> None:
    """The oil is washed with half its weight of water, of which a thousandth of the product stays, and sand."""
    answer = weigh(ROOT, "N-07", "310 g")
    assert answer["start_g"] == "500"
    assert line(answer, "silver-sand")["removed"] == "settled"
    assert {row["material"]: row["percent"] for row in answer["composition"]} == {
        "linseed-oil": "99.9", "purified-water": "0.1",
    }  # fmt: skip


def test_a_scarce_intermediate_two_steps_down_sets_the_batch() -> None:
    """6 g of the concentrate: 12.945 g in 597 g of water, of which 96 % come out; 270.5 g of that in 300 g of rinse."""
    answer = weigh(ROOT, "W-02", "6 g of N-06")
    start = 6 / Fraction("12.945") * 597 * Fraction("0.96") * 300 / Fraction("270.5")
    assert float(Fraction(answer["start_g"])) == pytest.approx(float(start), rel=0.01)
    (supply,) = answer["supplies"]
    assert supply["limits"]
    assert "N-06" not in {one["code"] for one in answer["make_first"]}


def test_a_double_strength_says_how_it_is_thinned_before_use() -> None:
    """Twice the strength it is used at: 0.8 % of citric acid, half of it with as much water again."""
    rinse = BOOK.formulas["w-02"]
    answer = weigh(ROOT, "W-02")
    acid = Fraction(line(answer, "citric-acid-10")["grams"]) / 10
    start = Fraction(answer["start_g"])
    assert acid / start == Fraction("0.008")
    assert acid / (2 * start) == Fraction("0.004")
    assert any("double strength" in one and "own weight of warm water" in one for one in rinse.cautions)


def test_the_soap_is_weighed_by_what_its_fats_are_sure_to_take_up() -> None:
    """Low ends of the values, 6 % left out, a lye of 39 to 40 %: own arithmetic."""
    answer = weigh(ROOT, "H-05")
    taken = Fraction(300 * 182 + 150 * 188 + 100 * 170 + 50 * 176, 1000)
    most = Fraction(300 * 194 + 150 * 198 + 100 * 190 + 50 * 187, 1000)
    lye = taken * Fraction(94, 100) * Fraction("39.997") / Fraction("56.106") / Fraction(40, 100)
    assert Fraction(line(answer, "sodium-hydroxide-40")["grams"]) == lye
    high = Fraction(answer["soap"]["superfat_percent_high"])
    assert high == 100 - 100 * taken * Fraction(94, 100) * Fraction(39, 40) / most
    assert answer["soap"]["superfat_percent_low"] == "6"
    assert answer["label"]["complete"]
    assert answer["carries"] == []


def test_every_material_is_used() -> None:
    assert BOOK.materials.keys() <= {one.material.casefold() for one in LINES}


def test_a_label_list_is_complete_where_the_oils_say_what_they_contain() -> None:
    """Its oils list contents as ranges, and the marigold oil has label names of its own; neroli oil lists none."""
    cream, rinse = weigh(ROOT, "H-02")["label"], weigh(ROOT, "W-02")["label"]
    assert (cream["complete"], rinse["complete"]) == (True, False)
    assert "INCOMPLETE: not every fragrance allergen in it is known" in rinse["notes"]
    names = [entry["name"] for entry in cream["ingredients"]]
    assert names[9:13] == [
        "Calendula Officinalis Flower Extract", "Juniperus Virginiana Oil", "Sodium Hydroxide",
        "Citrus Aurantium Peel Oil",
    ]  # fmt: skip
    assert [entry["name"] for entry in cream["ingredients"] if entry["allergen"]] == [
        "Benzyl Alcohol", "Juniperus Virginiana Oil", "Citrus Aurantium Peel Oil", "Limonene", "Linalool", "Pinene",
        "Camphor", "Geranyl Acetate", "Geraniol",
    ]  # fmt: skip


# ── A year of records ─────────────────────────────────────────────────────────────────────────────────────────────


def test_a_year_of_records() -> None:
    assert len(BOOK.batches) >= 25
    assert sum(len(material.lots) for material in BOOK.materials.values()) >= 40
    days = [record.made.on for record in BOOK.batches.values() if record.made]
    assert (max(days) - min(days)).days > 340


def test_a_lot_told_bad_is_found_in_every_jar() -> None:
    """The oil went into marigold oil, that into wax stock and rubbed-down zinc, these into three balms."""
    found = takers_of(LOTS, BOOK, ("sunflower-oil", "su-0312"))
    assert [(one.batch, one.depth) for one in found.batches] == [
        ("n-01-2026-03-21", 1), ("n-02-2026-04-11", 2), ("b-01-2026-04-25", 3), ("b-02-2026-05-02", 3),
        ("n-05-2026-06-06", 2), ("b-03-2026-06-20", 3),
    ]  # fmt: skip
    assert not found.perhaps
    assert all(BOOK.batches[one.batch].discarded for one in found.batches)


def test_a_lot_that_has_expired_and_stands_there_still() -> None:
    account = LOTS.accounts["neroli-oil", "ne-07"]
    assert account.lot
    assert account.lot.expires
    assert account.lot.expires.on == date(2026, 10, 31)
    assert account.gone is None
    assert account.left > 0


def test_a_batch_that_failed_a_deviation_that_is_explained_and_one_put_right() -> None:
    assert {str(record.outcome): record.key for record in BOOK.batches.values() if record.outcome != "good"} == {
        "discarded": "H-02-2026-09-19", "reworked": "W-03-2026-08-01",
    }  # fmt: skip
    furthest = result_of(RECKONED, "h-01-2026-06-27").furthest
    assert furthest
    assert furthest.name == "glycerol-85"
    assert furthest.deviation == Fraction("1.41") / 15


def test_an_intermediate_stands_on_the_shelf() -> None:
    """484 g came out, 41.9 g and 69.7 g or so went into two balms; then it was weighed."""
    stock = LOTS.accounts["n-02", "n-02-2026-09-12"]
    assert stock.gone is None
    assert stock.left == 354


def test_two_trials_change_what_they_say_and_the_fill_makes_room() -> None:
    """15 % of soft paraffin comes down to 10 and 5 %; triglycerides make up for it, in the second wax too."""
    shares = {
        code: {row["material"]: Fraction(row["percent"]) for row in weigh(ROOT, code)["lines"]}
        for code in ("B-03", "T-01", "T-02")
    }
    fill = "medium-chain-triglycerides"
    for code, changes in (
        ("T-01", {"white-soft-paraffin": -5, fill: 5}), ("T-02", {"white-soft-paraffin": -10, "N-02": 3, fill: 7}),
    ):  # fmt: skip
        moved = {name: share - shares["B-03"][name] for name, share in shares[code].items()}
        assert {name: much for name, much in moved.items() if much} == changes
    notes = [section.title for section in BOOK.formulas["t-01"].body.sections]
    assert "Method" in notes
    assert "Notes" in notes
