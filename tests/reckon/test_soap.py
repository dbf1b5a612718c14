"""Lye that follows the fats, what comes of both, and lye that nothing takes up: by own arithmetic on molar masses."""

from __future__ import annotations

from contextlib import nullcontext
from datetime import date
from fractions import Fraction
from pathlib import Path

import molmass
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookgen.labelling import NoLabel, batch_for_label
from bookgen.pipeline import check_book
from bookgen.reckon.labelled import LabelWish
from bookgen.reference import table_in
from bookgen.reference.soap import soap_table

from ..books_of_text import check, formula, weigh, write_book

KOH, NAOH, GLYCEROL = Fraction("56.106"), Fraction("39.997"), Fraction("92.094")
DAY = date(2026, 3, 2)
FATS = {
    "olive": "soluble: oil\nwater: 0 %\nsaponification: 184 to 196 mg KOH/g",  # T12-04, from memory
    "coconut": "soluble: oil\nwater: 0 %\nsaponification: 248 to 265 mg KOH/g",  # T12-01, seen
    "beads": "kind: crystals\nwater: 0 %\ncontains: {sodium hydroxide: 98 %}",
    "flakes": "kind: crystals\nwater: 0 %\ncontains: {sodium hydroxide: 97 to 99 %}",
    "potash": "kind: crystals\ncontains: {potassium hydroxide: 90 %}",
    "lye-30": "water: 70 %\ncontains: {sodium hydroxide: 30 %}",
    "water": "density: 1\nwater: 100 %",
    "clay": "kind: powder\nwater: 0 %",
    "scent": "soluble: oil\nfunction: scent\nwater: 0 %",
    "citric": "kind: crystals\nwater: 0 %\nknown as: citric acid",
    "shea": "kind: butter",
    "stearic": "kind: wax\nsaponification: 194 to 212 mg KOH/g",
}


def book(folder: Path, lines: str, *keys: str, **more: str) -> Path:
    return write_book(folder, {"S": formula("S", lines, *keys)}, {**FATS, **more})


def grams(answer: dict) -> list[Fraction]:  # type: ignore[type-arg]
    return [Fraction(line["grams"]) for line in answer["lines"]]


def rules(found: list[dict]) -> list[tuple[str, str]]:  # type: ignore[type-arg]
    mine = ("lye", "soap", "saponification", "burns")
    return [(one["severity"], one["rule"]) for one in found if any(word in one["rule"] for word in mine)]


def test_molar_masses() -> None:
    table = table_in("soap.yaml")
    for row in (*table["alkalis"], table["glycerol"]):
        assert abs(Fraction(row["molar mass"]) - Fraction(molmass.Formula(row["formula"]).mass)) <= Fraction(1, 2000)
    assert soap_table().glycerol == GLYCEROL
    assert abs(NAOH / KOH - Fraction("0.712889")) < Fraction(1, 10000)  # T12-05
    assert (soap_table().least_taken_up, soap_table().least_fat) == (Fraction(1, 2), 2)


percents = st.integers(1, 40)


@given(
    olive=st.integers(10, 900),
    coconut=st.integers(10, 900),
    superfat=percents,
    olive_takes=st.fractions(184, 196, max_denominator=10),
    coconut_takes=st.fractions(248, 265, max_denominator=10),
    content=st.fractions(Fraction(97, 100), Fraction(99, 100), max_denominator=1000),
)
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_the_oils_really_take_up_the_interval_holds_it(
    tmp_path_factory: pytest.TempPathFactory,
    olive: int,
    coconut: int,
    superfat: int,
    olive_takes: Fraction,
    coconut_takes: Fraction,
    content: Fraction,
) -> None:
    """Random oils within their ranges and a lye within its own; never more lye than the low end takes up."""
    lines = f"olive: {olive} g; coconut: {coconut} g; water: 300 g; flakes: q.s. for {superfat} % superfat"
    answer = weigh(book(tmp_path_factory.mktemp("soap"), lines), "S")
    lye = grams(answer)[-1]
    assert lye * Fraction(99, 100) * KOH / NAOH <= Fraction(184 * olive + 248 * coconut, 1000)
    moles = lye * content / NAOH
    taken = (olive_takes * olive + coconut_takes * coconut) / 1000 / KOH
    really = 100 * (1 - moles / taken)
    soap = answer["soap"]
    assert Fraction(soap["superfat_percent_low"]) == superfat
    assert Fraction(soap["superfat_percent_low"]) <= really <= Fraction(soap["superfat_percent_high"])
    whole = olive + coconut + 300 + lye
    turned = (olive + coconut) * moles / taken
    glycerol = moles / 3 * GLYCEROL
    real = {
        "fat": olive + coconut - turned,
        "glycerol": glycerol,
        "soap": turned + moles * NAOH - glycerol,
        "rest": lye * (1 - content),
    }
    for name, much in real.items():
        low, high = map(Fraction, soap["after"][name])
        assert low <= 100 * much / whole <= high, name
    assert Fraction(soap["after"]["water"]) == 30000 / whole


def test_exact_figures_leave_nothing_over(tmp_path: Path) -> None:
    """One figure each: soap, glycerol, fat, water and the rest are the whole; water that dries away is in neither."""
    one = "saponification: 190 mg KOH/g\nwater: 0 %"
    lines = "fat: 100 g; water: {amount: 40 g, evaporates: 25 %}; lye-30: q.s. for 8 % superfat"
    answer = weigh(book(tmp_path, lines, fat=one), "S")
    lye = grams(answer)[-1]
    assert lye == 19 * Fraction(92, 100) * NAOH / KOH / Fraction(3, 10)
    soap, whole = answer["soap"], 100 + 40 + lye - 10
    assert soap["superfat_percent_low"] == soap["superfat_percent_high"] == "8"
    for state in ("before", "after"):
        parts = [Fraction(soap[state][name][0]) for name in ("soap", "glycerol", "fat", "alkali", "rest")]
        assert sum(parts) + Fraction(soap[state]["water"]) == 100
    assert Fraction(soap["after"]["water"]) == 100 * (30 + lye * Fraction(7, 10)) / whole
    assert Fraction(soap["before"]["alkali"][0]) == 100 * lye * Fraction(3, 10) / (whole + 10)
    assert Fraction(soap["after"]["glycerol"][0]) == 100 * lye * Fraction(3, 10) / NAOH / 3 * GLYCEROL / whole
    assert soap["says"] == "superfat 8 %, by the figures of the fats and of the lye, before the balance rounds"


def test_water_in_a_fat_is_water_and_spirit_that_dries_away_is_none(tmp_path: Path) -> None:
    """84 g of 100 g of a butter are fat; where ethanol goes, what went in is not told as water."""
    butter = {"butter": "kind: butter\nsaponification: 180 mg KOH/g\nwater: 16 %"}
    lines = "butter: 100 g; lye-30: q.s. for 5 % superfat; clay: 4 g"
    answer = weigh(book(tmp_path / "butter", lines, **butter), "S")
    lye, after = grams(answer)[1], answer["soap"]["after"]
    whole = 104 + lye
    assert Fraction(after["rest"][0]) == Fraction(400) / whole
    assert Fraction(after["fat"][0]) == 84 * Fraction(5) / whole
    assert Fraction(after["water"]) == 100 * (16 + lye * Fraction(7, 10)) / whole
    spirit = {"spirit": "density: 0.81\nwater: 6 %\ncontains: {ethanol: 94 % w/w}"}
    lines = "olive: 100 g; lye-30: q.s. for 5 % superfat; spirit: {amount: 20 g, evaporates: 10 g}"
    soap = weigh(book(tmp_path / "spirit", lines, **spirit), "S")["soap"]
    assert (soap["before"], soap["after"] is None) == (None, False)


def test_what_is_in_percent_in_parts_or_the_fill_takes_its_lye_with_it(tmp_path: Path) -> None:
    rate = Fraction(184, 1000) * Fraction(95, 100) * NAOH / KOH / Fraction(98, 100)
    lines = "water: 20 %; beads: q.s. for 5 % superfat; olive: to 100 g"
    water, lye, olive = grams(weigh(book(tmp_path / "fill", lines), "S"))
    assert (water, lye, water + lye + olive) == (20, olive * rate, 100)
    lines = "water: 30 g; olive: 3 parts; beads: q.s. for 5 % superfat; clay: 1 part"
    water, olive, lye, clay = grams(weigh(book(tmp_path / "parts", lines, "makes: 100 g"), "S"))
    assert (olive / clay, lye, water + olive + lye + clay) == (3, olive * rate, 100)
    lines = "olive: 80 %; beads: q.s. for 5 % superfat; water: to 100 g"
    olive, lye, water = grams(weigh(book(tmp_path / "percent", lines), "S"))
    assert (olive, lye, water) == (80, 80 * rate, 20 - 80 * rate)


def test_through_intermediates(tmp_path: Path) -> None:
    """Fats and lye may be formulas; a soap that is one brings no lye into what holds it."""
    texts = {
        "F": formula("F", "olive: 50 g; coconut: 50 g"),
        "L": formula("L", "beads: 30 g; water: 70 g"),
        "S": formula("S", "F: 200 g; L: q.s. for 5 % superfat"),
        "U": formula("U", "S: 50 %; water: to 100 g"),
    }
    made = write_book(tmp_path, texts, FATS)
    lye = grams(weigh(made, "S"))[-1]
    assert lye == 2 * Fraction("43.2") * Fraction(95, 100) / 2 * NAOH / KOH / Fraction("0.294")
    assert weigh(made, "S")["carries"] == weigh(made, "U")["carries"] == []
    assert weigh(made, "U")["soap"] is None
    assert rules(check(made)) == []


def test_soap_takes_up_no_second_lye_and_gives_none(tmp_path: Path) -> None:
    """Fat that has met lye is no fat, and lye that has met fat no lye."""
    texts = {
        "S": formula("S", "olive: 100 g; water: 30 g; beads: q.s. for 5 % superfat"),
        "M": formula("M", "S: 100 g; olive: 50 g; beads: q.s. for 5 % superfat"),
    }
    rate = Fraction(184, 1000) * Fraction(95, 100) * NAOH / KOH / Fraction(98, 100)
    made = write_book(tmp_path / "more", texts, FATS)
    assert (grams(weigh(made, "M"))[-1], rules(check(made))) == (50 * rate, [])
    texts["M"] = formula("M", "S: 100 g; beads: q.s. for 5 % superfat; water: 10 g")
    assert rules(check(write_book(tmp_path / "again", texts, FATS))) == [("error", "no-fat-for-lye")]
    texts["M"] = formula("M", "S: q.s. for 5 % superfat; olive: 100 g; water: 10 g")
    assert rules(check(write_book(tmp_path / "lye", texts, FATS))) == [("error", "missing-lye-strength")]


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        # soap by a plain amount: enough, and more than the low end takes up (which the high end might)
        ("olive: 100 g; beads: 13 g; water: 30 g", []),
        ("olive: 100 g; beads: 13.6 g; water: 30 g", [("error", "caustic-soap")]),
        ("olive: 8 g; coconut: 12 g; beads: 8.58 g; water: 10 g", [("error", "caustic-soap")]),  # K-37
        ("olive: 100 g; beads: 7 g; potash: 9 g; water: 30 g", []),
        ("olive: 100 g; beads: 7 g; potash: 13 g; water: 30 g", [("error", "caustic-soap")]),
        ("olive: 100 g; beads: 13.6 g; citric: 1 g; water: 30 g", [("query", "caustic-soap")]),
        ("olive: 100 g; beads: 20 g; citric: 5 g; water: 30 g", [("error", "caustic-soap")]),  # 4.4 of 9 g of KOH
        ("shea: 100 g; beads: 12 g; water: 30 g", [("error", "soap-not-judged")]),
        ("olive: 100 g; shea: 10 g; beads: 12 g; water: 30 g", []),
        ("olive: 100 g; shea: 10 g; beads: 15 g; water: 30 g", [("error", "soap-not-judged")]),
        # no soap is meant: half neutralised, a gel, a pH
        ("stearic: 20 g; potash: 2 g; water: 78 g", []),
        ("stearic: 40 g; potash: 4 g; water: 56 g", []),
        ("olive: 0.2 g; clay: 1 g; beads: 0.3 g; water: 98.5 g", []),
        ("olive: 10 g; beads: q.s. to pH 5.5 (about 0.2 g); water: 90 g", []),
        # what cannot be reckoned
        ("water: 30 g; beads: q.s. for 5 % superfat", [("error", "no-fat-for-lye")]),
        ("shea: 100 g; beads: q.s. for 5 % superfat", [("error", "missing-saponification")]),
        ("olive: 100 g; shea: 9 g; beads: q.s. for 5 % superfat", [("error", "missing-saponification")]),
        ("olive: 100 g; pellets: q.s. for 5 % superfat", [("error", "missing-lye-strength")]),
        ("olive: 100 g; clay: q.s. for 5 % superfat", [("error", "missing-lye-strength")]),
        ("olive: 9 g; beads: q.s. for 5 % superfat; potash: 1 g", []),
        ("olive: 9 g; beads: q.s. for 5 % superfat; potash: 2 g", [("error", "other-lye-enough")]),
        ("olive: 9 g; lye-30: {amount: q.s. for 5 % superfat, evaporates: 1 g}", [("error", "lye-evaporates")]),
        ("olive: 9 g; lye-30: {amount: q.s. for 5 % superfat, evaporates: 1 g, made up: yes}", []),
        ("olive: 9 g; beads: q.s. for 5 % superfat; potash: q.s. for 5 % superfat", [("error", "two-lyes")]),
    ],
)
def test_what_is_found(tmp_path: Path, lines: str, found: list[tuple[str, str]]) -> None:
    made = book(tmp_path, lines, pellets="known as: sodium hydroxide\nkind: crystals")
    assert [told for told in rules(check(made)) if told[1] != "adjusted-beyond-ph"] == found


@pytest.mark.parametrize("potash", ["potash: 5 g", "potash: 3.5 %"])
def test_one_lye_makes_up_what_another_leaves(tmp_path: Path, potash: str) -> None:
    """Of 100 g of olive at 184 mg and 5 % superfat, less what the potash gives, in grams of sodium hydroxide."""
    made = book(tmp_path, f"olive: 100 g; {potash}; water: 35 g; beads: q.s. for 5 % superfat".replace(
        "olive: 100 g", "olive: 100 g" if "g" in potash else "olive: to 140 g"))  # fmt: skip
    answer = weigh(made, "S")
    olive, other, _, beads = grams(answer)
    assert other == (5 if "g" in potash else Fraction("4.9"))
    left = olive * Fraction(184, 1000) * Fraction(95, 100) - other * Fraction(9, 10)
    assert beads == left * NAOH / KOH / Fraction(98, 100)
    assert answer["soap"]["superfat_percent_low"] == "5"


def test_what_burns_by_design_is_no_soap(tmp_path: Path) -> None:
    text = formula("S", "olive: 5 g; beads: 4 g; water: 91 g", "purpose: cuticle remover").replace(
        "intermediate", "rinse-off, nails"
    )
    found = rules(check(write_book(tmp_path, {"S": text}, FATS)))
    assert found == [("query", "burns-skin")]


def test_soap_that_keeps_by_its_alkali_is_asked_for_its_ph(tmp_path: Path) -> None:
    lines = "olive: 100 g; water: 40 g; beads: q.s. for 5 % superfat"
    (told,) = check(book(tmp_path, lines, "storage: cupboard, 1 year"))
    assert (told["severity"], told["rule"]) == ("query", "strong-without-ph")
    assert "nothing grows in so much soap (common practice)" in told["message"]


def test_a_scent_leaves_the_high_end_open(tmp_path: Path) -> None:
    answer = weigh(book(tmp_path, "olive: 100 g; scent: 2 g; beads: q.s. for 5 % superfat"), "S")
    assert answer["soap"]["superfat_percent_high"] is None
    says = "superfat 5 % or more, before the balance rounds; how much more is not known, because of scent"
    assert answer["soap"]["says"] == says


def test_lye_is_weighed_within_half_of_the_superfat(tmp_path: Path) -> None:
    """By a balance of 0.1 g: 2.5 % of a lye that asks for 5 % superfat, where 5 % are accepted."""
    room = "balances:\n  - {name: bench, readability: 0.1 g, capacity: 2000 g}\n"
    text = formula("S", "olive: 25 g; beads: q.s. for 5 % superfat")
    made = write_book(tmp_path, {"S": text}, FATS, room)
    assert "below-least-weighable" in [one["rule"] for one in check(made)]
    assert weigh(made, "S", "60 g")["lines"][1]["least_g"] == "4"


@pytest.mark.parametrize("lye", ["13.3 g", "13 g", "7 g"])
def test_a_plain_amount_of_lye_is_weighed_within_half_of_what_it_leaves(tmp_path: Path, lye: str) -> None:
    """13.385 g of beads are what 100 g of olive oil take up at the least; by a balance of 0.1 g."""
    room = "balances:\n  - {name: bench, readability: 0.1 g, capacity: 2000 g}\n"
    made = write_book(tmp_path, {"S": formula("S", f"olive: 100 g; beads: {lye}; water: 30 g")}, FATS, room)
    superfat = 1 - Fraction(lye.split()[0]) * Fraction(98, 100) * KOH / NAOH / Fraction("18.4")
    answer = weigh(made, "S")
    error = min(Fraction(5, 100), superfat / 2)
    assert [Fraction(line["least_g"]) for line in answer["lines"]] == [
        Fraction(1, 10) / error,
        Fraction(1, 10) / error,
        2,
    ]
    assert rules(check(made)) == []


def test_what_is_printed_leaves_fat_over_or_is_told_as_coarse(tmp_path: Path) -> None:
    """50.51 g of lye are 51 on a scale of 1 g: within 5 %, and more than 379 g of olive oil take up.  Ten times as much
    is 505 and leaves fat over."""
    room = "balances:\n  - {name: scale, readability: 1 g, capacity: 5000 g}\n"
    made = write_book(tmp_path, {"S": formula("S", "olive: 379.3 g; beads: q.s. for 0.5 % superfat")}, FATS, room)
    for times, doubtful in (("1x", ["beads"]), ("10x", [])):
        answer = weigh(made, "S", times)
        fat, lye = (Fraction(line["metered_g"]) for line in answer["lines"])
        assert [name for name in answer["how_sure"]["doubtful"] if name == "beads"] == doubtful
        leaves_fat = lye * Fraction(98, 100) * KOH / NAOH < fat * Fraction(184, 1000)
        assert leaves_fat is not bool(doubtful)


def test_the_soap_is_judged_and_labelled_without_its_lye(tmp_path: Path) -> None:
    lines = "olive: 100 g; water: {amount: 30 g, evaporates: 20 g}; beads: q.s. for 5 % superfat"
    text = formula("S", lines, "kind: cosmetic").replace("intermediate", "rinse-off, hands")
    answer = weigh(write_book(tmp_path / "bare", {"S": text}, FATS), "S")
    assert answer["label"]["text"].startswith("Ingredients (INCOMPLETE)")
    assert any("name the soap on it" in str(told) for told in answer["label"].values())
    assert any("goggles and gloves" in str(hazard) for hazard in answer["hazards"])
    names = "label: {Sodium Olivate: 75 %, Aqua: 9 %, Glycerin: 8 %, Olea Oil: 8 %}\ningredients:"
    named = write_book(tmp_path / "named", {"S": text.replace("ingredients:", names)}, FATS)
    assert weigh(named, "S")["label"]["text"] == "Ingredients: Sodium Olivate, Aqua, Glycerin, Olea Oil"


def test_a_lot_of_stronger_lye_is_held_against_the_fats_of_its_batch(tmp_path: Path) -> None:
    """30 % was counted on, 33 % was in the jar: the fats take up what 5 % of superfat spare, and no more."""
    lye = "water: 70 %\ncontains: {sodium hydroxide: 30 %}\nlots:\n  L-1: {content: 33 %}\n  L-2: {content: 31 %}"
    made = book(tmp_path, "olive: 100 g; lye-30: q.s. for 5 % superfat", **{"lye-30": lye})
    (tmp_path / "formulas" / "batches").mkdir()
    grams = round(float(100 * Fraction(184, 1000) * Fraction(95, 100) * NAOH / KOH / Fraction(3, 10)), 2)
    content = weigh(made, "S")["lines"][1]["lots"][0]["content"]
    assert (content["planned_g"], content["weigh_g"]) == (str(grams), str(round(grams * 30 / 33, 2)))
    for lot, caustic in (("L-1", True), ("L-2", False)):
        (tmp_path / "formulas" / "batches" / "S-2026-02-01.md").write_text(
            "---\nbatch: S-2026-02-01\nof: S, issue 1\nmade: 2026-02-01\nobtain: 100 g\n"
            f"weighed:\n  olive: 100 g\n  lye-30: {grams} g, lot {lot}\n---\n",
            encoding="utf-8",
        )
        told = [one["message"] for one in check(made) if one["rule"] == "batch-caustic"]
        share = round(100 * float(grams * 0.33 / 39.997 * 56.106 / 18.4 - 1), 2)
        assert [f" {share} % more of lye-30 " in message for message in told] == [True] * caustic, told
        checked = check_book(tmp_path)
        with pytest.raises(NoLabel, match="right first") if caustic else nullcontext():
            batch_for_label(checked, "S-2026-02-01", LabelWish(made=DAY, today=DAY), None)
